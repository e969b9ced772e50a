"""The can's plan: an insert's rooms by number, what each holds, how much of it, in what order they are filled."""

from __future__ import annotations

from dataclasses import dataclass

from preview.filling.fill import MM3_PER_CM3, fill
from preview.filling.insert import Insert
from preview.job.job import Job
from preview.pattern.pattern import VOID
from preview.pipeline import laid_raster


@dataclass(frozen=True)
class Room:
    """A room of an insert.

    Parameters
    ----------
    number
        From 1, from the upper left on.
    powder
        What it holds.
    area
        Its floor, mm2: beads and bridges are counted out, they are void once they burn out.
    grams
        Weight of the powder tapped in, g.
    at
        A place inside it, mm from the can's middle, rightwards and upwards.
    """

    number: int
    powder: str
    area: float
    grams: float
    at: tuple[float, float]


def can_plan(job: Job, made: Insert) -> tuple[Room, ...]:
    """Return an insert's rooms in the order that they are filled.

    One powder after the other, the one of least weight first, so that less of it can spill into a room of another that
    is open yet (common practice, no published source). Rooms that hold nothing are left out.
    """
    tapped = {each.powder: each.tap_density for each in fill(job, made.bead).fills}
    classes = laid_raster(job).classes
    rooms = []
    for number, (room, held) in enumerate(zip(made.rooms, made.holds, strict=True), start=1):
        powder = classes[held]
        if powder == VOID:
            continue
        grams = room.area * (made.height - made.base) / MM3_PER_CM3 * tapped[powder]
        inside = room.representative_point()
        rooms.append(Room(number, powder, float(room.area), float(grams), (float(inside.x), float(inside.y))))
    whole = {name: sum(room.grams for room in rooms if room.powder == name) for name in tapped}
    return tuple(sorted(rooms, key=lambda room: (whole[room.powder], room.powder, room.number)))


def _grams(weight: float) -> str:
    return f"{weight:.1f} g" if weight >= 1 else f"{weight:.2f} g"


def plan_lines(plan: tuple[Room, ...]) -> list[str]:
    """Return a plan as lines of text, one for each powder in the order of filling."""
    names = list(dict.fromkeys(room.powder for room in plan))
    lines = []
    for turn, name in enumerate(names, start=1):
        rooms = [room for room in plan if room.powder == name]
        each = ", ".join(f"{room.number} ({_grams(room.grams)})" for room in rooms)
        lines.append(f"{turn}. {name}, {sum(room.grams for room in rooms):.1f} g: room {each}")
    return lines


def plan_rows(plan: tuple[Room, ...]) -> list[tuple[str, str]]:
    """Return a plan in rows of two, in the order of filling: each powder and its weight, then its rooms."""
    rows = []
    for turn, name in enumerate(dict.fromkeys(room.powder for room in plan), start=1):
        own = [room for room in plan if room.powder == name]
        rows.append((f"{turn}. {name}", f"{sum(room.grams for room in own):.1f} g"))
        rows += [(f"room {room.number}", _grams(room.grams)) for room in own]
    return rows
