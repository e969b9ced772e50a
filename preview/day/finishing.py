"""After forging: what to mill, what to leave for the quench, what to grind and etch with."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from preview.base.units import Sentence, mm, say
from preview.day.tools import Shop
from preview.forging.carbon import POWDER_CARBON, carbon_skin
from preview.job.job import Job

BEFORE_QUENCH, REGRIND = 1.0, (0.3, 0.5)
"""Edge (mm) that a blade is hardened with at the least, and what is left on each side for after (common practice, no
published source): a thinner edge warps and cracks."""

HARDENED = 0.005
"""Growth in length from annealed to hardened, as a share (from memory; good to a factor of two)."""

DIP, DIPS = (5, 15), (2, 5)
"""Minutes of a dip in ferric chloride, and how many, rubbed between (common practice, no published source)."""

SEEN = 0.05
"""Depth (mm) under which steel short of carbon is not spoken of."""


def martensite_growth(length: float, carbon: float = POWDER_CARBON) -> float:
    """Return by how much (mm) a length grows as austenite turns to martensite: a third of 4.64 - 0.53 %C per cent.

    Growth in volume by the ASM Handbook, vol. 4, from memory; ``carbon`` is what is in the austenite, mass per cent.

    Examples
    --------
    >>> round(martensite_growth(200, 0.9), 2)
    2.78
    """
    return length * (4.64 - 0.53 * carbon) / 100 / 3


def finishing(job: Job, shop: Shop) -> Iterator[Sentence]:
    """Yield what there is to do, and to leave, once the bar is forged."""
    yield from _milling(job, shop)
    outline = job.blade.outline
    whole = outline.length + outline.tang_length
    edge = job.grind.edge
    yield say(
        "normalise before the quench: two or three heats, each a little lower, cooled in air, so that the coarse grain "
        "of the hot forging goes (common practice, no published source; your steels' data sheets come first)"
    )
    yield say(
        "before the quench leave the edge {} at the least, and {} a side all over: it is ground back after ({} at the "
        "edge in the end)",
        mm(max(BEFORE_QUENCH, edge)), mm(*REGRIND, between=" to "), mm(edge),
    )  # fmt: skip
    yield say("after the quench temper at once, before anything is ground: heat and times by your steels' data sheets")
    yield say(
        "in the quench, the steel grows by {} along the blade as it turns hard, against what it shrinks by cooling; "
        "from annealed to hardened some {} are left: drill and fit after it",
        mm(martensite_growth(outline.length), form=".1f"), mm(HARDENED * outline.length, form=".1f"),
    )  # fmt: skip
    if whole > shop.furnace.depth:
        yield say("{} with its tang, it does not lie whole in a furnace {} deep", mm(whole), mm(shop.furnace.depth))
    yield from _grinding(job, shop)
    if shop.bath is not None and whole > shop.bath.length:
        yield say("{} with its tang, it does not go into a bath of {}", mm(whole), mm(shop.bath.length))
    yield say(
        "etch in {} to {} dips of {} to {} min, rubbed clean between; look each time, and stop by what is seen",
        *DIPS, *DIP,
    )  # fmt: skip


def _milling(job: Job, shop: Shop) -> Iterator[Sentence]:
    skin, bar = carbon_skin(job.history), job.history.bar
    if skin.milled:
        yield say(
            "the last milling takes {} off each face; the steel there is short of carbon {} deep",
            mm(skin.milled, form=".1f"), mm(skin.deep, form=".1f"),
        )  # fmt: skip
        if shop.mill is None:
            yield say("no mill is among the tools: grind it off, and keep both faces flat and alike")
        else:
            yield say("that is {} cuts of {} a face", ceil(skin.milled / shop.mill.cut - 1e-9), mm(shop.mill.cut))
    if skin.left > SEEN:
        yield say(
            "in the end the bar's skin is short of carbon {} deep: grind it off, or mill so much more",
            mm(skin.left, form=".1f"),
        )
    if shop.mill is not None and bar.length > shop.mill.travel:
        yield say("{} of bar are more than the mill travels, {}", mm(bar.length, form=".0f"), mm(shop.mill.travel))


def _grinding(job: Job, shop: Shop) -> Iterator[Sentence]:
    if shop.grinder is None:
        return
    wheels, asked = shop.grinder.wheels, job.grind.right.model_dump().get("wheel_diameter")
    if wheels and asked and asked not in wheels:
        nearest = min(wheels, key=lambda wheel: abs(wheel - asked))
        yield say("the grind asks for a wheel of {}; the nearest there is has {}", mm(asked), mm(nearest))
    if shop.grinder.belts:
        yield say(
            "belts {}, coarse first, an even amount a side; in which order to try heights of the grind, the trials say",
            ", ".join(shop.grinder.belts),
        )
