"""Planning the day: whether the tools manage each pass, at what heat, in how many closings and heats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from preview.base.units import Sentence, celsius, mm, say
from preview.day.cooling import Piece, minutes_to_heat
from preview.day.furnace_words import furnace_words
from preview.day.plan import PassPlan, Plan, Size, StepPlan
from preview.day.remedies import greatest_bite, greatest_down
from preview.day.tools import Shop, Tool, doubts
from preview.day.window import Window, window_of
from preview.forging.bar import Bar
from preview.forging.heating import soak
from preview.forging.squeeze import Squeeze
from preview.forging.steps.base import Step
from preview.job.job import Job

FREE_BITES = (25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0)
"""Bites (mm) tried, the widest first, where the work asks for none."""

AGAIN = 0.2
"""Share of its soak that a can takes in each heat after the first: its middle is hot still (our own choice)."""

COLD = 20.0
"""°C of the shop."""

UNTOLD = 1150.0
"""Heat (°C) of a step that is done hot where nothing says how hot."""


@dataclass
class _Iron:
    """The steel on its way through the day.

    Parameters
    ----------
    temperature
        How hot it is, °C; `COLD` before its first heat, and after milling.
    fire
        What its fire was last set to, °C.
    heats, minutes, at_dies
        Of this step so far.
    """

    temperature: float = COLD
    fire: float | None = None
    heats: int = 0
    minutes: float = 0.0
    at_dies: float = 0.0


@dataclass(frozen=True)
class _Fire:
    """The fire of a step: its window, and how long a can that is still loose has to soak, min."""

    window: Window
    carry: float
    density: float
    soak: float | None

    def heat(self, iron: _Iron, size: Size) -> None:
        """Put a bar of a size (mm) into the fire and carry it to the dies; a can's first heat soaks it through."""
        if self.soak is None:
            iron.minutes += minutes_to_heat(size, iron.temperature, self.window.fire)
        else:
            iron.minutes += AGAIN * self.soak if iron.heats else self.soak
        iron.heats += 1
        iron.temperature = self.at_dies(size)

    def at_dies(self, size: Size) -> float:
        """Return how hot (°C) a bar of a size (mm) comes to the dies."""
        return self.piece(size).cooled(self.window.fire, self.carry)

    def piece(self, size: Size) -> Piece:
        """Return a bar of a size (mm) as it cools."""
        return Piece.of(size, self.density)


def make_plan(job: Job, shop: Shop) -> Plan:
    """Return the plan of forging a job's bar with a shop's tools.

    Raises
    ------
    JobError
        If its forging cannot be.
    """
    history, iron = job.history, _Iron()
    done = enumerate(zip(history.steps, history.met, strict=False), start=1)
    return Plan(job, shop, tuple(_step_plan(job, shop, number, step, met, iron) for number, (step, met) in done))


def _step_plan(job: Job, shop: Shop, number: int, step: Step, met: Bar, iron: _Iron) -> StepPlan:
    squeezes = step.squeezes(met)
    if step.heat is None and (step.cold or not squeezes):
        iron.temperature = COLD if step.mills else iron.temperature
        return StepPlan(number, step, met, None)
    words: list[Sentence] = (
        [] if step.heat or iron.fire else [say("no heat is given for it: taken as {}", celsius(UNTOLD))]
    )
    iron.fire = step.heat.temperature if step.heat else iron.fire or UNTOLD
    iron.heats, iron.minutes, iron.at_dies = 0, 0.0, 0.0
    loose = met.density < 1
    window = window_of(iron.fire, welds=step.welds)
    fire = _Fire(window, shop.furnace.carry, met.density, soak(job.can).least if loose else None)
    if step.heat:
        fire.heat(iron, met.size)
    passes = tuple(_pass_plan(shop, fire, squeeze, iron) for squeeze in squeezes)
    scale_share = step.heat.scale_share if step.heat and not step.heat.protected else 0.0
    furnace = furnace_words(shop.furnace, iron.fire, _longest(met, passes), scale_share)
    words += [*_words(step, passes, window), *furnace]
    return StepPlan(number, step, met, iron.fire, passes, iron.heats, iron.minutes, iron.at_dies, tuple(words))


def tried(shop: Shop, step: Step, met: Bar, fire: float) -> tuple[PassPlan, ...]:
    """Return the passes of a step alone, for a bar that comes out of a fire of so many °C."""
    heat = _Fire(window_of(fire, welds=step.welds), shop.furnace.carry, met.density, soak=0.0)
    return tuple(_pass_plan(shop, heat, squeeze, _Iron(temperature=fire)) for squeeze in step.squeezes(met))


def _longest(met: Bar, passes: tuple[PassPlan, ...]) -> Size:
    """Return the bar (mm) as it goes into the step's last heat."""
    return passes[-1].before if passes else met.size


def _pass_plan(shop: Shop, fire: _Fire, squeeze: Squeeze, iron: _Iron) -> PassPlan:
    window, size = fire.window, squeeze.before
    start = fire.at_dies(size)
    halfway = window.halfway(start)
    tool, squeeze = _choose(shop, squeeze, halfway)
    load, refused = tool.load(squeeze, halfway), tuple(tool.refusals(squeeze))
    possible = load <= 1 and not refused
    stop = _stop(tool, squeeze, window, halfway)
    heats, piece, in_one = iron.heats, fire.piece(size), 0
    if possible:
        for _ in range(squeeze.bites):
            if iron.temperature < stop:
                fire.heat(iron, size)
            iron.temperature, seconds = _after_bite(tool, piece, squeeze, iron.temperature)
            iron.at_dies += seconds / 60
        temperature = start
        while temperature >= stop and in_one < squeeze.bites:
            temperature, _ = _after_bite(tool, piece, squeeze, temperature)
            in_one += 1
    return PassPlan(
        squeeze=squeeze,
        tool=tool,
        start=start,
        halfway=halfway,
        stop=stop,
        possible=possible,
        load=load,
        asked=(tool.told(squeeze, start), tool.told(squeeze, stop)),
        closings=squeeze.bites * tool.each(squeeze, halfway),
        bites_a_heat=in_one,
        heats=iron.heats - heats,
        instead=() if possible else (*refused, *_instead(tool, squeeze, halfway)),
    )


def _after_bite(tool: Tool, piece: Piece, squeeze: Squeeze, temperature: float) -> tuple[float, float]:
    """Return how hot (°C) the steel is after one bite, and how long (s) that took."""
    seconds, touching = tool.seconds(squeeze, temperature)
    return piece.cooled(temperature, seconds, 2 * squeeze.bite * squeeze.width, touching), seconds


def _choose(shop: Shop, squeeze: Squeeze, halfway: float) -> tuple[Tool, Squeeze]:
    """Return the first tool that manages a pass, else the one that comes nearest, and the pass in the bites taken."""
    tried = []
    for tool in shop.tools:
        bites = [squeeze.bite] if squeeze.own_bite else [each for each in FREE_BITES if each <= tool.die_width]
        for bite in bites or [tool.die_width]:
            in_bites = squeeze.in_bites(bite)
            load = tool.load(in_bites, halfway)
            if load <= 1 and not tuple(tool.refusals(in_bites)):
                return tool, in_bites
            tried.append((load, tool, in_bites))
    _, tool, nearest = min(tried, key=lambda each: each[0])
    return tool, nearest


def _stop(tool: Tool, squeeze: Squeeze, window: Window, halfway: float) -> float:
    """Return at how many °C the steel has to go back: out of its window, or too stiff for the tool."""
    low, high = window.stop, halfway
    if tool.load(squeeze, low) <= 1:
        return low
    while high - low > 2:
        middle = (low + high) / 2
        low, high = (low, middle) if tool.load(squeeze, middle) <= 1 else (middle, high)
    return high


def _instead(tool: Tool, squeeze: Squeeze, halfway: float) -> Iterator[Sentence]:
    """Yield what the tool can do at the most, where a pass is too much for it."""
    if tool.load(squeeze, halfway) <= 1:
        return
    bite, down = greatest_bite(tool, squeeze, halfway), greatest_down(tool, squeeze, halfway)
    if bite is None:
        yield say("this {} does not manage it with any bite that works the bar through", tool.title)
    else:
        yield say("at this height the widest bite that the {} manages is {}", tool.title, mm(bite, form=".0f"))
    if down is not None:
        text = "with this bite it comes from {} down to {}"
        yield say(text, mm(squeeze.h0, form=".1f"), mm(down, form=".1f"))


def _words(step: Step, passes: tuple[PassPlan, ...], window: Window) -> Iterator[Sentence]:
    yield from window.words
    unsure = (words for each in passes for words in doubts(each.tool, each.squeeze, window.fire))
    yield from {words.text: words for words in unsure}.values()
    if step.welds and passes:
        yield say(
            "the first set: small bites from the middle out, none of them deep, until the can feels solid (common "
            "practice, no published source)"
        )
    stiff = [each for each in passes if each.possible and each.stop > window.stop + 5]
    if stiff:
        hottest = max(stiff, key=lambda each: each.stop)
        text = "the steel is too stiff for the {} at {} already: back into the fire well before it is out of its window"
        yield say(text, hottest.tool.title, celsius(hottest.stop, form=".0f"))
