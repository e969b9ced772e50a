"""A line of steel from the bar's middle to its face, followed from the can through the work.

Scale and milling take from its end; what its cells hold is carried on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.forging.bar import SKIN, Bar
from preview.forging.history import History
from preview.forging.steps.base import Step

FINEST, GROWTH, COARSEST = 0.03, 1.1, 0.1
"""Length of the cells at the joint of powder and can, mm in the can; of each over the last on the way to the middle; of
the longest."""

OFF_MIDDLE = 0.1
"""The line stands a little off the middle (mm along the bar), since a bar of tiles may have a joint there."""


@dataclass(frozen=True, eq=False)
class FaceLine:
    """Steel in cells, from the bar's middle outwards.

    Parameters
    ----------
    ends
        Points between the cells, (cells + 1, 3), mm, in the frame of the moment.
    laid
        Where they lay in the can, mm from its middle, (cells + 1).
    held
        What each cell holds, (cells).
    solid
        Relative density of each, (cells).
    """

    ends: Array
    laid: Array
    held: Array
    solid: Array

    @property
    def lengths(self) -> Array:
        """Length of each cell, mm."""
        return np.asarray(np.linalg.norm(np.diff(self.ends, axis=0), axis=1))

    def where(self, least: float) -> float:
        """Return how far from the can's middle cells hold at least so much, without a gap, mm as it lay in the can."""
        short = np.flatnonzero(self.held < least)
        if not short.size:
            return float(self.laid[-1])
        last = max(int(short[0]), 1)
        pair, middles = slice(last - 1, last + 1), (self.laid[1:] + self.laid[:-1]) / 2
        return float(np.interp(-least, -self.held[pair], middles[pair]))

    def under_skin(self, laid: float) -> float:
        """Return how deep a place lies under the end, mm, in the frame of the moment; below 0 if it was cut off.

        What was cut off counts as if it were as thick as the last cell.
        """
        lengths = self.lengths
        if laid > self.laid[-1]:
            return float((self.laid[-1] - laid) * lengths[-1] / (self.laid[-1] - self.laid[-2]))
        places = np.concatenate([[0.0], np.cumsum(lengths)])
        return float(places[-1] - np.interp(laid, self.laid, places))

    def cut(self, cell: int, share: float) -> FaceLine:
        """Return the line cut off within a cell, of which a ``share`` is left."""
        if share < 1e-6 and cell > 0:
            cell, share = cell - 1, 1.0
        ends, laid = self.ends[: cell + 2].copy(), self.laid[: cell + 2].copy()
        ends[-1] = ends[-2] + share * (ends[-1] - ends[-2])
        laid[-1] = laid[-2] + share * (laid[-1] - laid[-2])
        return FaceLine(ends, laid, self.held[: cell + 1], self.solid[: cell + 1])

    def scaled(self, loss: float) -> FaceLine:
        """Return the line with ``loss`` mm gone from its end."""
        if not loss:
            return self
        places = np.concatenate([[0.0], np.cumsum(self.lengths)])
        left = max(float(places[-1]) - loss, 0.0)
        cell = min(int(np.searchsorted(places, left, side="right")) - 1, len(self.held) - 1)
        return self.cut(cell, (left - places[cell]) / (places[cell + 1] - places[cell]))

    def within(self, bar: Bar) -> FaceLine:
        """Return the line cut off at the bar's face: bulged sides stand out until a die closes on them."""
        x, y, z = self.ends.T
        return self._left(bar.thickness_at(x, y) / 2 - np.abs(z)) if bar.flat else self

    def after(self, step: Step, met: Bar) -> FaceLine:
        """Return the line after a step that meets the bar ``met``, cut off where the step leaves no metal."""

        def carried(ends: Array) -> Array:
            x, y, z = ends.T
            return np.stack(np.broadcast_arrays(*step.forward(x, y, z, met)), axis=1)

        line, ends = self, carried(self.ends)
        lost = np.flatnonzero(np.isnan(ends).any(axis=1))
        if lost.size:  # cut up: of the cell in the cut as much as goes on, to a thousandth
            cell, shares = max(int(lost[0]) - 1, 0), np.linspace(0, 1, 1001)
            within = line.ends[cell] + shares[:, None] * (line.ends[cell + 1] - line.ends[cell])
            whole = ~np.isnan(carried(within)).any(axis=1)
            line = line.cut(cell, float(shares[whole].max(initial=0.0)))
            ends = carried(line.ends)
        solid = np.ones_like(line.solid) if step.welds else line.solid
        x, y, z = ends.T
        return FaceLine(ends, line.laid, line.held, solid)._left(step.depth(x, y, z, met))

    def _left(self, depth: Array) -> FaceLine:
        """Return the line cut off where the depth (mm) of its ends (cells + 1) under a skin falls below 0."""
        depth = np.broadcast_to(depth, len(self.ends))
        off = np.flatnonzero(depth < -SKIN)
        if not off.size:
            return self
        cell = max(int(off[0]) - 1, 0)
        inner, outer = depth[cell], depth[cell + 1]
        return self.cut(cell, float(inner / (inner - outer)) if inner > 0 else 0.0)


@dataclass(frozen=True)
class Ray:
    """Where a face of the bar, over what was the can's middle, came from in the can.

    Parameters
    ----------
    begin, way
        It goes from here by ``way``, (3) each; ``way`` counts 1 along the axis.
    axis
        Which way of the can, 0 to 2, leads to the face.
    face
        Where the face came from on that axis, mm.
    middle, joint, outside
        Where the ray begins, and the can's wall begins and ends, mm outwards along the axis.
    """

    begin: Array
    way: Array
    axis: int
    face: float
    middle: float
    joint: float
    outside: float

    @classmethod
    def of(cls, history: History, side: int) -> Ray:
        """Return the ray of the upper face, for a ``side`` of 1, or the lower one, for -1."""
        bar, start = history.bar, history.start
        along, across, _ = history.between(np.array([OFF_MIDDLE, 0, 0]), "can", "bar")
        if not bar.contains(along, across, np.array(0.0)):  # milled off, or cut up
            along, across = np.array(OFF_MIDDLE), np.array(0.0)
        high = float(bar.thickness_at(along, across)) / 2
        begin, face = history.origin(np.array([[along, across, 0], [along, across, side * high]]))
        axis = int(np.abs(face - begin).argmax())
        way = (face - begin) / abs(face[axis] - begin[axis])
        outside = start.size[axis] / 2
        return cls(begin, way, axis, float(face[axis]), float(begin[axis] * way[axis]), outside - start.wall, outside)

    def laid(self, density: float, powder: float, wall: float) -> FaceLine:
        """Return the steel on it as it lies in the can, with what each cell of powder and of wall holds."""
        depth = self.joint - self.middle
        most = int(depth / COARSEST + np.log(COARSEST / FINEST) / np.log(GROWTH)) + 9
        inwards = np.cumsum(np.minimum(FINEST * GROWTH ** np.arange(most), COARSEST))
        cells = int(np.searchsorted(inwards, depth)) + 1
        inwards = np.concatenate([[0.0], inwards[:cells]]) * (depth / inwards[cells - 1])
        walls = int(np.ceil((self.outside - self.joint) / FINEST))
        laid = np.concatenate([self.joint - inwards[::-1], np.linspace(self.joint, self.outside, walls + 1)[1:]])
        of_can = np.arange(cells + walls) >= cells
        ends = self.begin + (laid - self.middle)[:, None] * self.way
        return FaceLine(ends, laid, np.where(of_can, wall, powder), np.where(of_can, 1.0, density))
