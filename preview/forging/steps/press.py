"""Pressing between flat dies; the law it follows is in `preview.forging.press_flow`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import log, prod
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Array
from preview.base.limits import Limit
from preview.base.settings import Control, Count, Either, Number, PositiveLength, Share, Switch
from preview.base.units import Sentence, Units, mm, say
from preview.forging.bar import Bar
from preview.forging.bites import wave
from preview.forging.press_flow import Pass, spread_share
from preview.forging.squeeze import Squeeze
from preview.forging.steps.base import PrismaticStep, Step, less

DEFAULT_BITE = 25.0
"""Bite (mm) where neither spread, bite nor measured width is given: a narrow press die (common practice, no published
source)."""

DEFAULT_FRICTION = 0.7
"""Friction factor where neither the step nor a calibration gives one."""

STICKING = 0.9
"""Friction factor up to which the flow law was fitted at usual bites; see `preview.forging.press_flow`."""

MORE_PASSES, MOST_PASSES = (1, 2, 3, 4), 60
"""How many times as many passes are tried, and how many there may be."""

FITTED_BITES = (50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0)
"""Bites (mm) that a step is fitted to a tool with: such as a smith keeps by eye."""

NARROW = 1 / 3
"""Bite over thickness under which only the skin is worked (common practice, no published source)."""


class Press(PrismaticStep):
    """Squeeze the bar between flat dies down to ``height``.

    How much of it goes to width is one of ``spread`` (S itself), ``width`` (a measured width after the
    step) or ``bite`` (die width or feed along the bar, by the published law; 25 mm where nothing is given).
    ``spread_factor`` is the forge's own spread over the law's. ``friction`` is the friction factor m_f, 0 for
    none to 1 for sticking; dry or scaled hot steel has 0.6 to 1, graphite or glass 0.2 to 0.4 (from memory);
    left out, it is the calibration's, or 0.7. ``repeat`` passes reach the height in equal strains. With
    ``turn_between`` the bar is rolled a quarter turn and back between passes, so that pairs of passes
    bring thickness and width down together, towards a square of ``height``.
    """

    title: ClassVar[str] = "Press"
    either: ClassVar[Either] = Either("Widening set by", ("bite", "width", "spread"))

    step: Literal["press"] = "press"
    height: Annotated[
        PositiveLength, Control("Down to", "mm", "Thickness the press closes to, cold.", least=0.1, step=0.5)
    ]
    spread: Annotated[
        Share | None,
        Control(
            "How much goes to width, 0 to 1",
            help="0: all goes to length; 1: all to width.",
            least=0.0,
            step=0.05,
            start=0.3,
        ),
    ] = None
    bite: Annotated[
        PositiveLength | None,
        Control(
            "Bite of the die", "mm",
            "Width of the die, or feed along the bar: narrow bites make it longer, wide ones wider. Overlap them by "
            "half: laid end to end they leave waves.",
            least=0.0, start=DEFAULT_BITE,
        ),
    ] = None  # fmt: skip
    width: Annotated[
        PositiveLength | None,
        Control("Measured width after", "mm", "Width you measured after this step, cold.", least=0.0, start=40.0),
    ] = None
    friction: Annotated[
        Share | None,
        Control(
            "Friction factor",
            help="0 none, 0.2 to 0.4 graphite or glass, 0.6 to 1 dry or scaled: it makes the sides bulge. "
            f"Left alone, friction is your calibration's, or {DEFAULT_FRICTION:g}.",
            least=0.0, most=1.0, slider=True, offer="Friction of its own", start=DEFAULT_FRICTION,
        ),
    ] = None  # fmt: skip
    spread_factor: Annotated[Number, Field(gt=0, le=3)] = 1.0
    repeat: Annotated[
        Count,
        Field(ge=1, le=MOST_PASSES),
        Control("Passes", help="How many times the dies close to reach it.", least=1, most=MOST_PASSES),
    ] = 1
    turn_between: Annotated[
        Switch,
        Control("Quarter turn between passes", help="Draws thickness and width down together, towards a square."),
    ] = False

    @classmethod
    def example(cls, before: Bar) -> Self:
        """See `Step.example`."""
        return cls(height=less(before.thickness), bite=20.0)

    def again(self, before: Bar) -> Self:
        """See `Step.again`; a little further down."""
        least = min(before.thickness, before.width) if self.turn_between else before.thickness
        return self.model_copy(update={"height": less(least)})

    def leaving_more(self, by: float) -> Self:
        """See `Step.leaving_more`."""
        return self.model_copy(update={"height": round(self.height + by, 6)})

    def words(self, units: Units) -> str:
        """See `Step.words`."""
        passes = f", {self.repeat} passes" if self.repeat > 1 else ""
        turned = ", a quarter turn between" if self.turn_between else ""
        bite = f", bite {units.length(self.bite, form='g')}" if self.bite else ""
        return f"Press to {units.length(self.height, form='g')}{passes}{turned}{bite}"

    def notes(self, before: Bar) -> tuple[Sentence, ...]:
        """See `Step.notes`: a bite too narrow to work the middle, dies that the steel sticks to."""
        notes = []
        if self.bite is not None and self.bite < NARROW * before.thickness:
            problem = (
                "a bite of {} on a bar {} thick works the skin only; the sides may fold and the pattern ripple. "
                "At least a third of the thickness is the rule."
            )
            notes.append(say(problem, mm(self.bite, form="g"), mm(before.thickness, form=".3g")))
        if self._friction > STICKING:
            problem = (
                "a friction factor of {} is more than the {} that the flow is known for: where the steel sticks to "
                "the dies and does not slide at all, lines of a bar pressed by more than half lie a tenth of its final "
                "height and more from where they are shown. Lubricate, or measure."
            )
            notes.append(say(problem, f"{self._friction:.2g}", f"{STICKING:g}"))
        return tuple(notes)

    def waves(self, before: Bar) -> tuple[tuple[float, float], ...]:
        """See `Step.waves`; where no bite is given, the usual one."""
        bite = self.bite or DEFAULT_BITE
        return tuple(
            (wave(bite, each.h0, each.h0 - each.h1), each.width_after if each.on_edge else each.h1)
            for each in self.passes(before)
        )

    def squeezes(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.squeezes`; where no bite is given, the usual one."""
        found, length = [], before.length
        for each in self.passes(before):
            length *= each.stretch
            sizes = each.h0, each.h1, each.width_after, length
            own = self.spread is None and self.width is None
            bite = self.bite or DEFAULT_BITE
            found.append(Squeeze(*sizes, bite, each.friction, turned=each.on_edge, own_bite=own))
        return tuple(found)

    def counted(self, before: Bar) -> tuple[Squeeze, ...]:
        """See `Step.counted`."""
        return self.squeezes(before) if self.repeat > 1 else ()

    def in_bites(self, before: Bar, done: Callable[[Step, Bar], Bar | None]) -> tuple[Step, ...]:
        """See `Step.in_bites`: with more passes, else each pass in the widest bite that will do, no wider than now.

        Pairs of passes with a turn between them keep one bite. No bite is so narrow that it works the skin only.
        """
        more = [self.model_copy(update={"repeat": self.repeat * times}) for times in MORE_PASSES]
        same = (step for step in more if step.repeat <= MOST_PASSES)
        narrow = (step for one in more for step in one._narrower(before.thickness))
        for step in (*same, *(narrow if self.turn_between else ())):
            if done(step, before):
                return (step,)
        return () if self.turn_between else next(filter(None, (each._pass_by_pass(before, done) for each in more)), ())

    def _pass_by_pass(self, before: Bar, done: Callable[[Step, Bar], Bar | None]) -> tuple[Step, ...]:
        """Return this step pass by pass, each in the widest bite that will do, like ones as one; none where none do."""
        found: list[Press] = []
        bar = before
        for number in range(1, self.repeat + 1):
            height = before.thickness * (self.height / before.thickness) ** (number / self.repeat)
            height = self.height if number == self.repeat else round(height, 1)
            like = found[-1] if found else self
            one = like.model_copy(update={"height": height, "repeat": 1, "heat": None, "width": None})
            for step in one._narrower(bar.thickness):
                after = done(step, bar)
                if after is not None:
                    break
            else:
                return ()
            bar = after
            if found and found[-1].bite == step.bite:
                found[-1] = found[-1].model_copy(update={"height": height, "repeat": found[-1].repeat + 1})
            else:
                found.append(step)
        return (found[0].model_copy(update={"heat": self.heat}), *found[1:])

    def _narrower(self, thickness: float) -> Iterator[Self]:
        """Yield this step as it is, then by ever narrower bites that work a bar of ``thickness`` (mm) through."""
        yield self
        for bite in FITTED_BITES:
            if NARROW * thickness <= bite < (self.bite or DEFAULT_BITE):
                yield self.model_copy(update={"bite": bite, "spread": None, "width": None})

    def in_forge(self, friction: float, spread_factor: float, *, over_own: bool = False) -> Self:
        """See `Step.in_forge`; what is left out is the forge's friction, and its spread by the bite."""
        known: dict[str, float] = {}
        if self.friction is None or over_own:
            known["friction"] = friction
        if (self.spread is None and self.width is None) or over_own:
            known["spread_factor"] = spread_factor
        return self.model_copy(update=known)

    def rougher(self, by: float) -> Self:
        """See `Step.rougher`."""
        if self.friction is None:
            return self
        return self.model_copy(update={"friction": min(max(self.friction + by, 0.0), 1.0)})

    @model_validator(mode="after")
    def _one_rule(self) -> Self:
        given = [name for name in ("spread", "bite", "width") if getattr(self, name) is not None]
        if len(given) > 1:
            msg = f"spread, bite and width are three ways to say one thing; one is needed, given {', '.join(given)}"
            raise ValueError(msg)
        if self.turn_between and self.repeat % 2:
            msg = f"with turn_between the passes go in pairs; repeat has to be even, given {self.repeat}"
            raise ValueError(msg)
        if self.turn_between and self.width is not None:
            msg = "a measured width says nothing where the bar is turned between passes; give spread or bite"
            raise ValueError(msg)
        return self

    def passes(self, before: Bar) -> Iterator[Pass]:
        """Yield the single passes that make up this step, in the order they are done."""
        width, thickness = before.width, before.thickness
        rounds = self.repeat // 2 if self.turn_between else self.repeat
        for number in range(1, rounds + 1):
            share = number / rounds
            flat = self._pass(thickness, before.thickness * (self.height / before.thickness) ** share, width, before)
            width, thickness = flat.width_after, flat.h1
            yield flat
            if self.turn_between:
                edge = self._pass(width, before.width * (self.height / before.width) ** share, thickness, before)
                thickness, width = edge.width_after, edge.h1
                yield replace(edge, on_edge=True)

    def _pass(self, h0: float, h1: float, w0: float, before: Bar) -> Pass:
        if self.spread is not None:
            spread = self.spread
        elif self.width is not None:
            spread = log(self.width / before.width) / log(before.thickness / self.height)
        else:
            spread = min(self.spread_factor * spread_share(self.bite or DEFAULT_BITE, w0), 1.0)
        return Pass(h0, h1, w0, spread, self._friction)

    @property
    def _friction(self) -> float:
        return DEFAULT_FRICTION if self.friction is None else self.friction

    def limits(self, before: Bar) -> Iterator[Limit]:
        """See `Step.limits`; a measured width lies between that of no spread and that of no elongation."""
        yield Limit("height", self.height, before.thickness, "this bar's thickness", open=True)
        if self.turn_between:
            yield Limit("height", self.height, before.width, "this bar's width", open=True)
        if self.width is not None:
            widest = before.width * before.thickness / self.height
            yield Limit("width", self.width, widest, "a bar that grows no longer", fine=0.01)
            yield Limit("width", self.width, before.width, "this bar's width", most=False, fine=0.01)

    def result(self, before: Bar) -> Bar:
        """See `Step.result`; of a bulged bar the width is the mean one."""
        length, width, thickness = before.size
        for each in self.passes(before):
            length *= each.stretch
            width, thickness = (each.h1, each.width_after) if each.on_edge else (each.width_after, each.h1)
        shape = before.shape if self._friction == 0 else "bulged"
        return replace(
            before,
            length=length,
            width=width,
            thickness=thickness,
            shape=shape,
            flat=shape == "block" or not self.turn_between,
        )

    def along_forward(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_forward`."""
        return np.asarray(along * prod(each.stretch for each in self.passes(before)))

    def along_back(self, along: Array, before: Bar) -> Array:
        """See `PrismaticStep.along_back`."""
        return np.asarray(along / prod(each.stretch for each in self.passes(before)))

    def section_forward(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_forward`."""
        for each in self.passes(before):
            across, through = each.forward(across, through)
        return across, through

    def section_back(self, across: Array, through: Array, before: Bar) -> tuple[Array, Array]:
        """See `PrismaticStep.section_back`."""
        for each in reversed(tuple(self.passes(before))):
            across, through = each.back(across, through)
        return across, through
