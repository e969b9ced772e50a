"""Several blades of one kind in words, tables and a drawing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from preview.base.arrays import Array
from preview.base.units import METRIC, Units
from preview.day.batch import Batch
from preview.day.blanks import Lay
from preview.day.plan_rows import hours

COST_HEADS = ("what", "how much", "price", "sum")
TIME_HEADS = ("what", "how often", "once", "in all")


def batch_verdict(batch: Batch, units: Units = METRIC) -> str:
    """Return in a sentence how many cans so many blades take, and how many blanks come out of each bar."""
    blades = "1 blade" if batch.blades == 1 else f"{batch.blades} blades"
    cans = "1 can" if batch.cans == 1 else f"{batch.cans} cans alike"
    bar = units.length(batch.blanks.length, batch.blanks.width, form=".0f")
    held = len(batch.blanks.lays)
    each = f"{held} out of each bar" if batch.cans > 1 else f"{held} out of its bar"
    last = f", {batch.last} out of the last" if batch.last < held else ""
    return f"{blades}: {cans}, {each} of {bar}{last}."


def batch_lines(batch: Batch, units: Units = METRIC) -> list[str]:
    """Return how the blanks lie in a bar, what is left of it, and what to mind, a sentence each."""
    return list(_lines(batch, units))


def _lines(batch: Batch, units: Units) -> Iterator[str]:
    blanks = batch.blanks
    for number, lay in enumerate(blanks.lays, start=1):
        yield f"blank {number}{'' if number > 1 else ', where the work has it'}: {lay_words(lay, units)}."
    if batch.own_shape:
        yield "the bar is forged to the shape of one blade, so no second one is looked for in it."
    if len(blanks.lays) > 1:
        yield (
            "only the first shows the pattern where it was laid; the others show what lies under them there: look at "
            "each place before you cut."
        )
    if batch.moved:
        yield (
            f"{len(batch.moved)} would go in if the first were moved too, and then none shows the pattern where it was "
            "laid: place the blade in the work as the first lies here, and look at it."
        )
        for number, lay in enumerate(batch.moved, start=1):
            yield f"so moved, blank {number}: {lay_words(lay, units)}."
    if batch.one_more is not None:
        length = units.length(batch.one_more, form=".0f")
        yield f"a can {length} long inside gives a bar that holds one more: lay the pattern out anew for it."
    kerf, end = units.length(blanks.kerf), units.length(blanks.end_piece, form=".0f")
    yield (
        f"{batch.left_over:.0f} g of the bar{'s' if batch.cans > 1 else ''} are no blade, the saw's cuts of {kerf} and "
        f"what comes off to thickness in it; at one end of a full bar a piece {end} long is left whole."
    )
    if batch.cans > 1:
        yield (
            "the cans are forged one after another, each by the same plan; weigh and mark each, and etch each flat bar "
            "before you cut: no two come out quite alike."
        )


def lay_words(lay: Lay, units: Units) -> str:
    """Return how a blank lies."""
    heel = f"heel {units.length(lay.along, form='.1f')} from the bar's heel end"
    edge = f"edge line {units.length(lay.across, form='.1f')} from its edge side"
    ways = {
        (False, False): "tip to the bar's tip end, edge to its edge side",
        (True, True): "turned round, tip to the bar's heel end, edge to its spine side",
        (True, False): "turned over end for end, tip to the bar's heel end, right face to the bar's left",
        (False, True): "turned over edge for spine, edge to the bar's spine side, right face to the bar's left",
    }
    return f"{ways[lay.end_for_end, lay.edge_for_spine]}, {heel}, {edge}"


def cost_rows(batch: Batch) -> list[tuple[str, ...]]:
    """Return the heads, a row for each thing that is paid, and the sum of all that has a price."""
    rows: list[tuple[str, ...]] = [
        (each.what, each.amount, _paid(each.price, batch.money), _about(each.sum, batch.money)) for each in batch.costs
    ]
    lacking = sum(each.sum is None for each in batch.costs)
    if lacking == len(batch.costs):
        return [COST_HEADS, *rows]
    without = f", {lacking} without a price left out" if lacking else ""
    each = f"{_about(batch.cost / batch.blades, batch.money)} a blade"
    return [COST_HEADS, *rows, (f"in all, at least{without}", "", each, _about(batch.cost, batch.money))]


def _paid(amount: float | None, money: str) -> str:
    return "no price given" if amount is None else f"{amount:.2f} {money}".rstrip()


def _about(amount: float | None, money: str) -> str:
    """Return a sum in whole units, as far as it is known; one under a unit is told as it is."""
    return _paid(amount, money) if amount is None or amount < 1 else f"{amount:.0f} {money}".rstrip()


def time_rows(batch: Batch) -> list[tuple[str, ...]]:
    """Return the heads, a row for each thing that takes time, and the sum of all that has one."""
    rows: list[tuple[str, ...]] = [
        (each.what, f"{each.often} times" if each.often > 1 else "once", *map(_taken, (each.once, each.all)))
        for each in batch.times
    ]
    lacking = sum(each.all is None for each in batch.times)
    without = f", {lacking} without a time left out" if lacking else ""
    too_much = "" if batch.whole else ", what is too much for the tools left out"
    one, whole = (hours(_to_five(minutes)) for minutes in (batch.time / batch.blades, batch.time))
    sums = (f"in all, at least{without}{too_much}", "", f"{one} a blade", whole)
    return [TIME_HEADS, *rows, sums]


def _to_five(minutes: float) -> float:
    return max(5.0 * round(minutes / 5), min(minutes, 5.0))


def _taken(minutes: float | None) -> str:
    return "no time given" if minutes is None else hours(minutes)


def batch_text(batch: Batch, units: Units = METRIC) -> str:
    """Return it all as text."""
    lines = [batch_verdict(batch, units), *(f"- {line}" for line in batch_lines(batch, units)), ""]
    for rows in (time_rows(batch), cost_rows(batch)):
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        lines += ["  ".join(map(str.ljust, row, widths)).rstrip() for row in rows] + [""]
    return "\n".join(lines)


RIM, TYPE = 5.0, 5.0
"""Left free round the drawing, and height of its numbers, mm."""


def blanks_svg(batch: Batch, profile: Array) -> bytes:
    """Return the bar with its blanks at true size, as SVG: a user unit is a millimetre, edge side down, heel left.

    ``profile`` is the blade's outline with its tang, ``(n, 2)``, mm.
    """
    blanks = batch.blanks
    wide, high = blanks.length + 2 * RIM, blanks.width + 2 * RIM
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}">',
        f'<rect x="{RIM}" y="{RIM}" width="{blanks.length:.3f}" height="{blanks.width:.3f}" fill="#f4f2ee" '
        'stroke="#555555" stroke-width="0.3"/>',
    ]
    for number, lay in enumerate(blanks.lays, start=1):
        points = lay.placed(profile) * [1, -1] + np.array([RIM, high - RIM])
        places = " L ".join(f"{x:.3f} {y:.3f}" for x, y in points)
        x, y = points[points[:, 0].argsort()[[0, -1]]].mean(axis=0)
        over = lay.end_for_end != lay.edge_for_spine
        parts += [
            f'<path d="M {places} Z" fill="#ffffff" stroke="#c43d1f" stroke-width="0.3"/>',
            f'<text x="{x:.3f}" y="{y + TYPE / 3:.3f}" font-family="sans-serif" font-size="{TYPE}" '
            f'text-anchor="middle" fill="#333333">{number}{", turned over" if over else ""}</text>',
        ]
    return "\n".join([*parts, "</svg>\n"]).encode()
