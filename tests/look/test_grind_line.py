"""The line where bevel and flat meet, as the etched dark shows it: what tells a smith how high a blade is ground.

How much is seen: swatches side by side are told apart from a difference of 2.3 in CIELAB on (Mahy, Van Eycken &
Oosterlinck, Color Res. Appl. 19 (1994) 105-121: from memory). At arm's length, some 600 mm, a band of a millimetre and
a half is 9 minutes of arc wide, and an eye with normal sight resolves one (ISO 8596: from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from scipy.ndimage import binary_erosion

from preview.base.arrays import Array, Mask
from preview.base.pictures import linear_luminance
from preview.blade.grind import SIDES
from preview.job.file import load_job
from preview.look.etch import lightness_of, luminance
from preview.look.photograph import etched
from preview.pipeline import preview
from tests.conftest import DEMOS

SEEN = 2.3
SCALE = 6.0
STRETCH = 20


@dataclass(frozen=True)
class Dark:
    """A face as it is seen: lightness L*, what lies over its grind line (mm), and where its steel is etched dark.

    ``along`` counts from where the bevel is ground to the full, a row.
    """

    light: Array
    over: Array
    here: Mask
    along: Array

    def mean(self, low: float, high: float, first: float = 2.0) -> float | None:
        """Return the mean L* from ``low`` to ``high`` over the line, of a stretch; None if that is hardly dark."""
        there = self.here & (self.over > low) & (self.over < high)
        there &= (self.along > first) & (self.along < first + STRETCH)
        return float(self.light[there].mean()) if there.sum() > 2 * SCALE**2 else None


def dark_faces(job):
    """Return both faces, away from their rims, from the patterns' lines and from the tip."""
    shown, begins = preview(job, px_per_mm=SCALE), job.ground.plunge[1]
    darkest = luminance(job.etching.lightness(min(powder.nickel for powder in job.powders)))
    for side, face in zip(SIDES, shown.faces, strict=True):
        view, along = face.view, face.grid.along[0]
        here = binary_erosion(etched(face, job.powders, job.etching)[0] < 1.2 * darkest, iterations=2)
        here &= binary_erosion(face.grid.mask, iterations=5) & (along < 0.85 * job.blade.outline.length)
        seen = view.seen(linear_luminance(shown.picture_of(side))[view.inside])
        over = face.grid.distance - job.ground.bevel(side, along).height
        yield Dark(lightness_of(seen), over, here, along - begins)


@pytest.mark.parametrize(
    ("demo", "stretches"),
    [
        ("along_the_bar", 6), ("end_grain", 8), ("fine_rain", 6), ("marsh_moon", 12), ("running_wave", 8),
        ("three_steels", 8), ("wrung_out", 10),
    ],
)  # fmt: skip
def test_the_line_is_seen_in_the_dark(demo, stretches):
    """On both faces the flat is the lighter all along, wherever both sides of the line are dark."""
    steps = []
    for face in dark_faces(load_job(DEMOS / f"{demo}.toml")):
        for first in range(2, 180, STRETCH):
            flat, bevel = face.mean(0.4, 1.9, first), face.mean(-1.9, -0.4, first)
            if flat and bevel:
                steps.append(flat - bevel)
    assert len(steps) >= stretches
    assert min(steps) > SEEN


@pytest.mark.parametrize("demo", ["marsh_moon", "three_steels"])
def test_two_millimetres_of_grind_are_told_apart_in_the_dark(demo):
    """Ground 22 and 24 mm high, the faces differ where one is flat and the other bevel, and hardly over that."""
    job = load_job(DEMOS / f"{demo}.toml")
    faces = []
    for height in (22.0, 24.0):
        right = job.grind.right.model_copy(update={"height": height})
        faces.append(dark_faces(job.model_copy(update={"grind": job.grind.model_copy(update={"right": right})})))
    for low, high in zip(*faces, strict=True):
        for first in (20, 40, 60):
            assert low.mean(0.2, 1.8, first) - high.mean(-1.8, -0.2, first) > SEEN
            assert low.mean(2.4, 4.4, first) == pytest.approx(high.mean(0.4, 2.4, first), abs=0.3)
