"""Where the pixels of a ground face came from: through bar and forging back to the pattern laid in the can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.blade.grind import Side
from preview.blade.ground import Ground
from preview.forging.history import History, PullBack
from preview.pattern.nickel import Mottled
from preview.pattern.pattern import Direction
from preview.pattern.raster import Raster
from preview.pattern.sampler import Sampler

MIRROR = 0.01
"""How far (mm, in the can) the faces' origins may differ for one to be called the other's mirror: the table's error."""


@dataclass(frozen=True, eq=False)
class Origins:
    """All that says where a place of the ground blade came from.

    Parameters
    ----------
    pull_back
        The forging, tabulated.
    ground
        The ground blade.
    laid
        The pattern as it is laid in the can: what its line widths are told of.
    sampler
        The same, softened by the heats.
    direction
        Which way the pattern's dividers run.
    inside
        The can's inside, mm: beyond it lies the shell.
    mottle
        The powders' mottle, or None where none is mottled.
    moved
        Where in the bar's plan (mm, bar frame) a place has to be reckoned, by what a photograph showed; None without.
    """

    pull_back: PullBack
    ground: Ground
    laid: Raster
    sampler: Sampler
    direction: Direction
    inside: tuple[float, float, float]
    mottle: Mottled | None
    moved: Callable[[Array, Array], tuple[Array, Array]] | None = None

    @property
    def history(self) -> History:
        """The can and its forging steps."""
        return self.pull_back.history

    @property
    def mirrored(self) -> bool:
        """Whether the left face shows the right one's pattern, mirrored: then one reckoning serves both."""
        return self.direction.upright and self.ground.alike("left") == "right" and _keeps_mirror(self.pull_back)

    def of_face(
        self, side: Side, along: Array, across: Array, distance: Array | None = None
    ) -> tuple[Array, Array, Array, Mask]:
        """Return can coordinates (mm) of places of the ground face, and where there is metal; see `Ground.stand`."""
        return self.of_points(side, along, across, self.ground.stand(side, along, across, distance))

    def of_points(self, side: Side, along: Array, across: Array, stand: Array) -> tuple[Array, Array, Array, Mask]:
        """Return can coordinates (mm) of points ``stand`` mm outwards of the mid-plane, and where there is metal."""
        through = stand if side == "right" else -stand
        kind = stand.dtype.type
        x, y, z = self.ground.blade.blade_to_bar(along.astype(kind), across.astype(kind), through, self.ground.bar)
        if self.moved is not None:
            x, y = self.moved(x, y)
        return self.pull_back(x, y, z)

    def in_picture(self, x: Array, y: Array, z: Array) -> tuple[Array, Array]:
        """Return raster column and row (in cells) of can points."""
        return self.sampler.positions(*self.direction.seen(x, y, z))

    def shares(self, x: Array, y: Array, z: Array) -> Array:
        """Return the share of each class at can points (broadcastable, mm), ``(classes, ...)``."""
        return self.sampler.shares(*self.in_picture(x, y, z))

    def is_shell(self, x: Array, y: Array, z: Array) -> Mask | None:
        """Return which can points lie in the can's wall, or None where none does."""
        shell: Mask | None = None
        for position, size in zip((x, y, z), self.inside, strict=True):
            if position.size and max(-position.min(), position.max()) > size / 2:
                beyond = np.abs(position) > size / 2
                shell = beyond if shell is None else shell | beyond
        return shell


@kept
def _keeps_mirror(pull_back: PullBack) -> bool:
    """Say whether the forging treats what lies above the bar's mid-plane as what lies below it."""
    bar = pull_back.history.bar
    # a golden-ratio walk through the bar
    k = np.arange(300)
    x, y, z = (((k * step) % 1 - 0.5) * 0.98 * size for step, size in zip((0.755, 0.57, 0.82), bar.size, strict=True))
    above, below = pull_back(x, y, z), pull_back(x, y, -z)
    same = [np.abs(above[n] - below[n]).max() for n in (0, 1)] + [np.abs(above[2] + below[2]).max()]
    return max(map(float, same)) < MIRROR


def blade_to_can(ground: Ground, history: History, points: Array) -> Array:
    """Carry blade points (..., 3), mm, to where they lay in the can, by the direct map; NaN off the metal."""
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    return history.bar_to_can(np.stack(ground.blade.blade_to_bar(x, y, z, ground.bar), axis=-1))


def can_to_blade(ground: Ground, history: History, points: Array) -> Array:
    """Carry can points (..., 3), mm, to where they went on the blade, by the direct map; NaN where milled off."""
    x, y, z = np.moveaxis(history.can_to_bar(points), -1, 0)
    return np.stack(ground.blade.bar_to_blade(x, y, z, ground.bar), axis=-1)
