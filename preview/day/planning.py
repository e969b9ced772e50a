"""Planning the day: whether the tools manage each pass, at what heat, in how many closings and heats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from preview.base.units import Sentence, celsius, mm, say
from preview.day.cooling import Piece, minutes_to_heat
from preview.day.furnace_words import furnace_words
from preview.day.loose import LooseCan
from preview.day.plan import PassPlan, Plan, Size, StepPlan
from preview.day.remedies import greatest_bite, greatest_down
from preview.day.tools import MANAGED, Shop, Tool, doubts
from preview.day.window import Window, window_of
from preview.forging.bar import Bar
from preview.forging.heating import soak
from preview.forging.squeeze import Squeeze
from preview.forging.steps.base import Step
from preview.job.job import Job

FREE_BITES = (25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0)
"""Bites (mm) tried, the widest first, where the work asks for none."""

COLD = 20.0
"""°C of the shop."""

UNTOLD = 1150.0
"""Heat (°C) of a step that is done hot where nothing says how hot."""


SOFT = say(
    "first let the bar cool slowly, in ash or in the dying fire, so that it is soft: cooled in air, steel of so much "
    "carbon is too hard to mill (common practice, no published source)"
)

WORTHWHILE = 0.25
"""Share of a pass that a tool has to manage for it to be told (our own choice)."""

FEW, HOTTER = 2, 100.0
"""Bites of one heat so few that a hotter fire is thought of, and by how many kelvin."""


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
    """The fire of a step: its window, the bar that comes out of it, and how long a loose can soaks at first, min."""

    window: Window
    carry: float
    met: Bar
    soak: float

    def heat(self, iron: _Iron, size: Size) -> None:
        """Put a bar of a size (mm) into the fire and carry it to the dies; in its first heat a loose can soaks."""
        iron.minutes += self._minutes(iron, size)
        iron.heats += 1
        iron.temperature = self.at_dies(size)

    def _minutes(self, iron: _Iron, size: Size) -> float:
        piece = self.piece(size)
        if isinstance(piece, Piece):
            return minutes_to_heat(size, iron.temperature, self.window.fire)
        return piece.minutes_again(iron.temperature, self.window.fire) if iron.heats else self.soak

    def at_dies(self, size: Size) -> float:
        """Return how hot (°C) a bar of a size (mm) comes to the dies."""
        return self.piece(size).cooled(self.window.fire, self.carry)

    def size(self, squeeze: Squeeze) -> Size:
        """Return the size (mm) of what goes into a pass; powder that settles gets no longer by it."""
        return squeeze.before if self.met.density == 1 else (squeeze.length, squeeze.width, squeeze.h0)

    def piece(self, size: Size) -> Piece | LooseCan:
        """Return a bar of a size (mm) as it cools."""
        return Piece.of(size) if self.met.density == 1 else LooseCan.of(size, self.met, self.window.fire)


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
        soft = [SOFT] if step.mills and iron.fire else []
        iron.temperature = COLD if step.mills else iron.temperature
        return StepPlan(number, step, met, None, words=tuple(soft))
    words: list[Sentence] = (
        [] if step.heat or iron.fire else [say("no heat is given for it: taken as {}", celsius(UNTOLD))]
    )
    iron.fire = step.heat.temperature if step.heat else iron.fire or UNTOLD
    iron.heats, iron.minutes, iron.at_dies = 0, 0.0, 0.0
    window = window_of(iron.fire, welds=step.welds)
    fire = _Fire(window, shop.furnace.carry, met, soak(job.can).least)
    if step.heat:
        fire.heat(iron, met.size)
    passes = _pass_plans(shop, fire, step, iron)
    scale_share = step.heat.scale_share if step.heat and not step.heat.protected else 0.0
    outline = job.blade.outline
    blade = outline.length + outline.tang_length
    furnace = furnace_words(shop.furnace, iron.fire, _longest(met, passes), scale_share, blade)
    words += [
        *_words(step, passes, window),
        *_out_of_fire(fire),
        *_hotter(shop, step, met, passes, iron.fire),
        *furnace,
    ]
    return StepPlan(number, step, met, iron.fire, passes, iron.heats, iron.minutes, iron.at_dies, tuple(words))


def tried(shop: Shop, step: Step, met: Bar, fire: float) -> tuple[PassPlan, ...]:
    """Return the passes of a step alone, for a bar that comes out of a fire of so many °C."""
    heat = _Fire(window_of(fire, welds=step.welds), shop.furnace.carry, met, soak=0.0)
    return _pass_plans(shop, heat, step, None)


def _longest(met: Bar, passes: tuple[PassPlan, ...]) -> Size:
    """Return the bar (mm) as it goes into the step's last heat."""
    return passes[-1].before if passes else met.size


def _pass_plans(shop: Shop, fire: _Fire, step: Step, iron: _Iron | None) -> tuple[PassPlan, ...]:
    """Return the passes of a step, each out of the fire where no ``iron`` is on its way through them.

    Where bites leave waves, those of the last pass overlap by half, with twice as many.
    """
    squeezes = step.squeezes(fire.met)
    lapped = len(squeezes) if step.waves(fire.met) else 0
    return tuple(
        _pass_plan(shop, fire, squeeze, iron or _Iron(temperature=fire.window.fire), lapped=number == lapped)
        for number, squeeze in enumerate(squeezes, start=1)
    )


def _pass_plan(shop: Shop, fire: _Fire, squeeze: Squeeze, iron: _Iron, *, lapped: bool) -> PassPlan:
    window, size = fire.window, fire.size(squeeze)
    start = fire.at_dies(size)
    halfway = window.halfway(start)
    tool, squeeze = _choose(shop, squeeze, halfway)
    load, refused = tool.load(squeeze, halfway), tuple(tool.refusals(squeeze))
    possible = load <= MANAGED and not refused
    stop = _stop(tool, squeeze, window, halfway)
    heats, piece, in_one, bites = iron.heats, fire.piece(size), 0, squeeze.bites * (1 + lapped)
    if possible:
        for _ in range(bites):
            if iron.temperature < stop:
                fire.heat(iron, size)
            iron.temperature, seconds = _after_bite(tool, piece, squeeze, iron.temperature)
            iron.at_dies += seconds / 60
        temperature = start
        while temperature >= stop and in_one < bites:
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
        bites=bites,
        closings=bites * tool.each(squeeze, halfway),
        bites_a_heat=in_one,
        heats=iron.heats - heats,
        instead=() if possible else (*refused, *_instead(tool, squeeze, halfway)),
    )


def _after_bite(tool: Tool, piece: Piece | LooseCan, squeeze: Squeeze, temperature: float) -> tuple[float, float]:
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
            if load <= MANAGED and not tuple(tool.refusals(in_bites)):
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
    if tool.load(squeeze, halfway) <= MANAGED:
        return
    bite, down = greatest_bite(tool, squeeze, halfway), greatest_down(tool, squeeze, halfway)
    if bite is None:
        yield say("this {} does not manage it with any bite that works the bar through", tool.title)
    else:
        yield say("at this height the widest bite that the {} manages is {}", tool.title, mm(bite, form=".0f"))
    if down is not None and squeeze.h0 - down > WORTHWHILE * (squeeze.h0 - squeeze.h1):
        text = "with this bite it comes from {} down to {}"
        yield say(text, mm(squeeze.h0, form=".1f"), mm(down, form=".1f"))


def _out_of_fire(fire: _Fire) -> Iterator[Sentence]:
    """Yield how long a loose can stays hot inside, and how dark its skin is by then."""
    piece, window = fire.piece(fire.met.size), fire.window
    if isinstance(piece, LooseCan) and window.fire > window.stop:
        yield say(
            "powder conducts little: some {} s out of the fire the can's skin is down to {}, its powder still at {} on "
            "the mean. Go by the clock, not by the skin's colour; each squeeze makes that time shorter",
            f"{piece.lasts(window.fire, window.stop):.0f}", celsius(piece.skin(window.stop), form=".0f"),
            celsius(window.stop),
        )  # fmt: skip


def _hotter(shop: Shop, step: Step, met: Bar, passes: tuple[PassPlan, ...], fire: float) -> Iterator[Sentence]:
    """Yield what a hotter fire gives, where thin steel is cold after a bite or two, and the fire is a mild one."""
    slow = [number for number, each in enumerate(passes) if each.possible and each.bites_a_heat <= FEW < each.heats]
    hotter = min(fire + HOTTER, UNTOLD, shop.furnace.reach)
    if not slow or hotter <= fire:
        return
    worst = max(slow, key=lambda number: passes[number].heats)
    now, then = passes[worst], tried(shop, step, met, hotter)[worst]
    if then.bites_a_heat > now.bites_a_heat:
        yield say(
            "so thin it is cold after {}: out of a fire of {} it is {} a heat. Or leave it thicker, and grind it",
            _bites(now.bites_a_heat), celsius(hotter), _bites(then.bites_a_heat),
        )  # fmt: skip
    else:
        yield say("so thin it is cold after {}: leave it thicker, and grind it", _bites(now.bites_a_heat))


def _bites(count: int) -> str:
    return "1 bite" if count == 1 else f"{count} bites"


def _words(step: Step, passes: tuple[PassPlan, ...], window: Window) -> Iterator[Sentence]:
    yield from window.words
    unsure = (words for each in passes for words in doubts(each.tool, each.squeeze, window.fire))
    yield from {words.text: words for words in unsure}.values()
    if step.welds and passes:
        yield say(
            "the first set: small bites from the middle out, none of them deep, until the can feels solid (common "
            "practice, no published source)"
        )
    if any(not each.possible and each.tool.load(each.squeeze, each.start) <= 1 for each in passes):
        yield say(
            "a pass is too much where the tool does not manage it half way from the fire down to where the steel goes "
            "back: straight out of the fire it may still go, for a bite or two"
        )
    stiff = [each for each in passes if each.possible and each.stop > window.stop + 5]
    if stiff:
        hottest = max(stiff, key=lambda each: each.stop)
        text = "the steel is too stiff for the {} at {} already: back into the fire well before it is out of its window"
        yield say(text, hottest.tool.title, celsius(hottest.stop, form=".0f"))
