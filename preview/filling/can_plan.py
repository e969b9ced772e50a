"""The can's plan: an insert's rooms by number, what each holds, how much of it, in what order they are filled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from preview.base.units import Sentence
from preview.filling.fill import MM3_PER_CM3, Fill, fill
from preview.filling.fill_remarks import tap_words
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
    fill
        The powder that it holds.
    area
        Its floor, mm2: beads and bridges are counted out, they are void once they burn out.
    grams
        Weight of the powder tapped in, g.
    at
        A place inside it, mm from the can's middle, rightwards and upwards.
    """

    number: int
    fill: Fill
    area: float
    grams: float
    at: tuple[float, float]

    @property
    def powder(self) -> str:
        """Name of what it holds."""
        return self.fill.powder


class Turn(NamedTuple):
    """One powder's turn at the filling, in words; of a powder whose weight cannot be, no weights.

    Parameters
    ----------
    name, grams, tapped
        The turn's number and the powder, its weight, and what it is tapped to.
    rooms
        Each of its rooms and its weight.
    can_be
        Whether there is such a weight.
    heed
        What is wrong with its tap density; None where nothing is.
    """

    name: str
    grams: str
    tapped: str
    rooms: list[tuple[str, str]]
    can_be: bool
    heed: Sentence | None


NONE, CANNOT = "no weight", "cannot be"
"""What stands in the place of a weight, and of a tap density, that no powder has."""


def can_plan(job: Job, made: Insert) -> tuple[Room, ...]:
    """Return an insert's rooms in the order that they are filled.

    One powder after the other, the one of least weight first, so that less of it can spill into a room of another that
    is open yet (common practice, no published source). Rooms that hold nothing are left out.
    """
    fills = {each.powder: each for each in fill(job, made.bead).fills}
    classes = laid_raster(job).classes
    rooms = []
    for number, (room, held) in enumerate(zip(made.rooms, made.holds, strict=True), start=1):
        powder = classes[held]
        if powder == VOID:
            continue
        grams = room.area * (made.height - made.base) / MM3_PER_CM3 * fills[powder].tap_density
        inside = room.representative_point()
        rooms.append(Room(number, fills[powder], float(room.area), float(grams), (float(inside.x), float(inside.y))))
    whole = {name: sum(room.grams for room in rooms if room.powder == name) for name in fills}
    return tuple(sorted(rooms, key=lambda room: (whole[room.powder], room.powder, room.number)))


def _grams(weight: float) -> str:
    return f"{weight:.1f} g" if weight >= 1 else f"{weight:.2f} g"


def plan_turns(plan: tuple[Room, ...]) -> list[Turn]:
    """Return a plan powder by powder, in the order of filling."""
    turns = []
    for number, name in enumerate(dict.fromkeys(room.powder for room in plan), start=1):
        own = [room for room in plan if room.powder == name]
        powder = own[0].fill
        head = f"{number}. {name}"
        heed = tap_words(powder)
        if powder.too_dense:
            none = [(f"room {room.number}", "-") for room in own]
            turns.append(Turn(head, NONE, CANNOT, none, can_be=False, heed=heed))
            continue
        rooms = [(f"room {room.number}", _grams(room.grams)) for room in own]
        grams = f"{sum(room.grams for room in own):.1f} g"
        turns.append(Turn(head, grams, f"{powder.tap_density:.2f} g/cm³", rooms, can_be=True, heed=heed))
    return turns


def plan_lines(plan: tuple[Room, ...]) -> list[str]:
    """Return a plan as lines of text: one for each powder in the order of filling, under it what to heed."""
    lines = []
    for turn in plan_turns(plan):
        rooms = ", ".join(f"{name} ({grams})" if turn.can_be else name for name, grams in turn.rooms)
        tapped = f", tapped to {turn.tapped}" if turn.can_be else ""
        lines.append(f"{turn.name}, {turn.grams}{tapped}: {rooms}")
        lines += [f"   Look at this: {turn.heed}"] * bool(turn.heed)
    return lines
