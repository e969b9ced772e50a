"""What is its own mirror: letters by the line that they are printed symmetrical about, in any plain type."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from preview.job.file import load_job
from preview.pattern.mirror import is_own_mirror
from preview.pattern.raster import Cells
from preview.sheets.mirror_words import MIRRORED, mirror_words
from tests.conftest import DEMOS


def cells(figure: np.ndarray) -> Cells:
    shares = np.stack([1 - figure, figure]).astype(np.float32)
    return Cells(("plain", "bright"), shares)


def written(text: str, x: int) -> Cells:
    image = Image.new("L", (900, 300))
    ImageDraw.Draw(image).text((x, 20), text, fill=255, font=ImageFont.load_default(size=200))
    return cells(np.asarray(image) / 255.0)


@pytest.mark.parametrize("x", [40, 300])
@pytest.mark.parametrize(("text", "own"), [("O", True), ("H", True), ("B", False), ("OAK", False), ("L", False)])
def test_a_letter_is_its_own_mirror_or_is_not(text, own, x):
    assert is_own_mirror(written(text, x)) == own


def test_a_wave_is_its_own_mirror_and_a_slanting_line_is_not():
    rows, columns = np.indices((200, 600))
    assert is_own_mirror(cells(rows > 100 + 40 * np.sin(2 * np.pi * columns / 150)))
    assert not is_own_mirror(cells((rows + columns) // 25 % 2))


def test_it_is_said_where_the_pattern_goes_through_the_blade():
    words = {name: mirror_words(load_job(DEMOS / f"{name}.toml")) for name in ("marsh_moon", "along_the_bar")}
    assert words == {"marsh_moon": MIRRORED, "along_the_bar": ""}
