"""What stands at each pixel: what a pixel still shows of the mottle, and when one reckoning serves both faces."""

from __future__ import annotations

import numpy as np
import pytest

from preview.face.face_map import compose
from preview.face.view import View
from preview.pattern.raster import Cells, Raster
from preview.pipeline import face_map, face_maps, find_origins

CAN = {"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6}
BLADE = {"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 60, "height": 30}}


@pytest.mark.parametrize(("px_per_mm", "seen"), [(10, 0.7071), (2, 0.1961)])
def test_a_pixel_shows_the_less_mottle_the_more_particles_it_covers(make, px_per_mm, seen):
    """Particles of 0.1 mm, unforged, pixels of 0.1 and 0.5 mm: 1 / hypot(1, 1) and 1 / hypot(1, 5)."""
    powders = [
        {"name": "plain", "colours": ["black"], "nickel": 0.1},
        {"name": "bright", "colours": ["white"], "nickel": 4.0, "mottle": 0.2, "particle": 0.1},
    ]
    job = make(powders=powders, can=CAN, forging=[{"step": "consolidate"}], blade=BLADE, grind={"right": {"height": 1}})
    assert face_map(job, "right", px_per_mm).mottle_seen == pytest.approx(seen, rel=0.02)


@pytest.mark.parametrize(("faces", "mirrored"), [([0.5, 0.5], True), ([0.2, 0.8], False)])
def test_faces_mirror_each_other_where_as_much_is_milled_off_both(make, faces, mirrored):
    stripes = np.broadcast_to((np.arange(400) // 20 % 2 == 0)[:, None], (400, 600))  # along the blade
    job = make(
        stripes,
        can={**CAN, "length": 70},
        forging=[{"step": "consolidate"}, {"step": "press", "height": 7, "bite": 20}, {"step": "trim", "faces": faces}],
        blade=BLADE,
        grind={"right": {"height": 20}},
    )
    origins = find_origins(job)
    assert origins.mirrored == mirrored
    right, left = face_maps(job, 3)
    alone = compose(origins, left.view)
    assert np.abs(alone.shares[0] - left.shares[0]).mean() < 1e-3
    assert (np.abs(right.shares[0] - left.shares[0]).max() == 0) == mirrored


def test_a_grain_is_drawn_out_as_the_bar_is(make):
    """From 18 to 9 mm without friction, 0.3 of it to width: 2^0.7 = 1.625 long and 2^0.3 = 1.231 tall.

    Loose, it was 30 mm: 0.6 of that is steel. Five in six of the face is flat.
    """
    forging = [{"step": "consolidate"}, {"step": "press", "height": 9, "spread": 0.3, "friction": 0}]
    job = make(can=CAN, forging=forging, blade=BLADE, grind={"right": {"height": 5}})
    assert face_map(job, "right", 4).grain == pytest.approx((1.625, 1.231), rel=0.01)


def test_a_can_of_one_powder_shows_that_powder_everywhere(make):
    """As the layout reads the face before anything is laid."""
    forging = [{"step": "consolidate"}, {"step": "press", "height": 9, "bite": 20}]
    job = make(can=CAN, forging=forging, blade=BLADE, grind={"right": {"height": 20}})
    laid = Raster(Cells(("plain",), np.ones((1, 3, 3), dtype=np.float32)), (120.0, 50.0), 0.0, ())
    face = compose(find_origins(job, laid), View.of("right", job.blade, 3))
    assert face.shares == ()
    assert (face.share_of(("plain",)) == 1).all()
