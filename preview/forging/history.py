"""The bar's history: from the filled can through every forging step, and back again.

Steps are kept oldest first, as the smith worked. Points of the finished bar are pulled back newest step
first, to ask which grain of powder ended up there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.base.errors import JobError
from preview.base.progress import counted
from preview.forging.bar import FLOAT_SKIN, Bar
from preview.forging.bites import left_by
from preview.forging.section_table import SectionTable
from preview.forging.steps.base import Heat, PrismaticStep, Step


@dataclass(frozen=True)
class History:
    """A can and what was done to it.

    Parameters
    ----------
    start
        The filled can.
    steps
        Forging steps, oldest first.

    Notes
    -----
    Frames are named ``can``, then after each step its number and name (``1 consolidate``, ``2 press``);
    the last is also called ``bar``.
    """

    start: Bar
    steps: tuple[Step, ...] = ()

    @cached_property
    def met(self) -> tuple[Bar, ...]:
        """The bar that each step meets: scale has taken some skin off the one before it, if the step has a heat."""
        return tuple(step.out_of_fire(bar) for step, bar in zip(self.steps, self.bars, strict=False))

    @cached_property
    def bars(self) -> tuple[Bar, ...]:
        """The bar before the first step, and after each.

        Raises
        ------
        JobError
            If a step cannot be done to the bar it meets, with the step's number in the key path.
        """
        bars = tuple(self.walk())
        if bars[-1].density < 1:
            msg = (
                f"the filling is loose to the end (relative density {bars[-1].density:g}); a consolidate step is needed"
            )
            raise JobError.at("forging", msg)
        return bars

    def walk(self) -> Iterator[Bar]:
        """Yield the bar before the first step, and after each, as far as they can be done; errors as for `bars`."""
        bar = self.start
        yield bar
        for number, step in enumerate(self.steps):
            try:
                bar = step.after(step.out_of_fire(bar))
            except JobError as error:
                raise JobError(fault.under(f"forging[{number}]") for fault in error.faults) from error
            yield bar

    @property
    def bar(self) -> Bar:
        """The bar after the last step."""
        return self.bars[-1]

    @property
    def frames(self) -> tuple[str, ...]:
        """Names of the frames, from ``can`` on."""
        return ("can", *(f"{number} {step.step}" for number, step in enumerate(self.steps, start=1)))

    @property
    def first(self) -> Bar:
        """The can as the first step meets it: what lies beyond it is no metal."""
        return self.met[0] if self.steps else self.start

    @property
    def scale(self) -> tuple[float, ...]:
        """Skin (mm) that each step's heat takes off every side before the step."""
        return tuple((bar.thickness - met.thickness) / 2 for bar, met in zip(self.bars, self.met, strict=False))

    @property
    def heats(self) -> tuple[tuple[int, Heat], ...]:
        """The recorded heats, each with the index of its step."""
        return tuple((index, step.heat) for index, step in enumerate(self.steps) if step.heat)

    @property
    def waves(self) -> float:
        """How far (mm, rms, each way in the bar's plane) bites laid end to end leave the pattern off."""
        met = zip(self.steps, self.bars[:-1], strict=True)
        return left_by(tuple(each for step, before in met for each in step.waves(before)))

    def between(self, points: Array, source: str, target: str) -> Array:
        """Carry points (..., 3) in mm from one named frame to another; NaN off the metal.

        Raises
        ------
        KeyError
            If a frame's name is unknown.
        """
        first, last = self._frame(source), self._frame(target)
        points = np.asarray(points, dtype=float)
        for index in range(first, last):
            points = self.steps[index].push_forward(self._left(points, index), self.met[index])
        for index in reversed(range(last, first)):
            points = self._left(self.steps[index].pull_back(points, self.met[index]), index)
        return points

    def _left(self, points: Array, index: int) -> Array:
        """Return the points (..., 3) of a bar, mm, NaN for what the heat of the step that meets it took for scale."""
        if not self.scale[index]:
            return points
        metal = self.met[index].under_faces(*np.moveaxis(points, -1, 0))
        return np.where(metal[..., None], points, np.nan)

    def _frame(self, name: str) -> int:
        if name == "bar":
            return len(self.steps)
        if name not in self.frames:
            msg = f"unknown frame {name!r}; known: {', '.join((*self.frames, 'bar'))}"
            raise KeyError(msg)
        return self.frames.index(name)

    def bar_to_can(self, points: Array) -> Array:
        """Carry points (..., 3) in mm of the finished bar to where they lay in the can; NaN off the metal."""
        return self._off_metal_is_nan(self.between(points, "bar", "can"))

    def origin(self, points: Array) -> Array:
        """Carry points (..., 3) in mm of the bar's frame to the can's, whether there is metal there or not."""
        x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
        for step, before in zip(reversed(self.steps), reversed(self.met), strict=True):
            x, y, z = step.back(x, y, z, before)
        return np.stack(np.broadcast_arrays(x, y, z), axis=-1)

    def can_to_bar(self, points: Array) -> Array:
        """Carry points (..., 3) in mm of the can to the finished bar; NaN for what was milled off."""
        return self.between(self._off_metal_is_nan(np.asarray(points, dtype=float)), "can", "bar")

    def _off_metal_is_nan(self, points: Array) -> Array:
        inside = self.first.contains(*np.moveaxis(points, -1, 0))
        return np.where(inside[..., None], points, np.nan)

    def gradient(self, source: str = "can", target: str = "bar", at: tuple[float, float, float] = (0.1, 0, 0)) -> Array:
        """Return the (3, 3) deformation gradient d target / d source at a point ``at`` (mm) of the source.

        The usual point is the middle, a little off it along the bar, since a bar of tiles may have a joint there.
        """
        reach = 1e-3
        offsets = np.concatenate([np.eye(3), -np.eye(3)]) * reach
        moved = self.between(np.asarray(at) + offsets, source, target)
        return np.asarray((moved[:3] - moved[3:]).T / (2 * reach))


_ALL_METAL = np.asarray(True)
_Pulled = tuple[Array, Array, Array, Mask]
"""Points (along, across, through, mm), and where, as far as one stage knows, there is metal."""


@dataclass(frozen=True, eq=False)
class _Direct:
    """One step, undone as it is, and whether its heat took some skin."""

    step: Step
    before: Bar
    scaled: bool

    def __call__(self, along: Array, across: Array, through: Array) -> _Pulled:
        metal = self.step.depth(along, across, through, self.before) >= -FLOAT_SKIN
        back = self.step.back(along, across, through, self.before)
        return (*back, metal & self.before.under_faces(*back) if self.scaled else metal)


_Run = tuple[tuple[PrismaticStep, Bar], ...]
"""Steps, newest first, each with the bar it met."""


@kept
def _section_table(steps: _Run, width: float, thickness: float) -> SectionTable:
    """Tabulate what ``steps`` do to the section of a bar that is ``width`` by ``thickness`` after them."""

    def section_back(across: Array, through: Array) -> tuple[Array, Array]:
        for step, before in counted("tabulating the forging", steps):
            across, through = step.section_back(across, through, before)
        return across, through

    oldest = steps[-1][1]
    bulge = 1.0 if oldest.shape == "block" else 1.05  # an earlier bulge reaches past the mean width
    reach = (bulge * oldest.width, oldest.thickness)
    return SectionTable.of(section_back, width, thickness, reach)


@dataclass(frozen=True, eq=False)
class _Tabulated:
    """A run of steps; what they do to the section is in a table, kept whatever the bar's length.

    Points beyond the section's mean sizes, where a twist before may have left metal, go the direct way. Where a heat of
    the run took some skin, nothing beyond the faces of the bar ``left`` by the run is metal.
    """

    steps: _Run
    table: SectionTable
    left: Bar | None

    @property
    def before(self) -> Bar:
        """The bar that the oldest step met."""
        return self.steps[-1][1]

    @classmethod
    def of(cls, steps: _Run, after: Bar, *, scaled: bool) -> _Tabulated:
        """Tabulate ``steps``, which leave the bar ``after``; say whether their heats took some skin."""
        in_section = tuple(
            (step.model_copy(update={"heat": None}), before if step.by_length else replace(before, length=1.0))
            for step, before in steps
        )
        table = _section_table(in_section, after.width, after.thickness)
        return cls(steps, table, after if scaled else None)

    def __call__(self, along: Array, across: Array, through: Array) -> _Pulled:
        metal = _ALL_METAL
        if self.left is not None and not _within(self.left.size[2:], through):
            metal = self.left.under_faces(along, across, through)
        for step, before in self.steps:
            along = step.along_back(along, before)
        return (along, *self._section_back(across, through), metal)

    def _section_back(self, across: Array, through: Array) -> tuple[Array, Array]:
        section = (self.table.width, self.table.thickness)
        if _within(section, across, through):
            return self.table(across, through)
        beyond = (np.abs(across) > section[0] / 2) | (np.abs(through) > section[1] / 2)
        places = np.broadcast_arrays(across, through)
        y, z = (np.array(np.broadcast_to(each, beyond.shape)) for each in self.table(across, through))
        far_y, far_z = (each[beyond] for each in places)
        for step, before in self.steps:
            far_y, far_z = step.section_back(far_y, far_z, before)
        y[beyond], z[beyond] = far_y, far_z
        return y, z


@dataclass(frozen=True, eq=False)
class PullBack:
    """The same pull-back as `History.bar_to_can`, made for millions of points: runs of presses are tabulated.

    Parameters
    ----------
    history
        The history it was made from.
    stages
        Maps to apply in turn, newest first; each also says where, as far as it alone knows, there is metal.
    """

    history: History
    stages: tuple[_Direct | _Tabulated, ...]

    def __call__(self, along: Array, across: Array, through: Array) -> _Pulled:
        """Return ``can`` coordinates (broadcastable arrays, mm) and where there is metal.

        Arrays keep their own broadcastable shapes and their precision: float32 in, float32 out.
        """
        metal = _ALL_METAL if self.stages else self.history.start.contains(along, across, through)
        for stage in self.stages:
            along, across, through, kept_metal = stage(along, across, through)
            metal = metal & kept_metal
            if stage.before.shape == "block" and not _within(stage.before.size, along, across, through):
                metal = metal & stage.before.contains(along, across, through)
        return along, across, through, metal


def _within(sizes: tuple[float, ...], *points: Array) -> bool:
    """Say whether all points lie in a box of ``sizes``: cheaper than asking each, and so it is most of the time."""
    return all(
        position.size == 0 or max(-position.min(), position.max()) <= size / 2
        for position, size in zip(points, sizes, strict=True)
    )


@kept
def pull_back(history: History) -> PullBack:
    """Return the tabulated pull-back of ``history``."""
    stages: list[_Direct | _Tabulated] = []
    done = list(zip(history.steps, history.met, history.bars[1:], history.scale, strict=True))
    for _, group in groupby(done, key=lambda each: isinstance(each[0], PrismaticStep)):
        run = list(group)[::-1]
        prismatic = tuple((step, before) for step, before, *_ in run if isinstance(step, PrismaticStep))
        if prismatic:
            scaled = any(scale > 0 for *_, scale in run)
            stages.insert(0, _Tabulated.of(prismatic, run[0][2], scaled=scaled))
        else:
            stages[:0] = [_Direct(step, before, scale > 0) for step, before, _, scale in run]
    return PullBack(history, tuple(stages))
