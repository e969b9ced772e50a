"""Whether the furnace takes the bar, and makes it as hot as it has to be."""

from __future__ import annotations

from collections.abc import Iterator

from preview.base.units import Sentence, celsius, mm, say
from preview.day.tools import Furnace
from preview.forging.expansion import elongation

IN_AIR = 0.9
"""Scale of steel in air, over that of iron in it, about (common practice, no published source)."""

ROOM = 5.0
"""Millimetres that are left free round a bar in the door (our own choice)."""


def furnace_words(
    furnace: Furnace, heat: float, size: tuple[float, float, float], scale_share: float, blade: float
) -> Iterator[Sentence]:
    """Yield what does not fit between a furnace and a bar (mm, cold) that is to be as hot as ``heat``, °C.

    ``scale_share`` is what the work reckons that the fire takes over what air takes from iron, 0 where it is kept off;
    ``blade`` is the length (mm) of the blade with its tang, which is not to be cut through.
    """
    length, width, thickness = (side * (1 + elongation(heat)) for side in size)
    if heat > furnace.reach:
        yield say("{} is more than this furnace's {}", celsius(heat), celsius(furnace.reach))
    if furnace.fired == "electric" and 0 < scale_share < IN_AIR:
        yield say(
            "an electric furnace is full of air: it takes some {} times the scale that the work reckons with, unless "
            "the steel is in foil or a closed box",
            f"{IN_AIR / scale_share:.1f}",
        )  # fmt: skip
    door = sorted((furnace.door_width, furnace.door_height))
    if any(side + 2 * ROOM > free for side, free in zip(sorted((width, thickness)), door, strict=True)):
        yield say("a bar of {} does not go through a door of {}", mm(width, thickness, form=".0f"), mm(*door))
    if length <= furnace.depth:
        return
    if furnace.open_behind:
        yield say(
            "{} long, hot: longer than the fire's {}, so it is heated and worked in parts, and sticks out behind",
            mm(length, form=".0f"), mm(furnace.depth),
        )  # fmt: skip
    else:
        way = (
            "Cut the bar in two before this heat, or heat one half at a time with the rest out of the door"
            if length > 2 * blade
            else "Heat one half at a time with the rest out of the door: cut in two it would not hold the blade"
        )
        told = mm(length, form=".0f"), mm(furnace.depth), way
        yield say("{} long, hot: longer than the furnace's {}. {}", *told)
