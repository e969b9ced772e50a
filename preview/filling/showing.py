"""How much of the can shows: what area of the ground faces each place of the can's floor comes out on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.blade.grind import SIDES
from preview.face.view import View
from preview.job.job import Job
from preview.pattern.coverage import covered
from preview.pipeline import find_origins

PX_PER_MM = 4.0
"""Places a millimetre at which the faces are read: half a bead or so."""

PITCH = 0.25
"""Side of a cell of the can's floor, mm."""


@dataclass(frozen=True, eq=False)
class Showing:
    """Face area by place of the can.

    Parameters
    ----------
    room
        The can as the dividers see it: width and height, mm.
    density
        Area of both ground faces that comes of each cell, mm2 a mm2 of the can, ``(rows, columns)``, row 0 uppermost.
    """

    room: tuple[float, float]
    density: Array

    def at(self, right: Array, up: Array) -> Array:
        """Return the density at places of the can, mm from its middle."""
        rows, columns = self.density.shape
        column = np.clip(((right / self.room[0] + 0.5) * columns).astype(int), 0, columns - 1)
        row = np.clip(((0.5 - up / self.room[1]) * rows).astype(int), 0, rows - 1)
        return np.asarray(self.density[row, column])

    def area(self, shape: shapely.Geometry) -> float:
        """Return the area of the faces (mm2) that a shape in the can comes out on."""
        (rows, columns), (width, height) = self.density.shape, self.room
        cell = width / columns, height / rows
        share = covered(shape, self.density.shape, cell, (-width / 2, height / 2))
        return float(np.sum(share * self.density) * cell[0] * cell[1])


def everywhere(room: tuple[float, float]) -> Showing:
    """Return a can all of whose floor shows alike, where no blade is at hand."""
    return Showing(room, np.ones((1, 1)))


@kept
def showing(job: Job) -> Showing:
    """Return how much of a job's can shows on its ground faces; kept."""
    from scipy.ndimage import gaussian_filter

    origins, room = find_origins(job), job.pattern_area
    columns, rows = (max(1, round(side / PITCH)) for side in room)
    area = np.zeros((rows, columns))
    for side in SIDES:
        grid = View(side, job.blade.outline, PX_PER_MM).grid
        along, across = np.broadcast_arrays(grid.along, grid.across)
        x, y, z, metal = origins.of_face(side, along[grid.mask], across[grid.mask])
        # what is alike everywhere may come as a single value
        right, up, metal, _ = np.broadcast_arrays(*job.pattern.direction.seen(x, y, z), metal, along[grid.mask])
        edges = [np.linspace(-half, half, count + 1) for half, count in ((room[1] / 2, rows), (room[0] / 2, columns))]
        found, *_ = np.histogram2d(up[metal], right[metal], bins=edges)
        area += found[::-1] / PX_PER_MM**2
    # a bridge is as wide as two beads: what lies nearer than that is one
    cell = room[0] * room[1] / area.size
    return Showing(room, gaussian_filter(area, 2.0, mode="constant") / cell)
