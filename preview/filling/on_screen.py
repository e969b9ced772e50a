"""Dividers on the screen, seen from above: walls, an insert's bridges, and what each of its rooms holds."""

from __future__ import annotations

import shapely
from PIL import ImageColor

from preview.filling.can_plan import Room
from preview.filling.dividers import Dividers
from preview.filling.drawings import numbers_of, svg_path
from preview.filling.insert import Insert
from preview.filling.walls import polygons_of
from preview.pattern.powders import Powder

PALE = 0.7
"""How far a powder's colour goes towards white, so that walls stand out from it."""

WALL, MARK = "#171614", "#e8590c"

LEGIBLE = 'fill="#7a2f10" stroke="#fff" stroke-width="0.3" paint-order="stroke"'
"""A number's colours: legible on a wall as well."""

LARGEST, SMALLEST = 2.6, 0.7
"""Height of a room's number, mm: at most, and at least where it is to be written."""


def insert_picture(made: Insert, plan: tuple[Room, ...], powders: tuple[Powder, ...]) -> bytes:
    """Return a picture (SVG) of an insert in its can: bridges orange, rooms in their powders' colours and numbered."""
    width, height = made.room
    colours = {powder.name: _pale(powder.colours[0]) for powder in powders}
    lines = _ground(made.room)
    for room in plan:
        path = svg_path([made.rooms[room.number - 1]], made.room)
        lines.append(f'<path fill="{colours[room.powder]}" fill-rule="evenodd" d="{path}"/>')
    streaks = made.beads.intersection(made.found.streaks)
    for fill, shapes in ((WALL, made.parts), (MARK, polygons_of(streaks))):
        lines.append(f'<path fill="{fill}" fill-rule="evenodd" d="{svg_path(shapes, made.room)}"/>')
    for room in plan:
        middle = shapely.maximum_inscribed_circle(made.rooms[room.number - 1], tolerance=0.1)
        (x, y), reach = middle.coords[0], middle.length
        size = min(LARGEST, 1.5 * reach, 3 * reach / len(str(room.number)))
        if size >= SMALLEST:
            place = f'x="{x + width / 2:.2f}" y="{height / 2 - y + 0.36 * size:.2f}" font-size="{size:.2f}"'
            lines.append(f'<text {place} text-anchor="middle" {LEGIBLE}>{room.number}</text>')
    return "\n".join([*lines, "</svg>"]).encode()


def wall_picture(found: Dividers) -> bytes:
    """Return a picture (SVG) of dividers in their can, the parts numbered, gaps and pieces too narrow marked."""
    width, height = found.room
    lines = [*_ground(found.room), f'<path fill="{WALL}" fill-rule="evenodd" d="{svg_path(found.parts, found.room)}"/>']
    for number in numbers_of(found):
        x, y = number.at
        place = f'x="{x + width / 2:.2f}" y="{height / 2 - y:.2f}" font-size="{number.height:g}"'
        lines.append(f"<text {place} {LEGIBLE}>{number.text}</text>")
    for each in found.troubles:
        if each.part is None:
            x, y = each.at[0] + width / 2, height / 2 - each.at[1]
            lines.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="0.7" fill="none" stroke="{MARK}" stroke-width="0.15"/>')
    return "\n".join([*lines, "</svg>"]).encode()


def _ground(room: tuple[float, float]) -> list[str]:
    """Return the start of a picture: white, whatever the page is, with the can's outline."""
    width, height = room
    return [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-0.5 -0.5 {width + 1:g} {height + 1:g}" '
        'font-family="sans-serif">',
        f'<rect x="-0.5" y="-0.5" width="{width + 1:g}" height="{height + 1:g}" fill="#fff"/>',
        f'<rect width="{width:g}" height="{height:g}" fill="none" stroke="#777" stroke-width="0.3"/>',
    ]


def _pale(colour: str) -> str:
    return "#" + "".join(f"{round(PALE * 255 + (1 - PALE) * part):02x}" for part in ImageColor.getrgb(colour)[:3])
