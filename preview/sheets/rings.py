"""How far the pattern may lie off: three rings on the right face, each with its number, and the same in words."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes
from preview.base.progress import counted
from preview.base.units import Units
from preview.face.view import RIM
from preview.forge.bands import STATIONS, Ellipse
from preview.forge.draws import Likely, likely
from preview.forge.ellipses import LINE, with_ellipses
from preview.job.job import Job
from preview.pipeline import face_maps
from preview.sheets.cut_off_words import READ_AT

UNCHANGED = 0.05
"""Reach (mm) along the blade of a pattern that does not change that way."""

RINGS_WIDTH = 800
"""Pixels across a face that rings are placed on, and of each likely look beside others (on paper some 150 to the inch):
the same in every document, so that one blade has the same numbers in all."""

LETTERS, LOW, ROOM = 46, 0.8, 4
"""The picture's width over the height of its letters, their most share of the rim that they stand on, and pixels
between them and the blade."""

CUT = 0.005
"""Share of the bright pattern from which it is told that the tip may cut it."""

KEY = "In four blades out of five, what is drawn under a dot comes out inside the ring around it"


def rings_picture(found: Likely, units: Units) -> Bytes:
    """Return the right face, dimmed, with its rings, and beside the blade how far each reaches along it, RGB bytes."""
    view = found.view
    image = Image.fromarray(with_ellipses(found.picture, view, found.rings))
    draw = ImageDraw.Draw(image)
    size = min(image.width // LETTERS, int(LOW * RIM * view.px_per_mm))
    line = max(1, size // 12)
    font = ImageFont.load_default(size=size)
    blade = view.framed(view.grid.mask, 0)
    for ring in found.rings:
        (x, y), outline = view.pixels(np.array([(ring.along, ring.across)]))[0], view.pixels(ring.outline)
        told = f"± {_most(ring, units)}"
        _, _, wide, high = font.getbbox(told, anchor="lt")
        left = round(float(np.clip(x - wide / 2, view.inside[1].start, image.width - wide)))  # never on the handle
        rows = np.flatnonzero(blade[:, left : left + round(wide)].any(axis=1))
        top, foot = min(rows[0], outline[:, 1].min()) - ROOM, max(rows[-1], outline[:, 1].max()) + ROOM
        above = y - top < foot - y
        under = float(np.clip(top if above else foot + high, high, image.height))
        near = outline[(outline[:, 1] < y) == above]
        end = near[np.abs(near[:, 0] - x).argmin(), 1]
        draw.line([(x, under + line if above else under - high - line), (x, end)], fill=LINE, width=line)
        draw.text((left, under), told, LINE, font, "lb", stroke_width=line, stroke_fill=(20, 20, 20))
    return np.asarray(image)


def rings_beside(jobs: tuple[Job, ...]) -> tuple[Likely, ...]:
    """Return how sure each of several blades is, with rings at the first one's spots on all that have its outline."""
    found: list[Likely] = []
    for each in counted("versions", jobs):
        same = bool(found) and each.blade.outline == jobs[0].blade.outline
        at = np.array([(ring.along, ring.across) for ring in found[0].rings]) if same else None
        found.append(likely(each, width=RINGS_WIDTH, looks=False, chances=False, rings_at=at))
    return tuple(found)


def ring_numbers(found: Likely, units: Units) -> list[tuple[float, float, str]]:
    """Return where each ring stands, mm, and how far it reaches, in words: what a client can tell two pictures by."""
    return [(ring.along, ring.across, _most(ring, units)) for ring in found.rings]


def most_off(found: Likely, units: Units) -> str:
    """Return how far off the pattern may lie in the place where that is most, in four blades out of five."""
    return _most(max(found.rings, key=lambda ring: max(ring.reach)), units)


def ring_words(found: Likely, units: Units) -> str:
    """Return how far off the pattern may lie, from heel to tip: each number as a ring of `rings_picture` has it."""
    along = max(ring.reach[0] for ring in found.rings) >= UNCHANGED
    way = "Each way along the blade" if along else "Up and down"
    heel, middle, tip = (f"{_most(ring, units)} {_at(place, ring, units)}" for place, ring in _placed(found))
    up_down = units.length(max(ring.reach[1] for ring in found.rings), form=".1f")
    also = f" Up and down they reach {up_down} at most." if along else ""
    return f"{KEY}. {way}, the rings reach {heel}, {middle} and {tip}.{also}"


def worst_words(found: Likely, units: Units) -> str:
    """Return how far off the pattern may lie in the place where that is most."""
    place, ring = max(_placed(found), key=lambda each: max(each[1].reach))
    way = "nearer the tip or farther from it" if ring.reach[0] >= UNCHANGED else "higher or lower"
    return (
        f"The pattern is least sure {_at(place, ring, units)}. There it lands within {_most(ring, units)} of what is "
        f"shown, {way}, in four blades out of five."
    )


def _placed(found: Likely) -> tuple[tuple[str, Ellipse], ...]:
    return tuple(zip(STATIONS, found.rings, strict=True))


def _at(place: str, ring: Ellipse, units: Units) -> str:
    near = "in the middle" if place == "middle" else f"near the {place}"
    far = units.length(ring.along, form=".0f")
    return f"{near} ({far} from it)" if place == "heel" else f"{near} ({far} from the heel)"


def _most(ring: Ellipse, units: Units) -> str:
    """Return how far a ring reaches along the blade, or across it where nothing changes along."""
    most = ring.reach[0] if ring.reach[0] >= UNCHANGED else ring.reach[1]
    return units.length(most, form=".0f" if most >= 3 else ".1f")


def by_the_tip(job: Job, found: Likely, units: Units) -> str:
    """Return that the tip may cut the last of the pattern, if it does where all lies as far along as rings reach."""
    if not job.pattern.direction.upright:
        return ""
    face = face_maps(job, READ_AT)[0]
    grid = face.grid
    held = (face.share_of(job.bright_powders) > 0.5) & grid.mask
    if face.off_pattern is not None:
        held &= ~face.off_pattern
    along = grid.along[0]
    rings = sorted(found.rings, key=lambda ring: ring.along)
    reach = np.interp(along, [ring.along for ring in rings], [ring.reach[0] for ring in rings])
    moved = np.rint((along + reach) * READ_AT - 0.5).astype(int)
    there = np.pad(grid.mask, ((0, 0), (0, int(moved.max()) + 1)))[:, moved]
    late = along > along[-1] / 2
    cut = float((held & ~there)[:, late].sum() / max(int(held.sum()), 1))
    if cut < CUT:
        return ""
    share = f"{100 * max(cut, 0.01):.0f} %"
    return (
        f"If the pattern's end comes out {_most(rings[-1], units)} nearer the tip, as it may, the tip cuts off some "
        f"{share} of what is bright."
    )
