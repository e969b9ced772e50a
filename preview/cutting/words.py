"""Places in the bar in words."""

from __future__ import annotations

from preview.base.units import METRIC, Units
from preview.blade.grind import SIDES
from preview.cutting.chances import tiles
from preview.cutting.places import Places
from preview.cutting.search import BETTER, Place
from preview.cutting.table import holds, known_bar, needed_bar, of_100, place_rows, to_spare
from preview.job.job import Job

HOPELESS = 0.05
"""Chance under which a part is said to come out whole nowhere."""
SHORT = 0.9
"""Chance that the whole blade lies in the steel under which it is said what would better it."""
MARKING = "Mark the place from the bar's middle lines, not from its end: how long the bar comes out is not known well."
TILES = "They are of a bar of {} tiles, as reckoned: count them before you cut."
CHANCES = "Chances are of what is unsure in your work; what the model leaves out is not in them."


def place_words(place: Place, own: Job, units: Units = METRIC) -> str:
    """Return how the blade lies at a place, in words, and what else is then done otherwise than in ``own``."""
    way = _way(place.off, ("tip", "heel"), ("spine", "edge"), units)
    told = [f"{way} off the bar's middle" if way else "in the bar's middle"]
    level = place.job.blade.placement.mid_plane
    if abs(level) >= 0.005:
        towards = "right" if place.job.blade.corner(place.job.history.bar)[2] > 0 else "left"
        told.append(f"{units.length(abs(level), form='.2f')} towards the {towards} face")
    if place.job.blade.placement.words:
        told.append(f"the bar {place.job.blade.placement.words}")
    if place.job.grind != own.grind:
        told.append(f"ground {units.length(place.height, form='.1f')} high, {place.angle:.1f}° a side at mid-blade")
    return "; ".join(told)


def _way(by: tuple[float, float], first: tuple[str, str], second: tuple[str, str], units: Units) -> str:
    """Return how far something is moved both ways, named where it goes if that is positive and if it is not."""
    return " and ".join(
        f"{units.length(abs(far), form='.1f')} towards the {names[far < 0]}"
        for far, names in zip(by, (first, second), strict=True)
        if abs(far) >= 0.05
    )


def place_verdict(found: Places) -> str:
    """Return what came of the search, in a few sentences."""
    best, now = found.best[0], found.now
    of = "bars like yours" if known_bar(found) else "forgings"
    motif = "all parts come" if len(found.parts.wanted) > 1 else "the motif comes"
    if found.stays:
        words = (
            f"Leave the blade where it lies: no other place is better. Of 100 {of}, the bar holds the whole blade in "
            f"{of_100(now.in_steel)}, and {motif} out whole in {of_100(now.all_whole)}."
        )
    else:
        words = (
            f"Place 1 is better than where the blade lies now. Of 100 {of}, {motif} out whole there in "
            f"{of_100(best.all_whole)}, now in {of_100(now.all_whole)}; the bar holds the whole blade in "
            f"{of_100(best.in_steel)}, now in {of_100(now.in_steel)}."
        )
        if best.in_steel < now.in_steel - 2 * BETTER:
            words += " That is its price: it gains a motif more often than it costs a blade."
    if found.other_face is not None:
        other = SIDES[1 - SIDES.index(found.cut.face)]
        words += f" On the {other} face it would be {of_100(found.other_face.all_whole)}: look for places there too."
    lost = [
        part.name
        for part, *chances in zip(found.parts.wanted, *(each.chances for each in found.best), strict=True)
        if max(chances) < HOPELESS
    ]
    if lost and len(lost) < len(found.parts.wanted):
        words += f" Hardly ever whole: part{'s' * (len(lost) > 1)} {', '.join(lost)}; ask for the others alone."
    if max(place.in_steel for place in found.best) < SHORT:
        words += f" {_short(found)}"
    return words


def _short(found: Places) -> str:
    """Return why the blade may leave the bar, and what makes it surer."""
    best = found.best[0]
    if found.cut.bar is not None:
        room = zip(needed_bar(best), to_spare(best.job), strict=True)
        if not holds(found.cut.bar, (size - 2 * far for size, far in room)):
            return "The bar as measured is too small: a smaller blade or a shorter tang makes it surer."
        return (
            "The bar as measured leaves little to spare, and what is left is owed to marking, not to the bar: mark "
            "more closely than your work says, or take a smaller blade or a shorter tang."
        )
    if found.now.job.found is not None:
        return "How long and wide this bar is was not measured: measure it and give its size."
    return (
        "The bar may come out too short or too narrow: a larger bar, a smaller blade or a shorter tang makes it surer."
    )


def place_head(found: Places, number: int) -> str:
    """Return which place it is, counted from 0, and which parts are left out there, by their names in the table."""
    place = found.best[number]
    name = "as it lies now" if found.stays else f"place {number + 1}"
    out = [part.name for part, out in zip(found.parts.wanted, place.left_out, strict=True) if out]
    which = "all parts are" if len(out) > 1 else f"part {', '.join(out)} is"
    if 1 < len(out) < len(found.parts.wanted):
        which = f"parts {', '.join(out)} are"
    told = f"{which} most likely cut into, and grey" if out else "no part is likely cut into"
    return f"{name}: {told}; all whole in {of_100(place.all_whole)} of 100"


def drawing_words(found: Places, units: Units = METRIC) -> str:
    """Return how the drawing is better laid in the can; nothing once the bar is forged and photographed."""
    drawing = found.drawing
    if found.now.job.found:
        return ""
    if drawing is None:
        return "Moving the drawing in the can, or drawing it smaller, makes it no better."
    moved = _way(drawing.moved, ("right", "left"), ("top", "bottom"), units)
    how = [f"drawn at {drawing.scale:.0%} of its size"] if drawing.scale < 1 else []
    how += [f"moved {moved} in the can"] if moved else []
    then, now = drawing.place, found.best[0]
    what, better = "all of it comes", (then.all_whole, now.all_whole)
    if then.all_whole < now.all_whole + BETTER:
        what, better = "a part of it comes, on average,", (then.weighted, now.weighted)
    return (
        f"What helps before the can is forged: {', '.join(how)}, {what} out whole in {of_100(better[0])} of 100 "
        f"forgings, as it is drawn now in {of_100(better[1])}."
    )


def marking_words(found: Places, units: Units = METRIC) -> str:
    """Return how the place is marked, how much the bar named leaves to spare, and what chances are of."""
    ends, sides = (units.length(far, form=".1f") for far in to_spare(found.best[0].job))
    spare = f"A bar of the size named leaves {ends} at each end and {sides} at each side for the saw and for marking."
    many = tiles(found.now.job)
    of_tiles = TILES.format(many) if many > 1 else ""
    return " ".join(filter(None, ["" if found.cut.bar else MARKING, spare, CHANCES, of_tiles]))


def place_text(found: Places, own: Job, units: Units = METRIC) -> str:
    """Return all that was found, in words."""
    margin = units.length(found.cut.margin, form="g")
    lines = [f"Where to cut: {found.cut.face} face, at least {margin} of steel round each part", ""]
    lines += [words for words in (place_verdict(found), drawing_words(found, units)) if words]
    rows = place_rows(found, units)
    wide = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines += [
        "",
        *("  ".join(f"{cell:<{size}}" for cell, size in zip(row, wide, strict=True)).rstrip() for row in rows),
    ]
    if not found.stays:
        lines += ["", *(f"{n}: {place_words(place, own, units)}" for n, place in enumerate(found.best, start=1))]
    lines += ["", *(str(each.told(units)) for each in found.parts.left_out), marking_words(found, units)]
    return "\n".join(lines) + "\n"
