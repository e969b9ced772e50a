"""Dividers and inserts as flat drawings at true size: SVG and DXF, in millimetres, in layers."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any, Protocol

from shapely import LineString, Polygon

from preview.filling.part_numbers import DIGIT, Number, part_numbers, room_numbers

NUMBERS = "number"
"""Class of the numbers' outlines, by which they are told from walls when the drawing is read."""


class Drawable(Protocol):
    """What can be drawn: the can's inside, the walls' parts, their middle lines; as in `Dividers` and `Insert`."""

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of the can, mm."""

    @property
    def parts(self) -> tuple[Polygon, ...]:
        """The walls."""

    @property
    def lines(self) -> tuple[LineString, ...]:
        """Their middle lines."""

    @property
    def rooms(self) -> tuple[Polygon, ...]:
        """The rooms between them that are numbered; where there are none, the parts are."""


def _rings(part: Polygon) -> list[list[tuple[float, float]]]:
    return [list(part.exterior.coords), *(list(ring.coords) for ring in part.interiors)]


def svg_text(found: Drawable, *, outlined: bool = False) -> str:
    """Return the can's inside, the walls, their middle lines and the parts' numbers as SVG, a layer each.

    One user unit is a millimetre. With ``outlined`` numbers are outlines, which need no font.
    """
    width, height = found.room
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">',
        f'<g id="layer-can"><rect id="can" x="0" y="0" width="{width:g}" height="{height:g}" fill="none" '
        'stroke="#888888" stroke-width="0.1"/></g>',
        '<g id="layer-walls" fill="#000000" fill-rule="evenodd">',
    ]
    for count, part in enumerate(found.parts, start=1):
        lines.append(f'<path id="part-{count}" fill-rule="evenodd" d="{svg_path([part], found.room)}"/>')
    lines.append('</g>\n<g id="layer-middles" display="none" fill="none" stroke="#c8c8c8" stroke-width="0.05">')
    lines += [f'<path d="{_svg_lines([list(line.coords)], found.room)}"/>' for line in found.lines]
    lines.append('</g>\n<g id="layer-numbers" font-family="sans-serif" fill="#c43e1e">')
    for number in numbers_of(found):
        right, down = number.at[0] + width / 2, height / 2 - number.at[1]
        if outlined:
            lines.append(f'<path class="{NUMBERS}" d="{_outline(number, right, down)}"/>')
        else:
            lines.append(f'<text x="{right:.3f}" y="{down:.3f}" font-size="{number.height:.3g}">{number.text}</text>')
    return "\n".join([*lines, "</g>", "</svg>", ""])


def svg_path(shapes: Iterable[Polygon], room: tuple[float, float]) -> str:
    """Return the outlines of shapes as an SVG path, in mm from the can's upper left corner."""
    return " ".join(_svg_lines(_rings(shape), room) for shape in shapes)


def _svg_lines(lines: list[list[tuple[float, float]]], room: tuple[float, float]) -> str:
    pieces = []
    for line in lines:
        closed = line[0] == line[-1]
        places = [f"{x + room[0] / 2:.4f} {room[1] / 2 - y:.4f}" for x, y in (line[:-1] if closed else line)]
        pieces.append(f"M {' L '.join(places)}{' Z' if closed else ''}")
    return " ".join(pieces)


def _outline(number: Number, right: float, down: float) -> str:
    """Return the outlines of a number as an SVG path; its lower left corner is there."""
    from matplotlib.textpath import TextPath

    letters = {TextPath.MOVETO: "M", TextPath.LINETO: "L", TextPath.CURVE3: "Q", TextPath.CURVE4: "C"}
    pieces = []
    for points, code in TextPath((0, 0), number.text, size=number.height).iter_segments():
        places = " ".join(f"{right + x:.4f} {down - y:.4f}" for x, y in points.reshape(-1, 2))
        pieces.append(f"{letters[code]} {places}" if code in letters else "Z")
    return " ".join(pieces)


def numbers_of(found: Drawable) -> list[Number]:
    """Return the numbers of the rooms, or where there are none of the parts."""
    return room_numbers(found.rooms) if found.rooms else part_numbers(found.parts, found.room)


def dxf_bytes(found: Drawable) -> bytes:
    """Return the can's inside, the walls, their middle lines and the parts' numbers as DXF (R2010), in mm."""
    import ezdxf

    ezdxf.options.write_fixed_meta_data_for_testing = True  # no day nor chance in it: the same dividers, the same bytes
    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    for name in ("ACDBPLACEHOLDER", "LAYOUT"):
        document.classes.add_class(name)  # or else these come in the order of a set, another from run to run
    for layer, colour in (("CAN", 8), ("WALLS", 7), ("MIDDLES", 9), ("NUMBERS", 1)):
        document.layers.add(layer, color=colour)
    sheet: Any = document.modelspace()
    x, y = found.room[0] / 2, found.room[1] / 2
    sheet.add_lwpolyline([(-x, -y), (x, -y), (x, y), (-x, y)], close=True, dxfattribs={"layer": "CAN"})
    for part in found.parts:
        for ring in _rings(part):
            sheet.add_lwpolyline(ring[:-1], close=True, dxfattribs={"layer": "WALLS"})
    for number in numbers_of(found):
        # a height of DXF is that of a capital letter, which a digit is as high as
        text = sheet.add_text(number.text, height=DIGIT[1] * number.height, dxfattribs={"layer": "NUMBERS"})
        text.set_placement(number.at)
    for line in found.lines:
        places = list(line.coords)
        closed = places[0] == places[-1]
        sheet.add_lwpolyline(places[:-1] if closed else places, close=closed, dxfattribs={"layer": "MIDDLES"})
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (-x, -y, 0.0), (x, y, 0.0)
    sheet.dxf_layout.dxf.extmin, sheet.dxf_layout.dxf.extmax = (-x, -y, 0.0), (x, y, 0.0)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")
