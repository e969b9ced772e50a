"""The smith's own tools, as the shop file holds them: sizes only, and what press and hammer make of a pass."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, sqrt
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from preview.base.settings import Control, Either, Number, PositiveLength, Settings, Switch, Temperature
from preview.base.units import Sentence, mm, say
from preview.day import strength
from preview.day.force import MOST_BLOWS, blows, force
from preview.day.prices import Prices, Times
from preview.forging.squeeze import Squeeze

NEWTONS_PER_TONNE = 9806.65
"""A press's tonne is the weight of 1000 kg."""

MANAGED = 1.05
"""What a pass may ask of a tool over what it can give, and still counts as managed: so little is nothing beside the
third that forces are good to (our own choice)."""

APPROACH = 10.0
"""Millimetres that the ram comes down before it meets the bar, and goes back after it (common practice)."""

LEAST_BLOW = 0.15
"""Millimetres that a blow has to go, at the least, to work more than the skin (our own choice)."""

MOST_EACH = 30
"""Blows on one bite from which on a hammer is too small for it: nobody keeps that up (our own choice)."""

BLOW_SECONDS = 0.01
"""How long the dies touch the steel in a blow (from memory: some hundredths of a second at the most)."""


class Tool(Settings):
    """A press or a hammer with flat dies.

    ``die_width`` is their size along the bar: a bite is no wider. ``die_length`` is their size across it. A bite takes
    so many of what is ``counted``.
    """

    title: ClassVar[str]
    counted: ClassVar[str]

    die_width: Annotated[
        PositiveLength, Field(ge=1, le=500), Control("Die width", "mm", "Along the bar: the widest bite.", start=50.0)
    ]
    die_length: Annotated[
        PositiveLength, Field(ge=1, le=2000), Control("Die length", "mm", "Across the bar.", start=120.0)
    ]
    daylight: Annotated[
        PositiveLength, Field(le=2000), Control("Daylight", "mm", "Between the open dies: the thickest bar.")
    ] = 150.0
    between: Annotated[
        Number,
        Field(ge=0, le=60),
        Control("Between two bites", "s", "From one bite to the next. Time your own."),
    ] = 1.5

    def load(self, squeeze: Squeeze, temperature: float) -> float:
        """Return what a pass asks over what the tool can give, steel in °C: over 1 it does not get there."""
        raise NotImplementedError

    def each(self, squeeze: Squeeze, temperature: float) -> int:
        """Return how many closings or blows one bite takes."""
        raise NotImplementedError

    def seconds(self, squeeze: Squeeze, temperature: float) -> tuple[float, float]:
        """Return how long (s) one bite takes until the next begins, and how long of it the dies touch the steel."""
        raise NotImplementedError

    def told(self, squeeze: Squeeze, temperature: float) -> str:
        """Return in a few words what a pass asks of the tool."""
        raise NotImplementedError

    def rate(self, squeeze: Squeeze) -> float:
        """Return how fast (1/s) a pass strains the steel."""
        raise NotImplementedError

    def refusals(self, squeeze: Squeeze) -> Iterator[Sentence]:
        """Yield why a pass does not fit between the dies, whatever their force."""
        if squeeze.h0 > self.daylight:
            yield say("{} does not go between dies that open {}", mm(squeeze.h0, form=".1f"), mm(self.daylight))
        if squeeze.bite > self.die_width + 1e-9:
            yield say("a bite of {} is wider than the die, {}", mm(squeeze.bite), mm(self.die_width))


class Press(Tool):
    """A press: its force, and how fast its ram comes down under load."""

    title: ClassVar[str] = "press"
    counted: ClassVar[str] = "closings"

    tonnes: Annotated[Number, Field(gt=0, le=2000), Control("Force", "t", "Of 1000 kg each.", start=25.0)]
    ram_speed: Annotated[Number, Field(ge=0.1, le=500), Control("Ram speed", "mm/s", "Under load.")] = 10.0

    def load(self, squeeze: Squeeze, temperature: float) -> float:
        """See `Tool.load`."""
        return self._tonnes_for(squeeze, temperature) / self.tonnes

    def _tonnes_for(self, squeeze: Squeeze, temperature: float) -> float:
        return force(squeeze, temperature, self.ram_speed) / NEWTONS_PER_TONNE

    def each(self, squeeze: Squeeze, temperature: float) -> int:  # noqa: ARG002 - part of the contract
        """See `Tool.each`."""
        return 1

    def seconds(self, squeeze: Squeeze, temperature: float) -> tuple[float, float]:  # noqa: ARG002
        """See `Tool.seconds`."""
        touching = (squeeze.h0 - squeeze.h1) / self.ram_speed
        return self.between + 2 * APPROACH / self.ram_speed + touching, touching

    def told(self, squeeze: Squeeze, temperature: float) -> str:
        """See `Tool.told`."""
        return f"{self._tonnes_for(squeeze, temperature):.1f} t"

    def rate(self, squeeze: Squeeze) -> float:
        """See `Tool.rate`."""
        return self.ram_speed / squeeze.h1

    def refusals(self, squeeze: Squeeze) -> Iterator[Sentence]:
        """See `Tool.refusals`; dies shorter than the bar is wide leave steps in it."""
        yield from super().refusals(squeeze)
        if squeeze.width > self.die_length:
            text = (
                "a bar {} wide reaches beyond dies {} long, and the pattern's flow is known for dies across all of it"
            )
            yield say(text, mm(squeeze.width, form=".1f"), mm(self.die_length))


class Hammer(Tool):
    """A hammer, by power or by hand: what falls, and how fast it strikes or with what energy.

    ``efficiency`` is the share of the energy that goes into the steel: 0.8 to 0.9 in soft blows, 0.2 to 0.5 in hard
    ones (ASM Handbook 14, from memory); a light anvil takes away from it.
    """

    title: ClassVar[str] = "hammer"
    counted: ClassVar[str] = "blows"
    either: ClassVar[Either] = Either("Blow from", ("speed", "energy"))

    mass: Annotated[
        Number, Field(ge=0.1, le=5000), Control("Falling mass", "kg", "Ram, or the hammer's head.", start=50.0)
    ]
    speed: Annotated[Number | None, Field(ge=0.1, le=20), Control("Speed at the blow", "m/s", start=5.0)] = None
    energy: Annotated[Number | None, Field(ge=0.1, le=1e6), Control("Energy of a blow", "J", start=600.0)] = None
    blows_per_minute: Annotated[Number, Field(ge=1, le=1000), Control("Blows a minute")] = 180.0
    efficiency: Annotated[Number, Field(ge=0.1, le=0.95), Control("Share that the steel takes")] = 0.6

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.speed is None) == (self.energy is None):
            msg = "speed and energy are two ways to say one thing; one of them is needed"
            raise ValueError(msg)
        return self

    @property
    def blow(self) -> float:
        """Energy of a blow, J."""
        return self.energy if self.energy is not None else self.mass * (self.speed or 0.0) * (self.speed or 0.0) / 2

    @property
    def strikes_at(self) -> float:
        """Speed at the blow, mm/s."""
        return 1000 * sqrt(2 * self.blow / self.mass)

    def _blows(self, squeeze: Squeeze, temperature: float) -> tuple[int, float]:
        struck = min(squeeze.width, self.die_length)
        count, last = blows(squeeze, temperature, self.strikes_at, self.efficiency * self.blow, struck)
        return ceil(count * squeeze.width / struck - 1e-9), last

    def load(self, squeeze: Squeeze, temperature: float) -> float:
        """See `Tool.load`; a blow has to go some way, and nobody strikes one place for ever."""
        count, last = self._blows(squeeze, temperature)
        return max(LEAST_BLOW / last, count / MOST_EACH)

    def each(self, squeeze: Squeeze, temperature: float) -> int:
        """See `Tool.each`."""
        return self._blows(squeeze, temperature)[0]

    def seconds(self, squeeze: Squeeze, temperature: float) -> tuple[float, float]:
        """See `Tool.seconds`."""
        count = self.each(squeeze, temperature)
        return self.between + count * 60 / self.blows_per_minute, count * BLOW_SECONDS

    def told(self, squeeze: Squeeze, temperature: float) -> str:
        """See `Tool.told`."""
        count, _ = self._blows(squeeze, temperature)
        if count == 1:
            return "1 blow"
        return f"{count} blows" if count < MOST_BLOWS else "no end of blows"

    def rate(self, squeeze: Squeeze) -> float:
        """See `Tool.rate`."""
        return self.strikes_at / squeeze.h1


class Furnace(Settings):
    """A forge or furnace: its door, its inside, how hot it gets."""

    door_width: Annotated[PositiveLength, Control("Door's width", "mm")] = 150.0
    door_height: Annotated[PositiveLength, Control("Door's height", "mm")] = 120.0
    depth: Annotated[
        PositiveLength, Control("Inside, front to back", "mm", "With a door behind, the length it heats.")
    ] = 350.0
    open_behind: Annotated[Switch, Control("Opening behind", help="A long bar may stick out at the back.")] = False
    reach: Annotated[Temperature, Control("Reaches", "°C", "What it holds steadily, measured.")] = 1250.0
    fired: Annotated[Literal["gas", "electric"], Control("Fired by")] = "gas"
    carry: Annotated[
        Number, Field(ge=0, le=60), Control("From fire to dies", "s", "Until the first bite. Time your own.")
    ] = 4.0


class Mill(Settings):
    """A milling machine: how long a bar it takes, and how deep a cut."""

    travel: Annotated[PositiveLength, Control("Travel", "mm", "Along the bar.")] = 400.0
    cut: Annotated[PositiveLength, Field(ge=0.01, le=10), Control("Depth of a cut", "mm")] = 0.5


class Grinder(Settings):
    """A belt grinder: its contact wheels' diameters, and its belts, coarse first."""

    wheels: tuple[PositiveLength, ...] = ()
    belts: tuple[str, ...] = ()


class Bath(Settings):
    """The etch bath: the blade with its tang has to go in, lying or standing."""

    length: Annotated[PositiveLength, Control("Length, or depth of a standing one", "mm")] = 400.0


class Saw(Settings):
    """What blanks are cut out with."""

    kerf: Annotated[PositiveLength, Field(le=20), Control("Kerf", "mm", "Saw, cutting disc, jet: what it takes.")] = 2.0


class Shop(Settings):
    """All the tools, and the smith's own prices and times. Of press and hammer, the press does what it manages."""

    title: str = ""
    press: Press | None = None
    hammer: Hammer | None = None
    furnace: Furnace = Furnace()
    mill: Mill | None = None
    grinder: Grinder | None = None
    bath: Bath | None = None
    saw: Saw | None = None
    prices: Prices | None = None
    times: Times | None = None

    @model_validator(mode="after")
    def _something_to_forge_with(self) -> Self:
        if not self.tools:
            raise ValueError("a press or a hammer is needed")
        return self

    @property
    def tools(self) -> tuple[Tool, ...]:
        """What there is to forge with, the press first."""
        return tuple(tool for tool in (self.press, self.hammer) if tool is not None)


def doubts(tool: Tool, squeeze: Squeeze, temperature: float) -> Iterator[Sentence]:
    """Yield where what is told of a pass goes beyond what is known."""
    yield from strength.beyond(temperature, squeeze.strain, tool.rate(squeeze))
    if min(squeeze.bite, squeeze.width) > WIDEST * squeeze.h1:
        text = "dies that cover more than {} times the bar's height are beyond what the force was checked for"
        yield say(text, f"{WIDEST:g}")


WIDEST = 8.0
"""Width between the dies over height up to which the force was checked; see `preview.day.force.factor`."""
