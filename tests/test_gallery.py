"""Each demo's picture and three of its numbers, pinned; ``pytest --update-gallery`` writes them anew."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.conftest import DEMO_JOBS

GALLERY = Path(__file__).parent / "gallery"


def test_demo(demo_path, shown, request):
    found = shown.numbers
    pinned = {
        "bright_share": found.right.bright_share,
        "slide": found.right.slide,
        "stretch_along": found.stretch_along,
    }
    picture, numbers = GALLERY / f"{demo_path.stem}.png", GALLERY / f"{demo_path.stem}.json"
    if request.config.getoption("--update-gallery"):
        Image.fromarray(shown.picture).save(picture)
        numbers.write_text(json.dumps(pinned, indent=2) + "\n")
    assert pinned == pytest.approx(json.loads(numbers.read_text()), rel=2e-3, abs=2e-4)
    with Image.open(picture) as kept:
        off = np.abs(np.asarray(kept).astype(float) - shown.picture)
    assert off.mean() < 0.5
    assert np.percentile(off, 99.9) < 12


def test_demos_say_they_are_invented_and_have_no_shell_on_the_face(demo_path, shown):
    assert "invented" in demo_path.read_text().splitlines()[0].lower()
    for face in (shown.numbers.right, shown.numbers.left):
        assert face.shell_share == face.lost_share == 0


def test_there_are_enough_demos():
    assert len(DEMO_JOBS) >= 5
    for path in DEMO_JOBS:
        assert path.with_suffix(".png").exists()
