"""After forging: growth at the quench by hand, and what does not fit."""

from __future__ import annotations

import pytest

from preview.day.finishing import finishing, martensite_growth
from preview.day.tools import Bath, Furnace, Grinder, Mill
from preview.job.file import load_job
from tests.conftest import DEMOS


def test_growth():
    """4.64 - 0.53 x 0.9 = 4.163 % in volume (ASM Handbook 4, from memory), a third of it of 200 mm: 2.78 mm."""
    assert martensite_growth(200, 0.9) == pytest.approx(200 * 0.04163 / 3)
    assert martensite_growth(200, 0.9) == pytest.approx(2.8, abs=0.05)


def test_what_is_said(shops):
    job = load_job(DEMOS / "along_the_bar.toml")  # a hollow on a wheel of 300 mm
    shop = shops["press_25t"].model_copy(update={
        "furnace": Furnace(depth=100), "mill": Mill(travel=100, cut=0.3),
        "grinder": Grinder(wheels=(200, 350), belts=("36", "120")), "bath": Bath(length=100),
    })  # fmt: skip
    said = " ".join(map(str, finishing(job, shop)))
    assert "4 cuts of 0.3 mm" in said  # 1 mm off each face
    assert "a wheel of 300 mm; the nearest there is has 350 mm" in said
    assert "belts 36, 120" in said
    assert "does not go into a bath of 100 mm" in said
    assert "furnace 100 mm deep" in said
    assert "more than the mill travels" in said
