"""Several blades of one kind: how blanks lie in a bar, how many cans that takes, what it costs, how long it takes."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from preview.base.cache import kept
from preview.base.errors import RequestError
from preview.base.results import Grams, Minutes, Mm, Money
from preview.blade.outlines import Outline
from preview.day.blanks import Blanks, Lay, cut_up, nest
from preview.day.plan import Plan
from preview.day.prices import Prices, Times
from preview.filling.budget import weigh
from preview.filling.fill import fill
from preview.forging.can_size import can_size

MOST_BLADES, MOST_A_BAR = 200, 12
"""Blades that are asked for at the most, and blanks that are looked for in one bar."""

KERF = 2.0
"""Millimetres that a saw or a cutting disc takes where the shop says none (common practice, no published source)."""


@dataclass(frozen=True)
class Cost:
    """One thing that is paid: how much of it, what one costs, what all of it does; None where no price is given."""

    what: str
    amount: str
    price: Money | None
    sum: Money | None


@dataclass(frozen=True)
class Spent:
    """One thing that takes time: how often it is done, how long once, how long in all; None where no time is given."""

    what: str
    often: int
    once: Minutes | None
    all: Minutes | None


@dataclass(frozen=True)
class Batch:
    """Several blades of one kind.

    Parameters
    ----------
    blades, cans, last
        How many blades, out of how many cans alike, and how many of them are cut out of the last one's bar.
    blanks
        The blanks of one full bar.
    moved
        How they would lie in it if the work's own were moved too; empty where no more go in so.
    one_more
        Inside length of the can whose bar would hold one more, none kept where the work has it, mm; None where none
        does, or it is not needed.
    own_shape
        Whether the bar is forged to one blade's shape, so that no second one is looked for.
    whole
        Whether the tools manage the forging, so that all of it is counted.
    left_over
        Steel of all bars that is no blank, what the saw takes and what comes off to thickness in it, grams: of a
        single blade the budget's own.
    costs, times
        What is paid, and what takes time, a line each.
    money
        The smith's currency, as he writes it.
    """

    blades: int
    cans: int
    last: int
    blanks: Blanks
    moved: tuple[Lay, ...]
    one_more: Mm | None
    own_shape: bool
    whole: bool
    left_over: Grams
    costs: tuple[Cost, ...]
    times: tuple[Spent, ...]
    money: str

    @property
    def cost(self) -> float:
        """Sum of all that has a price."""
        return sum(each.sum for each in self.costs if each.sum is not None)

    @property
    def time(self) -> float:
        """Minutes of all that has a time."""
        return sum(each.all for each in self.times if each.all is not None)


def make_batch(plan: Plan, blades: int) -> Batch:
    """Return what it takes to make so many ``blades`` of a planned work.

    Raises
    ------
    RequestError
        If so many cannot be reckoned with.
    FileError
        If the pattern cannot be read.
    """
    if not 1 <= blades <= MOST_BLADES:
        raise RequestError.at("blades", f"a number from 1 to {MOST_BLADES} is needed; given {blades}")
    job, bar = plan.job, plan.job.history.bar
    heel, edge, _ = job.blade.corner(bar)
    own = Lay(False, False, heel + bar.length / 2, edge + bar.width / 2)
    own_shape = bar.edge_thickness is not None or bar.tip_thickness is not None
    kerf = plan.shop.saw.kerf if plan.shop.saw else KERF
    outline, room, most = job.blade.outline, (bar.length, bar.width), min(blades, MOST_A_BAR)
    lays = (own,) if own_shape else _laid(outline, room, kerf, most, own)
    moved = () if own_shape or len(lays) == most else _laid(outline, room, kerf, most)
    blanks = cut_up(outline.profile, lays, room, kerf)
    cans = ceil(blades / len(lays))
    last = blades - (cans - 1) * len(lays)
    weighed = weigh(job)
    times = _times(plan, plan.shop.times or Times(), cans, blades)
    prices = plan.shop.prices or Prices()
    return Batch(
        blades=blades,
        cans=cans,
        last=last,
        blanks=blanks,
        moved=moved if len(moved) > len(lays) else (),
        one_more=None if own_shape or cans == 1 else _one_more(plan, lays, kerf),
        own_shape=own_shape,
        whole=plan.possible,
        left_over=cans * (weighed.left_over + weighed.blank) - blades * weighed.blank,
        costs=_costs(plan, prices, cans, blades, times),
        times=times,
        money=prices.money,
    )


@kept
def _laid(
    outline: Outline, room: tuple[float, float], kerf: float, most: int, first: Lay | None = None
) -> tuple[Lay, ...]:
    return nest(outline.profile, room, kerf, most, first)


def _one_more(plan: Plan, lays: tuple[Lay, ...], kerf: float) -> float | None:
    """Return the inside length (mm) of the can whose bar holds one blank more, pushed to its heel end."""
    job, bar = plan.job, plan.job.history.bar
    profile = job.blade.outline.profile
    reach = float(profile[:, 0].max() - profile[:, 0].min())
    wide = (bar.length + reach + 2 * kerf, bar.width)
    more = _laid(job.blade.outline, wide, kerf, len(lays) + 1)
    if len(more) <= len(lays):
        return None
    needed = max(float(each.placed(profile)[:, 0].max()) for each in more)
    return can_size(job.can, job.history.steps, "length", "length", needed)


def _times(plan: Plan, each: Times, cans: int, blades: int) -> tuple[Spent, ...]:
    done = (
        ("lay, fill and weld a can shut", cans, each.can),
        ("forge, by the plan", cans, plan.minutes),
        ("mill a bar off", cans, each.mill),
        ("cut a blank out", blades, each.cut),
        ("grind a blade", blades, each.grind),
        ("harden, etch and finish a blade", blades, each.finish),
    )
    return tuple(Spent(what, often, once, None if once is None else often * once) for what, often, once in done)


def _costs(plan: Plan, prices: Prices, cans: int, blades: int, times: tuple[Spent, ...]) -> tuple[Cost, ...]:
    fire = cans * plan.minutes / 60
    work = sum(each.all for each in times if each.all is not None) / 60
    kilos = ((each.powder, cans * each.grams / 1000) for each in fill(plan.job).fills)
    bought = (
        *((f"powder {name}", kilo, f"{kilo:.3f} kg", prices.kilo(name)) for name, kilo in kilos),
        ("cans", cans, _pieces(cans, "can"), prices.can),
        ("fire", fire, _quarters(fire), prices.fire_hour),
        ("what a blade takes", blades, _pieces(blades, "blade"), prices.blade),
        ("your work", work, _quarters(work), prices.hour),
    )
    return tuple(
        Cost(what, told, price, None if price is None else price * amount) for what, amount, told, price in bought
    )


def _quarters(hours: float) -> str:
    return f"{max(round(4 * hours), 1) / 4:g} h"


def _pieces(count: int, what: str) -> str:
    return f"1 {what}" if count == 1 else f"{count} {what}s"
