"""What a cut shows of a volume: Delesse's principle (1847; A_A = V_V, ASTM E562) and plane trigonometry."""

from __future__ import annotations

import numpy as np
import pytest
from skimage import data
from skimage.draw import polygon2mask

from preview.pipeline import fields, preview

PLAIN_POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.1},
    {"name": "bright", "colours": ["white"], "nickel": 4.0},
]
FLAT_CAN = {"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6}
BLADE = {"thickness": 5, "outline": {"shape": "drop point", "length": 110, "height": 40}}


def test_unpressed_prism_shows_the_pictures_own_share(make):
    """With dividers through, whatever is ground, each face shows the picture under the outline, pixel for pixel.

    The outline's mask is scikit-image's polygon fill, not the project's.
    """
    blobs = data.binary_blobs(1200, 0.03, volume_fraction=0.3, rng=1)[:500]
    job = make(blobs, powders=PLAIN_POWDERS, can=FLAT_CAN, forging=[{"step": "consolidate"}], blade=BLADE)
    outline = job.blade.outline
    along = np.linspace(0, 110, 400)
    x = np.concatenate([along, along[::-1]]) + 5  # the blade lies in the middle of the can
    y = np.concatenate([outline.edge(along), outline.spine(along[::-1])]) + 5
    mask = polygon2mask(blobs.shape, np.stack([500 - y * 10 - 0.5, x * 10 - 0.5], axis=1))
    found = preview(job, px_per_mm=6).numbers
    for face in (found.right, found.left):
        assert face.bright_share == pytest.approx(blobs[mask].mean(), abs=0.003)


def test_pressed_prism_follows_the_ratio_of_areas(make):
    """Area on the face times the can's area for it is the area in the can: compared over the whole mask."""
    rng_blobs = data.binary_blobs(1200, 0.03, volume_fraction=0.3, rng=2)[:500]
    job = make(
        rng_blobs,
        powders=PLAIN_POWDERS,
        can={"length": 70, "width": 30, "height": 44, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}, {"step": "press", "height": 6, "bite": 20, "repeat": 3}],
        blade={"thickness": 4, "outline": {"shape": "drop point", "length": 120, "height": 34}},
    )
    found = fields(job, px_per_mm=6)
    x, y, mask = found["right_can_along"], found["right_can_across"], found["right_mask"]
    can_area = np.abs(np.gradient(x, axis=1) * np.gradient(y, axis=0) - np.gradient(x, axis=0) * np.gradient(y, axis=1))
    bright = found["right_powder"] == 1
    covered = (can_area * bright)[mask].sum()
    # the same patch of the can, found by marking the picture's cells that any pixel came from
    rows = np.clip(((15 - y) / 30 * 500).astype(int), 0, 499)[mask]
    columns = np.clip(((x + 35) / 70 * 1200).astype(int), 0, 1199)[mask]
    seen = np.zeros(rng_blobs.shape, dtype=bool)
    seen[rows, columns] = True
    from scipy.ndimage import binary_closing

    seen = binary_closing(seen, iterations=4)
    laid = (rng_blobs & seen).sum() * (70 / 1200) * (30 / 500)
    assert covered == pytest.approx(laid, rel=0.02)


def test_layers_show_their_volume_share_stretched_by_one_over_the_sine(make):
    """T 4, edge 0.4, H 30: 3.4336 degrees, so layers stretch 1 / sin = 16.70 times along the face."""
    layer = 0.06
    picture = np.zeros((1000, 100), dtype=bool)
    picture[(np.arange(1000) // 5) % 3 == 0] = True  # 10 mm of can in 1000 rows: 0.05 bright, 0.10 dark
    job = make(
        picture,
        pattern={"dividers": "along"},
        powders=PLAIN_POWDERS,
        can={"length": 120, "width": 50, "height": 10, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}],
        blade={"thickness": 4.0, "outline": {"shape": "sheepsfoot", "length": 110, "height": 30}},
        grind={"edge": 0.4, "right": {"height": "full"}},
    )
    found = fields(job, px_per_mm=20)
    column = found["right_powder"][:, 300] == 1
    assert column.mean() == pytest.approx(1 / 3, abs=0.02)
    edges = np.flatnonzero(np.diff(column.astype(int)))
    period = np.mean(np.diff(edges[::2])) / 20  # mm along the blade's height
    angle = np.radians(3.4336)
    assert period / np.cos(angle) == pytest.approx(0.15 * layer / 0.1 / np.sin(angle), rel=0.01)
    assert 1 / np.sin(angle) == pytest.approx(16.70, abs=0.01)
