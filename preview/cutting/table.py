"""Places in the bar as a table: how each is marked, and what it is worth."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from preview.base.units import METRIC, Units
from preview.cutting.chances import tang_in
from preview.cutting.parts import Part
from preview.cutting.places import Places
from preview.cutting.search import RIM, Place
from preview.job.job import Job

MARKED = 2.0
"""Standard deviations of how far off a place is marked that a bar is to spare on each side, beside the saw's."""

Row = tuple[str, ...]


def of_100(chance: float) -> str:
    """Return of how many in a hundred something holds, in words: certainty is nothing that draws can tell.

    Examples
    --------
    >>> of_100(0.0), of_100(0.316), of_100(1.0)
    ('under 1', '32', 'over 99')
    """
    if chance > 0.995:
        return "over 99"
    return "under 1" if chance < 0.005 else f"{100 * chance:.0f}"


def place_rows(found: Places, units: Units = METRIC) -> list[Row]:
    """Return where the blade lies now and the better places side by side, as a heading and rows.

    They tell what each is worth, parts that fare alike in one row, and how it is marked.
    """
    places = (found.now,) if found.stays else (found.now, *found.best)
    heads = ("as it lies now", *(f"place {number}" for number in range(1, len(places))))
    told = [("of 100 bars like yours" if known_bar(found) else "of 100 forgings", *heads)]
    told.append(("all parts come out whole", *(of_100(place.all_whole) for place in places)))
    if len(found.parts.wanted) > 1:
        told += _of_parts(found, places, units)
    told.append(("the bar holds the whole blade", *(of_100(place.in_steel) for place in places)))
    return [*told, *_marks(found, places, units)]


def known_bar(found: Places) -> bool:
    """Say whether the bar lies on the bench, measured or photographed: what is unsure is how the pattern lies in it."""
    return bool(found.now.job.found or found.cut.bar)


def _of_parts(found: Places, places: tuple[Place, ...], units: Units) -> Iterator[Row]:
    alike: dict[Row, list[Part]] = {}
    for number, part in enumerate(found.parts.wanted):
        counts = "" if part.weight == 1 else f", counts {part.weight:g}"
        box = part.name if part.name.startswith("box") else ""
        alike.setdefault((box, counts, *(of_100(place.chances[number]) for place in places)), []).append(part)
    for (box, counts, *fares), parts in alike.items():
        size = f", {units.length(parts[0].length, parts[0].height, form='.0f')}" if len(parts) == 1 else ""
        name = box or f"part{'s' * (len(parts) > 1)} {', '.join(part.name for part in parts)}"
        yield (f"{name}{size}{counts}", *fares)


def _marks(found: Places, places: tuple[Place, ...], units: Units) -> Iterator[Row]:
    """Yield how each place is marked on the bar: from its middle lines, and what that is from its end and side."""
    bar, measured = found.now.job.history.bar, found.cut.bar
    corners = [place.job.blade.corner(bar) for place in places]

    def row(what: str, sizes: Iterable[float], ways: tuple[str, str] = ("", ""), form: str = ".1f") -> Row:
        return (what, *(f"{units.length(abs(size), form=form)} {ways[size < 0]}".rstrip() for size in sizes))

    yield row("heel, from the bar's middle", (at for at, _, _ in corners), ("to the tip end", "to the heel end"))
    yield row("edge line, from the bar's middle", (at for _, at, _ in corners), ("above", "below"))
    length, width = measured or (bar.length, bar.width)
    reckoned = "" if measured else ", as reckoned"
    yield row(f"heel, from the bar's end{reckoned}", (at + length / 2 for at, _, _ in corners))
    yield row(f"edge line, from its side{reckoned}", (at + width / 2 for _, at, _ in corners))
    if any(abs(level) >= 0.005 for *_, level in corners):
        for side, sign in (("right", 1), ("left", -1)):
            yield row(
                f"off the {side} face",
                (max(_spare(place.job) - sign * level, 0) for place, (*_, level) in zip(places, corners, strict=True)),
                form=".2f",
            )
    yield (
        "a bar that holds it, at least",
        *(
            units.length(*needed_bar(place), form=".1f")
            + ("" if measured is None or holds(measured, needed_bar(place)) else ": yours is smaller")
            for place in places
        ),
    )


def _spare(job: Job) -> float:
    """Return how much (mm) comes off each face of the bar where the blade lies in its middle."""
    bar = job.history.bar
    return (bar.thickness - (job.blade.thickness or bar.thickness)) / 2


def needed_bar(place: Place) -> tuple[float, float]:
    """Return the length and width (mm) from which on a bar holds the blade, marked from the bar's middle lines.

    On each side it leaves what the saw takes and what marking is unsure by. The tang counts where the bar as it is
    reckoned holds that too.
    """
    blade, bar = place.job.blade, place.job.history.bar
    heel, edge, _ = blade.corner(bar)
    behind = heel - tang_in(place.job)
    along, across = to_spare(place.job)
    return (
        2 * (max(-behind, heel + blade.outline.length) + along),
        2 * (max(-edge, edge + blade.outline.height) + across),
    )


def to_spare(job: Job) -> tuple[float, float]:
    """Return how much (mm) a bar is to be longer, and wider, on each side than the blade needs."""
    return RIM + MARKED * job.unsure.heel, RIM + MARKED * job.unsure.edge


def holds(bar: tuple[float, float], needed: Iterable[float]) -> bool:
    """Say whether a bar is as long and as wide as is needed."""
    return all(size >= least for size, least in zip(bar, needed, strict=True))
