"""The ways in which a face's pattern may lie otherwise."""

from __future__ import annotations

import numpy as np

from preview.face.stretch import joints
from preview.forge.uncertain import Moves
from preview.job.file import load_job
from preview.job.uncut import uncut
from preview.seen.camera import from_corners
from preview.seen.rim import rim_of
from preview.seen.ways import PX_PER_MM, face_of, find_ways, wander_of
from tests.conftest import DEMOS

CORNERS = np.array([(0.1, 0.45), (0.9, 0.45), (0.9, 0.55), (0.1, 0.55)])


def test_metal_goes_on_over_the_welds_of_tiles():
    """Where the forge is moved a weld moves too, and another tile shows beside it: no metal moved by so much."""
    job = uncut(load_job(DEMOS / "end_grain.toml"))
    moves = Moves.of(job, wander_of(job))
    assert len(joints(moves.here)) == 8
    face = face_of(moves, job, "right")
    rim = rim_of(job.ground, "right")
    ways = find_ways(moves, face, "right", from_corners(CORNERS, rim.box, (1600, 1200)))
    steps = np.abs(np.diff(ways.fields, axis=-1)) * PX_PER_MM
    assert steps.max() < 2  # mm for a mm; a tile further on lies 28 mm off
