"""The contract every forging step keeps.

A step is a frozen value: settings and model in one. Given the bar before it, it says what bar comes after,
carries points forward and back, and states how volume changes. Steps that treat every section along the bar
alike, and smoothly, derive from `PrismaticStep`, so that a history can tabulate their work over one section.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import floor
from typing import Annotated, ClassVar, Self

import numpy as np
from pydantic import Field

from preview.base.arrays import Array, Mask
from preview.base.errors import JobError
from preview.base.limits import Limit
from preview.base.settings import Control, Minutes, Number, Settings, Switch, Temperature
from preview.base.units import Sentence, Units, mm, say
from preview.forging.bar import FLOAT_SKIN, Bar, Shape
from preview.forging.scale import USUAL_SHARE, scale_loss
from preview.forging.squeeze import Squeeze

Triple = tuple[Array, Array, Array]

LEAST_LEFT = 0.5
"""Metal (mm) that scale has to leave of a bar, across whatever side of it."""


class Heat(Settings):
    """Time at heat before a step: temperature of the steel in °C and minutes.

    Scale takes some of the skin meanwhile, and falls off before the step: what the step leaves is metal. Steel that is
    ``protected`` (in stainless foil, under borax, in a closed box) loses none. ``scale_share`` is what the fire takes
    over what air takes from iron: some 1 in a fire rich in air, 0.2 where it is short of air.
    """

    temperature: Annotated[
        Temperature,
        Control("Heat", "°C", "Of the steel. It softens the nickel's edge a little, and scales the skin.", step=10.0),
    ]
    minutes: Annotated[Minutes, Control("Minutes at heat", least=0.0, step=5.0)]
    protected: Annotated[
        Switch, Control("Kept from scale", help="In stainless foil, under borax or in a closed box: no skin is lost.")
    ] = False
    scale_share: Annotated[Number, Field(ge=0, le=3)] = USUAL_SHARE

    @property
    def scale(self) -> float:
        """Metal lost from each side, mm."""
        return 0.0 if self.protected else self.scale_share * scale_loss(self.temperature, self.minutes)


class Step(Settings):
    """One thing done to the whole bar.

    Subclasses give ``step`` (the name in the job file), ``title`` (the name in lists), `words`, `example`, `limits`,
    `result`, `forward` and `back`, and where they differ from most steps the traits: ``keeps_columns`` (what stands
    upright in the can still comes out in one place), ``mills`` (takes the skin off), ``welds`` (makes the powder
    solid), ``cold`` (is done cold, so that nobody is asked for a heat), ``unlike`` (shapes that the bar may not have).
    """

    title: ClassVar[str]
    keeps_columns: ClassVar[bool] = True
    mills: ClassVar[bool] = False
    welds: ClassVar[bool] = False
    cold: ClassVar[bool] = False
    unlike: ClassVar[tuple[Shape, ...]] = ("wedge", "tapered")

    step: str
    heat: Annotated[
        Heat | None, Control("Heat", offer="A heat of its own", start=Heat(temperature=1150.0, minutes=10.0))
    ] = None

    @classmethod
    def asked(cls) -> tuple[str, ...]:
        """See `Settings.asked`; a heat only where the step is done hot."""
        return tuple(name for name in super().asked() if name != "heat" or not cls.cold)

    @classmethod
    def example(cls, before: Bar) -> Self:
        """Return a step to start from, with numbers that suit ``before``."""
        raise NotImplementedError

    def again(self, before: Bar) -> Self:  # noqa: ARG002 - part of the contract
        """Return this step as it is done once more, to the bar ``before`` that it left."""
        return self

    def words(self, units: Units) -> str:
        """Return what to do, in one short phrase, sizes cold and in ``units``."""
        raise NotImplementedError

    def notes(self, before: Bar) -> tuple[Sentence, ...]:  # noqa: ARG002 - part of the contract
        """Return what is doubtful about doing this to ``before``."""
        return ()

    def joints(self, before: Bar) -> Array:  # noqa: ARG002
        """Return where along the bar after the step (mm) the welds lie that it makes across the bar."""
        return np.empty(0)

    def waves(self, before: Bar) -> tuple[tuple[float, float], ...]:  # noqa: ARG002 - part of the contract
        """Return the waves (mm, rms) that its bites leave, laid end to end, each with the thickness (mm) after it."""
        return ()

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:  # noqa: ARG002 - part of the contract
        """Return the passes of the dies that it takes, in their order; none where it takes no dies."""
        return ()

    def in_bites(self, before: Bar, done: Callable[[Step, Bar], Bar | None]) -> tuple[Step, ...]:  # noqa: ARG002
        """Return steps that do the same in other bites; none where there are no such.

        ``done`` returns the bar that a step leaves of the one it meets, None where the tools do not manage it.
        """
        return ()

    def turned_often(self) -> Self:
        """Return this step as it is done in small bites with a quarter turn between them."""
        return self

    def in_forge(self, friction: float, spread_factor: float, *, over_own: bool = False) -> Self:  # noqa: ARG002
        """Return this step as a forge does it whose dies have ``friction`` and whose spread is so many times the law's.

        What the step says of its own counts, unless ``over_own``.
        """
        return self

    def rougher(self, by: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return this step with the friction that it says of its own changed ``by`` so much, held from 0 to 1."""
        return self

    def settled(self, along: float, across: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return this step with so much more of a fill's settling along and across, and so much less through."""
        return self

    def leaving_more(self, by: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return this step, if it sets the bar's thickness, leaving it ``by`` mm thicker."""
        return self

    def milling_more(self, by: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return this step, if it mills, taking ``by`` mm more off each face."""
        return self

    def in_fire(self, factor: float) -> Self:
        """Return this step in a fire that takes ``factor`` times the scale that its heat says."""
        if self.heat is None or factor == 1:
            return self
        heat = self.heat.model_copy(update={"scale_share": factor * self.heat.scale_share})
        return self.model_copy(update={"heat": heat})

    def out_of_fire(self, bar: Bar) -> Bar:
        """Return what the step's heat leaves of ``bar`` for the step to meet.

        Raises
        ------
        JobError
            If scale would eat it up.
        """
        if self.heat is None or not self.heat.scale:
            return bar
        left = bar.scaled(self.heat.scale)
        if left.least_size < LEAST_LEFT:
            problem = "scale would take {} off each side of a bar that is only {} thick there: less heat, or less time"
            raise JobError.at("heat", say(problem, mm(self.heat.scale), mm(bar.least_size)))
        return left

    def refuse(self, before: Bar) -> None:
        """Raise `JobError` where this cannot be done to ``before``, whatever its numbers are."""
        if before.density < 1:
            msg = f"the filling is still loose (relative density {before.density:g}): consolidate the powder first"
            raise JobError.at("step", msg)
        if before.shape in self.unlike:
            msg = f"the bar is already a {before.shape} one; this has to come before the step that made it so"
            raise JobError.at("step", msg)

    def limits(self, before: Bar) -> Iterator[Limit]:  # noqa: ARG002 - part of the contract
        """Yield what its numbers may be for a bar ``before`` that it is not refused, as they settle each other."""
        return iter(())

    def result(self, before: Bar) -> Bar:
        """Return the bar after this step, which can be done to ``before``."""
        raise NotImplementedError

    def after(self, before: Bar) -> Bar:
        """Return the bar after this step; raise `JobError` where the step cannot be done to ``before``."""
        self.refuse(before)
        for limit in self.limits(before):
            if not limit.holds:
                raise JobError.at(limit.where, limit.fault())
        return self.result(before)

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """Carry points (three broadcastable arrays, mm, frame of ``before``) to the frame after the step."""
        raise NotImplementedError

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """Carry points (three broadcastable arrays, mm, frame after the step) to the frame of ``before``."""
        raise NotImplementedError

    def depth(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """Return how deep points (mm, frame after the step) lie in what the step leaves; below 0 is off it."""
        return np.asarray(np.inf)

    def volume_ratio(self, points: Array, before: Bar) -> Array:  # noqa: ARG002 - part of the contract
        """Return volume after over volume before at ``points`` (..., 3), frame of ``before``; shape (...)."""
        return np.ones(np.shape(points)[:-1])

    def push_forward(self, points: Array, before: Bar) -> Array:
        """Carry points (..., 3) in mm from the frame of ``before`` to the frame after; NaN off the metal."""
        old = _split(points)
        new = self.forward(*old, before)
        return _joined(new, self._is_metal(old, new, before))

    def pull_back(self, points: Array, before: Bar) -> Array:
        """Carry points (..., 3) in mm from the frame after the step to that of ``before``; NaN off the metal."""
        new = _split(points)
        old = self.back(*new, before)
        return _joined(old, self._is_metal(old, new, before))

    def _is_metal(self, old: Triple, new: Triple, before: Bar) -> Mask:
        kept = self.depth(*new, before) >= -FLOAT_SKIN
        return kept & before.contains(*old) if before.shape == "block" else kept


def _split(points: Array) -> Triple:
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    return x, y, z


def _joined(parts: Triple, metal: Mask) -> Array:
    points = np.stack(np.broadcast_arrays(*parts), axis=-1)
    lost = np.isnan(points).any(axis=-1, keepdims=True) | ~np.broadcast_to(metal, points.shape[:-1])[..., None]
    return np.where(lost, np.nan, points)


class PrismaticStep(Step):
    """A smooth step that moves points along the bar by ``along`` alone, and in the section by the section alone.

    It treats the four quarters of a section alike, and hangs on no heat; on the bar's length only where it says so by
    ``by_length``.
    """

    by_length: ClassVar[bool] = False

    def along_forward(self, along: Array, before: Bar) -> Array:
        """Carry positions along the bar (mm) forward."""
        raise NotImplementedError

    def along_back(self, along: Array, before: Bar) -> Array:
        """Carry positions along the bar (mm) back."""
        raise NotImplementedError

    def section_forward(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """Carry section points (two broadcastable arrays, mm) forward."""
        raise NotImplementedError

    def section_back(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """Carry section points (two broadcastable arrays, mm) back."""
        raise NotImplementedError

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`."""
        return (self.along_forward(along, before), *self.section_forward(across, through, before))

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        return (self.along_back(along, before), *self.section_back(across, through, before))


def less(size: float) -> float:
    """Return a tenth less of a size (mm), to a tenth of a millimetre: what a step may start from.

    Examples
    --------
    >>> less(6.5)
    5.8
    """
    return max(floor(9 * size + 1e-9) / 10, 0.1)
