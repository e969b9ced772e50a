"""A card of a published size (ISO/IEC 7810, ID-1) found on made-up photographs, and what is none left alone."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import RequestError
from preview.job.file import load_job
from preview.seen.camera import from_corners
from preview.seen.card import CARD_SIZE, Card
from preview.seen.card_search import find_card, follow_beside
from preview.seen.following import follow
from preview.seen.rectify import DARKEST, linear
from preview.seen.rim import rim_of
from tests.conftest import DEMOS
from tests.support.steel_photo import Shot, photograph


@pytest.fixture(scope="module")
def job():
    return load_job(DEMOS / "plain_start.toml")


def taken(job, **shot):
    """Return a photograph's light, the blade's rim and it followed on it, and where the card really is."""
    made = photograph(job, "right", Shot(**{"columns": 900, "card": True, **shot}))
    light = np.log(linear(np.asarray(Image.open(io.BytesIO(made.jpeg)).convert("RGB"))) + DARKEST)
    rim = rim_of(job.ground, "right")
    return light, rim, follow(light, rim, from_corners(made.corners, rim.box, light.shape[1::-1])), made


def off(corners, made, followed):
    """Return how far the worst corner is off, mm."""
    size = followed.pose.size
    return min(np.abs((np.roll(corners, turn, axis=0) - made.card) * size).max() for turn in range(4)) / (
        followed.pose.per_mm
    )


@pytest.mark.parametrize(
    "shot",
    [
        {"seed": 700, "tilt": 15.0, "on_card": True, "blur": 0.4},
        pytest.param({"seed": 701, "tilt": 15.0, "on_card": True, "ground": "wood"}, marks=pytest.mark.slow),
        pytest.param({"seed": 702, "tilt": 12.0, "falloff": 0.2, "columns": 700}, marks=pytest.mark.slow),
    ],
)
def test_a_card_is_found_and_tells_how_the_camera_was_held(job, shot):
    """However aslant, in falling light, with a finger on one corner."""
    light, rim, alone, made = taken(job, **shot)
    found = find_card(light, rim, alone.pose, CARD_SIZE)
    assert off(found.corners, made, alone) < 0.8
    with_card, said = follow_beside(light, rim, alone, CARD_SIZE)
    assert "A card of 85.6 x 53.98 mm is seen beside it" in str(said)
    given = follow(light, rim, alone.pose, Card(made.card, CARD_SIZE))
    assert np.allclose(with_card.pose.project(rim.box), given.pose.project(rim.box), atol=0.3 * alone.pose.per_mm)


@pytest.mark.parametrize(
    ("shot", "why"),
    [
        ({"seed": 705, "finger": False, "card_size": (85, 55), "card_round": 0.0}, "corners are square"),
        pytest.param(
            {"seed": 706, "card_size": (88.9, 50.8), "card_round": 0.0}, None,
            marks=pytest.mark.slow,
        ),
        pytest.param({"seed": 707, "card_size": (76, 76), "card_round": 0.0}, None, marks=pytest.mark.slow),
        pytest.param({"seed": 708, "card_size": (148, 105), "card_round": 0.0}, None, marks=pytest.mark.slow),
        pytest.param({"seed": 709, "card": False, "ground": "wood"}, None, marks=pytest.mark.slow),
    ],
)  # fmt: skip
def test_what_is_no_card_is_left_out(job, shot, why):
    """A cut card, one of another country's usual size, a note, a sheet of paper, bare wood."""
    light, rim, alone, _ = taken(job, **shot)
    followed, said = follow_beside(light, rim, alone, CARD_SIZE)
    assert followed is alone
    assert "left out" in str(said) or said is None
    assert re.search(why or "", str(said))


@pytest.mark.slow
def test_an_outline_that_contradicts_a_card_is_not_believed(job):
    """By an outline that is too long a card seems too large: a finger over an end was taken for the end."""
    light, rim, alone, _ = taken(job, seed=700, finger=False)
    by = np.log(1.1 * CARD_SIZE[0] / find_card(light, rim, alone.pose, CARD_SIZE).size[0])
    farther = alone.pose.values + np.array([0, 0, 0, 0, 0, by, 0])
    wrong = replace(alone, pose=replace(alone.pose, values=farther))
    with pytest.raises(RequestError, match=r"photo: a card seems to lie beside it, .* is an end of the steel hidden"):
        follow_beside(light, rim, wrong, CARD_SIZE)


@pytest.mark.slow
def test_another_rectangle_of_given_size_is_a_card_as_well(job):
    light, rim, alone, made = taken(job, seed=710, card_size=(105, 74), card_round=0.0)
    found = find_card(light, rim, alone.pose, (74, 105))
    assert found.known == (105, 74)  # ISO 216, A7
    assert off(found.corners, made, alone) < 0.8
