"""What comes off the bar's faces, before the quench and after it."""

from __future__ import annotations

import pytest

from preview.base.units import METRIC, Units
from preview.job.file import load_job
from preview.sheets.order import work_order
from preview.sheets.thinning import Thinning
from tests.conftest import DEMOS


def moon(*, thickness=3.0, mid_plane=0.0):
    """Return the marsh moon, whose bar is 3.6 mm thick, its blade so thick and so far towards the right face."""
    job = load_job(DEMOS / "marsh_moon.toml")
    placement = job.blade.placement.model_copy(update={"mid_plane": mid_plane})
    return job.model_copy(
        update={"blade": job.blade.model_copy(update={"placement": placement, "thickness": thickness})}
    )


@pytest.mark.parametrize("mid_plane", [0.0, 0.2, -0.3])
def test_what_comes_off_adds_up_to_the_blade(mid_plane):
    found = Thinning.of(moon(mid_plane=mid_plane))
    assert found.bar - sum(found.off.values()) == pytest.approx(3.0)
    assert found.off["left"] - found.off["right"] == pytest.approx(2 * mid_plane)


def test_a_blade_towards_the_right_face_takes_less_off_that_one():
    """Bar 3.6 mm, blade 3.0 mm, 0.2 mm towards the right face, worked by hand: 0.1 and 0.5 mm in all."""
    found = Thinning.of(moon(mid_plane=0.2))
    assert found.off == pytest.approx({"right": 0.1, "left": 0.5})
    assert found.before == pytest.approx({"right": 0.0, "left": 0.2})
    assert found.at_quench == pytest.approx(3.4)
    assert found.short == ("right",)
    (faces, _) = found.before_words(METRIC)
    assert "down to 3.40 mm before the quench: nothing off the right face, 0.20 mm off the left one" in faces
    assert "too thin to leave 0.3 mm a side" in faces
    assert found.after_words(METRIC) == " Faces down to 3.00 mm: 0.10 mm off the right face, 0.30 mm off the left one."


def test_a_bar_with_stock_enough_is_not_warned_of():
    found = Thinning.of(moon(thickness=2.0))
    assert found.at_quench == pytest.approx(2.6)
    assert found.short == ()
    assert "too thin" not in " ".join(found.before_words(METRIC))
    assert "0.50 mm off each face" in found.before_words(METRIC)[0]
    assert "in" in found.after_words(Units(sizes="inch"))


def test_a_blade_as_thick_as_its_bar_has_nothing_to_lose():
    found = Thinning.of(moon(thickness=None))
    assert found.short == ("right", "left")
    assert "nothing off each face" in found.before_words(METRIC)[0]
    assert found.after_words(METRIC) == ""


def test_marks_are_used_before_grinding_takes_them():
    told = " ".join(work_order(moon(), METRIC))
    at = [
        told.index(each) for each in ("light etch shows", "Saw the blade out", "off the faces", "Taper", "Both faces")
    ]
    assert at == sorted(at)
    assert "flat ground 34 mm high: before the quench only to 23 mm" in told
    assert "the line at 34 mm comes in steps after it" in told


def test_each_thickness_is_told_by_its_name():
    told = "Thick: the bar 3.60 mm, quenched at 3.60 mm, the blade 3.00 mm at its heel, 1.60 mm at its tip"
    assert Thinning.of(moon()).which_words(METRIC).startswith(told)
    wave = load_job(DEMOS / "running_wave.toml")  # as thick as its bar, and not tapered
    assert Thinning.of(wave).which_words(METRIC) == ""
