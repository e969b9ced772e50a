"""The can's plan as SVG at true size, in layers: what is in it, its numbers, and beside it what each room holds."""

from __future__ import annotations

from html import escape
from textwrap import wrap
from typing import Any

from preview.base.units import METRIC, Units
from preview.filling.can_drawing import INKS, CanDrawing, legend
from preview.filling.can_numbers import TYPE
from preview.filling.can_plan import Turn

MM_A_POINT = 25.4 / 72
RIM = 3.0
"""Left free around all, mm."""

LINE, WORD = 3.6, 1.6
"""Height of a line of the table, and the width taken for a letter, mm."""

COLUMN = 34.0
"""Width of a column of the table, mm."""

LONGEST = 110
"""Letters of a line of words at most."""

DEEPEST = 30
"""Lines of a column at most, where the can is no higher: a powder of more rooms goes on in the next."""


def plan_svg(drawn: CanDrawing, turns: list[Turn], said: list[str], units: Units = METRIC) -> str:
    """Return a can's plan and what is filled in, powder by powder, as SVG; one user unit is a millimetre.

    Under it stand what is ``said``, its title first, and what the drawing shows.
    """
    left, low, right, top = drawn.bounds
    told = [part for line in [*said, *legend(drawn, units)] for part in wrap(line, LONGEST)]
    columns = _columns(turns, int((top - low) / LINE))
    deep = max(map(len, columns), default=1)
    wide = max(right - left + RIM + len(columns) * COLUMN, max(map(len, told)) * WORD) + 2 * RIM
    high = max(top - low, deep * LINE) + (len(told) + 1) * LINE + 2 * RIM

    def path(line: Any, *, closed: bool = False) -> str:
        places = [f"{x - left + RIM:.3f} {top - y + RIM:.3f}" for x, y in getattr(line, "coords", line)]
        return f"M {' L '.join(places[:-1] if closed else places)}{' Z' if closed else ''}"

    def area(polygon: Any) -> str:
        return " ".join(path(ring, closed=True) for ring in (polygon.exterior, *polygon.interiors))

    def layer(name: str, content: list[str], look: str) -> str:
        return f'<g id="layer-{name}" {look}>\n' + "\n".join(content) + "\n</g>"

    def colour(name: str) -> str:
        return "#" + "".join(f"{round(255 * each):02x}" for each in INKS[name])

    def words(text: str, x: float, y: float, look: str = "") -> str:
        return f'<text x="{x:.3f}" y="{y:.3f}" {look}>{escape(text)}</text>'

    def stroke(name: str, width: float) -> str:
        return f'fill="none" stroke="{colour(name)}" stroke-width="{width}"'

    half_w, half_h = (side / 2 for side in drawn.room)
    corners = [(-half_w, -half_h), (half_w, -half_h), (half_w, half_h), (-half_w, half_h), (-half_w, -half_h)]
    hatches = [line for each in drawn.hatches.values() for line in each.geoms]
    numbers = []
    for label in drawn.labels:
        x, y = label.at[0] - left + RIM, top - label.at[1] + RIM + 0.365 * TYPE * MM_A_POINT
        numbers.append(words(label.text, x, y))
    size = f'font-family="sans-serif" font-size="{TYPE * MM_A_POINT:.3f}"'
    halo = 'stroke="#ffffff" stroke-width="0.7" stroke-linejoin="round" paint-order="stroke" text-anchor="middle"'
    foot = max(top - low, deep * LINE) + 2 * RIM
    table = []
    for number, column in enumerate(columns):
        for line, (name, value) in enumerate(column):
            x, y = right - left + 2 * RIM + number * COLUMN, RIM + (line + 0.8) * LINE
            bold = "" if line else 'font-weight="bold"'
            table += [words(name, x, y, bold), words(value, x + COLUMN - 4, y, f'text-anchor="end" {bold}')]
    crosses = [
        path([(x - 0.7, y - 0.7), (x + 0.7, y + 0.7)]) + " " + path([(x - 0.7, y + 0.7), (x + 0.7, y - 0.7)])
        for x, y in drawn.troubles
    ]
    leaders = [label.leader for label in drawn.labels if label.leader is not None]
    ends = [line.coords[-1] for line in leaders]
    dots = [
        f'<circle cx="{x - left + RIM:.3f}" cy="{top - y + RIM:.3f}" r="0.3" fill="{colour("numbers")}"/>'
        for x, y in ends
    ]

    def drawn_by(paths: list[str]) -> list[str]:
        return [f'<path d="{each}"/>' for each in paths]

    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm" '
        f'viewBox="0 0 {wide:g} {high:g}">',
        layer("hatch", drawn_by([path(line) for line in hatches]), stroke("hatch", 0.12)),
        layer("walls", drawn_by([area(each) for each in drawn.walls]), f'fill="{colour("walls")}" fill-rule="evenodd"'),
        layer("bridges", drawn_by([area(each) for each in drawn.bridges]), f'fill="{colour("bridges")}"'),
        layer("can", drawn_by([path(corners, closed=True)]), stroke("can", 0.35)),
        layer(
            "blade", drawn_by([path(line) for line in drawn.blade]), stroke("blade", 0.3) + ' stroke-dasharray="2 0.8"'
        ),
        layer("leaders", [*drawn_by([path(line) for line in leaders]), *dots], stroke("numbers", 0.12)),
        layer("trouble", drawn_by(crosses), stroke("trouble", 0.35)),
        layer("numbers", numbers, f'{size} {halo} fill="{colour("numbers")}"'),
        layer("table", table, 'font-family="sans-serif" font-size="2.6"'),
        layer(
            "words", [
                words(line, RIM, foot + (number + 0.8) * LINE, "" if number else 'font-weight="bold"')
                for number, line in enumerate(told)
            ],
            'font-family="sans-serif" font-size="2.6"',
        ),
        "</svg>\n",
    ]  # fmt: skip
    return "\n".join(parts)


def _columns(turns: list[Turn], deep: int) -> list[list[tuple[str, str]]]:
    """Return the table's columns, no powder in one with another; their first line is a head."""
    columns = []
    for turn in turns:
        rows = [("tapped to", turn.tapped), *turn.rooms]
        most = max(deep, min(len(rows) + 1, DEEPEST)) - 1
        for start in range(0, len(rows), most):
            head = (f"{turn.name}, more", "") if start else (turn.name, turn.grams)
            columns.append([head, *rows[start : start + most]])
    return columns
