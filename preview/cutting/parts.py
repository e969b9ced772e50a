"""The parts of a motif that may be kept whole: found on the bar's flat face, or boxes on the blade's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely

from preview.base.arrays import Array, Mask
from preview.base.errors import RequestError
from preview.base.results import Mm, Mm2
from preview.base.units import Sentence, say
from preview.blade.grind import SIDES, Side
from preview.blade.slab import Milled, whole_bar
from preview.cutting.cut import Cut, Keep
from preview.cutting.room import Room
from preview.face.face_map import FaceMap
from preview.forge.bands import LEAST_PART, MOST_PARTS
from preview.job.job import Job
from preview.pipeline import face_map, find_origins

PX_PER_MM = 6.0
MOST_LOOKED_AT = 60
"""Bright parts that are looked at, the largest ones."""
WAYS = 48
"""Directions in which a part's outermost points are looked for."""
APART = 3.0
"""How far (mm) the other points of its rim that are watched lie apart."""


@dataclass(frozen=True, eq=False)
class Part:
    """A part of the motif.

    Parameters
    ----------
    name
        Its number on the bar's face, from heel to tip, or the box.
    weight
        How much it counts beside the others.
    area, length, height
        Of what shows on the bar's face, or of the box, mm2 and mm.
    spots
        Points of its rim in the pattern, rightwards and upwards from the can's middle, (2, n), mm.
    in_bar
        Where they show on the flat bar, along and across from its middle as it was forged, (2, n), mm.
    shown
        Which pixels of the bar's face it takes.
    """

    name: str
    weight: float
    area: Mm2
    length: Mm
    height: Mm
    spots: Array
    in_bar: Array
    shown: Mask

    @property
    def is_box(self) -> bool:
        """Whether it is a box that was asked for, not a part that was found and numbered."""
        return not self.name.isdecimal()


@dataclass(frozen=True, eq=False)
class Parts:
    """The parts that are wanted, what is said of the others, and the bar's face that they were found on."""

    wanted: tuple[Part, ...]
    left_out: tuple[Sentence, ...]
    flat: Job
    face: FaceMap


def flat_bar(job: Job) -> Job:
    """Return ``job`` with its bar in the blade's place, milled flat to the blade's thickness, as it was forged."""
    blade, bar = job.blade, job.history.bar
    slab = whole_bar(bar)
    middle = blade.placement.mid_plane * blade.placement.signs[2]
    update = {"thickness": blade.thickness, "placement": slab.placement.model_copy(update={"mid_plane": middle})}
    return job.model_copy(update={"blade": slab.model_copy(update=update), "grind": Milled()})


def find_parts(job: Job, cut: Cut) -> Parts:
    """Return the parts of the motif of ``job`` that ``cut`` asks for.

    A part is a connected area of the bright powders on the bar's flat face, with all that lies inside it. The largest
    that can come out whole are numbered from heel to tip; the others run off the bar, lie at the can's shell, or are
    larger than the blade.

    Raises
    ------
    RequestError
        If a part is asked for that is not there, or none can come out whole.
    """
    flat = flat_bar(job)
    side = cut.face if not job.blade.placement.mirrored else SIDES[1 - SIDES.index(cut.face)]
    face = face_map(flat, side, PX_PER_MM)
    found: list[Part] = []
    hopeless = Counter[str]()
    taken = np.zeros_like(face.grid.mask)
    for one in _bright_parts(face, job.bright_powders):
        if (one & taken).any():  # lies inside another, and comes out whole with that
            continue
        part = _part(flat, face, one, "")
        why = _hopeless(job, cut, face, one, part)
        if why:
            hopeless[why] += 1
            continue
        taken |= one
        found.append(part)
    largest = sorted(found, key=lambda each: -each.area)[:MOST_PARTS]
    found = [replace(each, name=str(n)) for n, each in enumerate(sorted(largest, key=_from_heel), start=1)]
    words = tuple(say("{} of the bright parts left out: {}.", count, why) for why, count in hopeless.items())
    weights = {each.number: each.weight for each in cut.keep if each.number is not None}
    missing = [each for each in weights if each > len(found)]
    if missing or not (found or cut.keep):
        there = f"shows {len(found)} that can come out whole" if found else "shows none that can come out whole"
        asked = f"; given {missing[0]}" if missing else ", wherever the blade is cut; name a box on the blade to keep"
        told = " ".join(map(str, words))
        raise RequestError.at("place.keep", f"of the bright parts the bar's face {there}{asked}. {told}".strip())
    wanted = [replace(each, weight=weights[int(each.name)]) for each in found if int(each.name) in weights]
    boxes = [each for each in cut.keep if each.box is not None]
    wanted += [_box(job, cut, each, number, face) for number, each in enumerate(boxes, start=1)]
    return Parts(tuple(wanted or found), words, flat, face)


def _from_heel(part: Part) -> float:
    """Return how far along the bar the middle of a part lies, mm."""
    return float(part.in_bar[0].min() + part.in_bar[0].max())


def _bright_parts(face: FaceMap, bright: tuple[str, ...]) -> Iterator[Mask]:
    """Yield the largest bright parts of a face, the widest first, each with what lies in it, told alone later."""
    from scipy import ndimage

    held = (face.share_of(bright) > 0.5) & face.grid.mask
    if face.off_pattern is not None:
        held &= ~face.off_pattern
    labels, count = ndimage.label(held, np.ones((3, 3)))  # so that a line as fine as a pixel stays one
    sizes = np.bincount(labels.ravel(), minlength=count + 1)[1:] / PX_PER_MM**2
    boxes = ndimage.find_objects(labels)
    filled = []
    for part in np.argsort(-sizes, kind="stable")[:MOST_LOOKED_AT]:
        if sizes[part] >= LEAST_PART:
            whole = np.zeros_like(held)
            whole[boxes[part]] = ndimage.binary_fill_holes(labels[boxes[part]] == part + 1)
            filled.append(whole)
    for whole in sorted(filled, key=lambda each: -int(each.sum())):
        yield held & whole


def _part(flat: Job, face: FaceMap, one: Mask, name: str) -> Part:
    from scipy import ndimage

    grid = face.grid
    rows, columns = np.nonzero(one & ~ndimage.binary_erosion(one))
    half = 0.5 / PX_PER_MM  # the rim runs along the pixels' own sides
    sides = half * np.array([[1, -1, 0, 0], [0, 0, 1, -1]])
    rim = (np.stack([grid.along[0, columns], grid.across[rows, 0]])[:, None] + sides[:, :, None]).reshape(2, -1)
    length, height = np.ptp(rim, axis=1).tolist()
    watched = _watched(rim)
    area = float(one.sum()) / PX_PER_MM**2
    return _at(flat, face.side, watched, Part(name, 1.0, area, length, height, rim, rim, one))


def _at(shown: Job, side: Side, rim: Array, part: Part) -> Part:
    """Return ``part`` with its rim (2, n), mm, on a face of ``shown`` followed to the pattern and the bar."""
    origins = find_origins(shown)
    x, y, z, _ = np.broadcast_arrays(*origins.of_face(side, rim[0], rim[1]))
    in_bar = np.stack(shown.blade.in_plan(rim[0], rim[1], shown.history.bar))
    return replace(part, spots=np.stack(origins.direction.seen(x, y, z)), in_bar=in_bar)


def _watched(rim: Array) -> Array:
    """Return the points of a rim (2, n), mm, that lie outermost in any direction, and of the others a few."""
    ways = np.arange(WAYS) * (2 * np.pi / WAYS)
    outermost = np.unique((np.stack([np.cos(ways), np.sin(ways)], axis=1) @ rim).argmax(axis=1))
    _, first = np.unique(np.floor(rim / APART), axis=1, return_index=True)
    return np.asarray(rim[:, np.union1d(outermost, first)])


def _hopeless(job: Job, cut: Cut, face: FaceMap, one: Mask, part: Part) -> str | None:
    """Return why a part cannot come out whole wherever the blade lies, or None."""
    from scipy import ndimage

    if one[0].any() or one[-1].any() or one[:, 0].any() or one[:, -1].any():
        return "cut by the bar's sides or ends"
    near = ndimage.binary_dilation(one, iterations=max(1, round(cut.margin * PX_PER_MM)))
    if face.off_pattern is not None and (near & face.off_pattern).any():
        return "close to the can's shell"
    room, most = Room.of(job.blade.outline, cut.margin), job.blade.outline.height - 2 * cut.margin
    if part.length > float((room.end - room.start).max()) or part.height > most:
        return "larger than the blade"
    return None


def _box(job: Job, cut: Cut, keep: Keep, number: int, face: FaceMap) -> Part:
    """Return the metal in a box on the blade's face as it lies now."""
    along, across, length, height = keep.box or (0.0, 0.0, 0.0, 0.0)
    share = np.linspace(0, 1, 13)
    ends = np.zeros_like(share), np.ones_like(share)
    right, up = np.concatenate([[share, ends[0]], [share, ends[1]], [ends[0], share], [ends[1], share]], axis=1)
    rim = np.stack([along + right * length, across + up * height])
    outline = job.blade.outline
    if not outline.contains(rim[0], rim[1]).any():
        raise RequestError.at("place.keep", f"box {number} lies off the blade")
    part = Part(f"box {number}", keep.weight, length * height, length, height, rim, rim, face.grid.mask)
    part = _at(job, cut.face, rim, part)
    corners = shapely.MultiPoint((part.in_bar + np.array([job.history.bar.size[:2]]).T / 2).T)
    return replace(part, shown=shapely.contains_xy(corners.convex_hull, face.grid.along, face.grid.across))
