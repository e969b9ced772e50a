"""Whether the bar has steel for the blade's tang: at its thickness, out of the can's inside, before the bar's end."""

from __future__ import annotations

import numpy as np
import shapely

from preview.base.arrays import Array, Mask
from preview.base.cache import kept
from preview.base.units import Sentence, mm, say
from preview.blade.blade import Blade
from preview.forging.bar import Bar
from preview.forging.history import History, pull_back

APART = (0.25, 1.0)
"""Millimetres along and across between the places of a tang that are looked at."""

SLACK = 0.05
"""What is not worth a word, mm."""


@kept
def tang_notes(blade: Blade, history: History, inside: tuple[float, float, float]) -> tuple[Sentence, ...]:
    """Return what of the tang is not the pattern's steel, in words; nothing where all of it is.

    Parameters
    ----------
    blade
        The blade.
    history
        The can and its forging.
    inside
        The can's inside, mm: beyond it lies the shell.
    """
    outline, bar = blade.outline, history.bar
    long = outline.tang_length
    if not long:
        return ()
    notes = []
    room = blade.corner(bar)[0] + bar.length / 2  # behind the heel
    if long > room + SLACK:
        over, whole = mm(long - room, form=".1f"), outline.length + long
        if whole > bar.length:
            sizes = (mm(size, form=".1f") for size in (bar.length, whole))
            notes.append(
                say(
                    "The tang reaches {} beyond the bar's end: the bar is {}, the blade with its tang {}.", over, *sizes
                )
            )
        else:
            problem = "The tang reaches {} beyond the bar's end: the heel has to lie at least {} from that end."
            notes.append(say(problem, over, mm(long, form=".1f")))
    tang = shapely.Polygon(outline.tang_polygon).buffer(-SLACK)
    if tang.is_empty:
        return tuple(notes)
    along, across, through = _places(tang, blade, bar)
    x, y, z, metal = pull_back(history)(*blade.blade_to_bar(along, across, through, bar))
    shell = np.any([np.abs(place) > size / 2 + SLACK for place, size in zip((x, y, z), inside, strict=True)], axis=0)
    for where, problem in (
        (~metal, "The bar does not fill the tang from {} behind the heel: a wider bar is needed, or a narrower tang."),
        (metal & shell, "The tang still shows the can's shell from {} behind the heel: mill more off, or move it."),
    ):
        if where.any():
            notes.append(say(problem, _span(along, np.broadcast_to(where, along.shape))))
    return tuple(notes)


def _places(tang: shapely.Geometry, blade: Blade, bar: Bar) -> tuple[Array, Array, Array]:
    """Return places all over the ``tang`` where the bar is long enough: along, across, through (one shape), mm."""
    back, low, front, high = tang.bounds
    corner = blade.corner(bar)
    sides = ((max(back, -bar.length / 2 - corner[0] + SLACK), front), (low, high))
    along, across = (
        np.linspace(*side, max(2, 1 + round((side[1] - side[0]) / apart)))
        for side, apart in zip(sides, APART, strict=True)
    )
    along, across = (each.ravel() for each in np.meshgrid(along, across))
    on_it = shapely.covers(tang, shapely.points(along, across))
    along, across = along[on_it], across[on_it]
    forged = bar.thickness_at(*blade.in_plan(along, across, bar)) / 2 - abs(corner[2])
    half = np.minimum(blade.thickness_at(along, bar) / 2, forged) - SLACK
    return np.tile(along, 3), np.tile(across, 3), np.concatenate([-half, 0 * half, half])


def _span(along: Array, where: Mask) -> object:
    """Return the stretch behind the heel on which the chosen places lie."""
    return mm(-float(along[where].max()), -float(along[where].min()), form=".0f", between=" to ")
