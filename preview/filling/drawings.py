"""Dividers as flat drawings at true size: SVG and DXF, in millimetres."""

from __future__ import annotations

import io
from typing import Any

from shapely import LineString, Polygon

from preview.filling.dividers import Dividers

TEXT_HEIGHT = 1.5
"""Height of the parts' numbers, mm."""


def _rings(part: Polygon) -> list[list[tuple[float, float]]]:
    return [list(part.exterior.coords), *(list(ring.coords) for ring in part.interiors)]


def svg_text(found: Dividers) -> str:
    """Return the walls, the can's inside and the parts' numbers as SVG: one user unit is a millimetre."""
    width, height = found.room

    def path(rings: list[list[tuple[float, float]]]) -> str:
        pieces = []
        for ring in rings:
            places = [f"{x + width / 2:.4f} {height / 2 - y:.4f}" for x, y in ring[:-1]]
            pieces.append(f"M {' L '.join(places)} Z")
        return " ".join(pieces)

    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">',
        f'<rect id="can" x="0" y="0" width="{width:g}" height="{height:g}" fill="none" stroke="#888888" '
        'stroke-width="0.1"/>',
    ]
    for number, part in enumerate(found.parts, start=1):
        lines.append(f'<path id="part-{number}" fill="#000000" fill-rule="evenodd" d="{path(_rings(part))}"/>')
    for number, part in enumerate(found.parts, start=1):
        x, y = _label_place(part, number, found.room)
        lines.append(
            f'<text x="{x + width / 2:.3f}" y="{height / 2 - y:.3f}" font-size="{TEXT_HEIGHT}" '
            f'font-family="sans-serif" fill="#c43e1e">{number}</text>'
        )
    return "\n".join([*lines, "</svg>", ""])


def _label_place(part: Polygon, number: int, room: tuple[float, float]) -> tuple[float, float]:
    """Return a place on a part's wall for its number, spread along so that neighbours' numbers keep apart."""
    left, low, right, top = part.bounds
    x = left + (0.15 + 0.7 * (number * 0.618 % 1)) * (right - left)
    crossed = part.intersection(LineString([(x, low - 1), (x, top + 1)]))
    y = crossed.bounds[3] if not crossed.is_empty else top
    wide = TEXT_HEIGHT * len(str(number))
    return min(max(x, -room[0] / 2), room[0] / 2 - wide), min(y, room[1] / 2 - TEXT_HEIGHT)


def dxf_bytes(found: Dividers) -> bytes:
    """Return the walls, the can's inside and the parts' numbers as DXF (R2010), its unit millimetres."""
    import ezdxf

    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    for layer, colour in (("CAN", 8), ("WALLS", 7), ("NUMBERS", 1)):
        document.layers.add(layer, color=colour)
    sheet: Any = document.modelspace()
    x, y = found.room[0] / 2, found.room[1] / 2
    sheet.add_lwpolyline([(-x, -y), (x, -y), (x, y), (-x, y)], close=True, dxfattribs={"layer": "CAN"})
    for number, part in enumerate(found.parts, start=1):
        for ring in _rings(part):
            sheet.add_lwpolyline(ring[:-1], close=True, dxfattribs={"layer": "WALLS"})
        text = sheet.add_text(str(number), height=TEXT_HEIGHT, dxfattribs={"layer": "NUMBERS"})
        text.set_placement(_label_place(part, number, found.room))
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")
