"""Places in the bar in words."""

from __future__ import annotations

from collections.abc import Iterable

from preview.base.units import METRIC, Units
from preview.blade.grind import SIDES
from preview.cutting.chances import tang_in, tiles
from preview.cutting.parts import Part
from preview.cutting.places import Places
from preview.cutting.search import BETTER, RIM, Place
from preview.job.job import Job

HOPELESS = 0.05
"""Chance under which a part is said to come out whole nowhere."""
SHORT = 0.9
"""Chance that the whole blade lies in the steel under which it is said what would better it."""
MARKED = 2.0
"""Standard deviations of how far off a place is marked that a bar is to spare on each side, beside the saw's."""
MARKING = "Mark the place from the bar's middle lines, not from its end: how long the bar comes out is not known well."
TILES = "They are of a bar of {} tiles, as reckoned: count them before you cut."
CHANCES = "Chances are of what is unsure in your work; what the model leaves out is not in them."


def place_words(place: Place, own: Job, units: Units = METRIC, measured: tuple[float, float] | None = None) -> str:
    """Return how the blade lies at a place, in words; ``measured`` is the bar's length and width (mm) if known."""
    ways = (("tip", "heel"), ("spine", "edge"))
    moved = [
        f"{units.length(abs(far), form='.1f')} towards the {names[far < 0]}"
        for far, names in zip(place.off, ways, strict=True)
        if abs(far) >= 0.05
    ]
    told = [f"{' and '.join(moved)} off the bar's middle" if moved else "in the bar's middle"]
    blade, bar = place.job.blade, place.job.history.bar
    heel, edge, level = blade.corner(bar)
    lines = (units.length(abs(far), form=".1f") for far in (heel, edge))
    long, wide = measured or (bar.length, bar.width)
    ends = (units.length(far, form=".1f") for far in (heel + long / 2, edge + wide / 2))
    told.append(
        "heel {} from the bar's middle towards its {} end, edge line {} {} the middle line".format(
            next(lines), "heel" if heel < 0 else "tip", next(lines), "below" if edge < 0 else "above"
        )
    )
    reckoned = "" if measured else ", if the bar is as reckoned"
    told.append("that is {} from its end and {} from its side{}".format(*ends, reckoned))
    if abs(level) >= 0.005:
        spare = (bar.thickness - (blade.thickness or bar.thickness)) / 2
        far, less, more = (
            units.length(max(each, 0.0), form=".2f") for each in (abs(level), spare - abs(level), spare + abs(level))
        )
        near, other = ("right", "left") if level > 0 else ("left", "right")
        told.append(f"{far} towards the {near} face: {less} comes off that one, {more} off the {other} one")
    if blade.placement.words:
        told.append(f"the bar {blade.placement.words}")
    if place.job.grind != own.grind:
        told.append(f"ground {units.length(place.height, form='.1f')} high, {place.angle:.1f}° a side at mid-blade")
    told.append(f"chance that the whole blade lies in the steel: {percent(place.in_steel)}")
    needed = " and ".join(
        f"{units.length(size, form='.1f')} {way}" for size, way in zip(needed_bar(place), ("long", "wide"), strict=True)
    )
    kept = " and ".join(units.length(far, form=".1f") for far in _to_spare(place.job))
    told.append(
        f"what holds it is a bar of at least {needed}, which leaves {kept} on each side for the saw and for marking"
        + ("; yours measures less" if measured is not None and not _holds(measured, needed_bar(place)) else "")
    )
    return "; ".join(told)


def needed_bar(place: Place) -> tuple[float, float]:
    """Return the length and width (mm) from which on a bar holds the blade, marked from the bar's middle lines.

    On each side it leaves what the saw takes and what marking is unsure by. The tang counts where the bar as it is
    reckoned holds that too.
    """
    blade, bar = place.job.blade, place.job.history.bar
    heel, edge, _ = blade.corner(bar)
    behind = heel - tang_in(place.job)
    along, across = _to_spare(place.job)
    return (
        2 * (max(-behind, heel + blade.outline.length) + along),
        2 * (max(-edge, edge + blade.outline.height) + across),
    )


def _to_spare(job: Job) -> tuple[float, float]:
    """Return how much (mm) a bar is to be longer, and wider, on each side than the blade needs."""
    return RIM + MARKED * job.unsure.heel, RIM + MARKED * job.unsure.edge


def _holds(bar: tuple[float, float], needed: Iterable[float]) -> bool:
    return all(size >= least for size, least in zip(bar, needed, strict=True))


def place_verdict(found: Places) -> str:
    """Return what came of the search, in a sentence or two."""
    best, middle, now = found.best[0], found.middle, found.now
    hopeless = [
        part.name
        for part, *chances in zip(found.parts.wanted, *(each.chances for each in found.best), strict=True)
        if max(chances) < HOPELESS
    ]
    ways = "ways the pattern may lie in your bar" if now.job.found or found.cut.bar else "ways the forging may turn out"
    whole = f"all parts come out whole in {{}} of the {ways}, a part by itself in {{}} on average"
    told = [(percent(each.all_whole), percent(each.weighted)) for each in (best, middle)]
    words = (
        "Cut at the best place, {}; cut from the bar's middle, in {} and {}.".format(whole.format(*told[0]), *told[1])
        if found.beats_middle
        else f"No place is better than the bar's middle: there {whole.format(*told[1])}."
    )
    if found.chosen is best and best.in_steel < now.in_steel - BETTER:
        surer = [part.name for part, there, here in zip(found.parts.wanted, best.chances, now.chances, strict=True)
                 if there > here + BETTER]  # fmt: skip
        for_what = f"surer for {'parts' if len(surer) > 1 else 'part'} {', '.join(surer)}" if surer else "surer for all"
        words += (
            f" It is {for_what}, but less sure for the whole blade: that lies in the steel in {percent(best.in_steel)} "
            f"there, and in {percent(now.in_steel)} where it lies now."
        )
    if found.other_face is not None:
        other = SIDES[1 - SIDES.index(found.cut.face)]
        chances = f"{percent(found.other_face.all_whole)} and {percent(found.other_face.weighted)}"
        words += f" On the {other} face it would be {chances} at the best place: look for places on that one too."
    if hopeless:
        words += f" Whole at none of the best places: {', '.join(hopeless)}; keep only the others."
    if max(place.in_steel for place in found.best) < SHORT:
        words += f" {_short(found)}"
    return words


def _short(found: Places) -> str:
    """Return why the blade may leave the bar, and what makes it surer."""
    best = found.best[0]
    lies = f"at the best place the whole blade lies in the steel in {percent(best.in_steel)} of them"
    if found.cut.bar is not None:
        room = zip(needed_bar(best), _to_spare(best.job), strict=True)
        if not _holds(found.cut.bar, (size - 2 * far for size, far in room)):
            return f"The bar as measured is too small: {lies}; a smaller blade or a shorter tang makes it surer."
        return (
            f"The bar as measured leaves little to spare: {lies}. What is left is owed to marking, not to the bar: "
            "mark more closely than your work says, or take a smaller blade or a shorter tang."
        )
    if found.now.job.found is not None:
        return f"How long and wide this bar is was not measured: {lies}. Measure it and give its size."
    return (
        f"The bar may come out too short or too narrow: {lies}; a larger bar, a smaller blade or a shorter tang makes "
        "it surer."
    )


def percent(chance: float) -> str:
    """Return a chance in words: certainty is nothing that draws can tell."""
    if chance > 0.995:
        return "over 99 %"
    return "under 1 %" if chance < 0.005 else f"{100 * chance:.0f} %"


def place_rows(found: Places, units: Units = METRIC) -> list[tuple[str, ...]]:
    """Return the chances as a table: a heading, a row for each part or for parts that fare alike, and for all."""
    places = (found.now, *found.best)
    rows = [("whole", "as it lies now", *(str(number) for number in range(1, len(found.best) + 1)))]
    alike: dict[tuple[str, ...], list[Part]] = {}
    for number, part in enumerate(found.parts.wanted):
        counts = "" if part.weight == 1 else f", counts {part.weight:g}"
        box = part.name if part.name.startswith("box") else ""
        alike.setdefault((box, counts, *(percent(place.chances[number]) for place in places)), []).append(part)
    for (box, counts, *fares), parts in alike.items():
        size = f", {units.length(parts[0].length, parts[0].height, form='.0f')}" if len(parts) == 1 else ""
        name = box or f"part{'s' * (len(parts) > 1)} {', '.join(part.name for part in parts)}"
        rows.append((f"{name}{size}{counts}", *fares))
    rows.append(("all of them", *(percent(place.all_whole) for place in places)))
    rows.append(("the blade in the steel", *(percent(place.in_steel) for place in places)))
    return rows


def place_head(found: Places, number: int) -> str:
    """Return which place it is, counted from 0, and which parts are left out there, by their names in the table."""
    place, name = found.best[number], f"{number + 1}{', the best' if number == 0 else ''}"
    left_out = [part.name for part, out in zip(found.parts.wanted, place.left_out, strict=True) if out]
    told = f"grey, left out: {', '.join(left_out)}" if left_out else "no part left out"
    return f"{name}: {told}; all of them whole in {percent(place.all_whole)}"


def drawing_words(found: Places, units: Units = METRIC) -> str:
    """Return how the drawing is better laid in the can; nothing once the bar is forged and photographed."""
    drawing = found.drawing
    if found.now.job.found:
        return ""
    if drawing is None:
        return "Before the can is forged: moving or scaling the drawing makes it no better."
    ways = (("right", "left"), ("top", "bottom"))
    moved = [
        f"{units.length(abs(far), form='.1f')} towards the {names[far < 0]}"
        for far, names in zip(drawing.moved, ways, strict=True)
        if abs(far) >= 0.05
    ]
    how = [f"drawn at {drawing.scale:.0%} of its size"] if drawing.scale < 1 else []
    how += [f"moved {' and '.join(moved)} in the can"] if moved else []
    then, now = drawing.place, found.best[0]
    return (
        f"Before the can is forged: {', '.join(how)}, all parts come out whole at the best place in "
        f"{percent(then.all_whole)}, a part by itself in {percent(then.weighted)} on average; of the drawing as it "
        f"is, in {percent(now.all_whole)} and {percent(now.weighted)}."
    )


def marking_words(found: Places) -> str:
    """Return how the place is marked, and what chances are of."""
    many = tiles(found.now.job)
    of_tiles = TILES.format(many) if many > 1 else ""
    return " ".join(filter(None, ["" if found.cut.bar else MARKING, CHANCES, of_tiles]))


def place_text(found: Places, own: Job, units: Units = METRIC) -> str:
    """Return all that was found, in words."""
    margin = units.length(found.cut.margin, form="g")
    lines = [
        f"Where to cut: {found.cut.face} face, at least {margin} of steel round each part",
        "",
        place_verdict(found),
        "",
    ]
    rows = place_rows(found, units)
    wide = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines += ["  ".join(f"{cell:<{size}}" for cell, size in zip(row, wide, strict=True)).rstrip() for row in rows]
    lines += [
        "",
        *(f"{n}: {place_words(place, own, units, found.cut.bar)}" for n, place in enumerate(found.best, start=1)),
        "",
    ]
    lines += [str(each.told(units)) for each in found.parts.left_out]
    lines += [words for words in (drawing_words(found, units), marking_words(found)) if words]
    return "\n".join(lines) + "\n"
