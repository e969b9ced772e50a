"""Why a photograph is refused on which the outline of bar or blade cannot be followed: the cause, and what to do."""

from __future__ import annotations

import numpy as np
import shapely

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import PreviewError, RequestError
from preview.base.units import Sentence, mm, say
from preview.seen.camera import Pose
from preview.seen.finding import find_pose, standing_out
from preview.seen.following import Followed, follow
from preview.seen.rim import Rim

LEAST_PX_PER_MM = 2.0
"""Pixels of the photograph for a millimetre of steel, at least."""

WORST_RIM, LEAST_RIM, LEAST_END = 0.55, 0.75, 0.25
"""How far (mm) the rim may lie off, and along what share of it, and of each end, an edge has to be seen, for it to be
believed."""

LONG, LEVEL = 0.25, 0.5
"""Share of the picture's width that a thing takes at least, and how steep it lies at most, to be the steel."""

BESIDE = 3
"""Pixels of the smaller picture from its side within which a thing runs off it: what stands out is rounded there."""

UNLIKE = 0.2
"""Share by which a bar may be longer for its width than the one on the photograph: fingers and slant do as much."""

FILLED, SLENDER = 0.85, 2.5
"""Share of its rectangle that a bar fills which no finger hangs on, and how many times as long as wide it is, at least:
a card is less."""


def follow_steel(light: Float32, pixels: Float32, rim: Rim, shown: Pose | None) -> Followed:
    """Return the pose in which the rim of bar or blade is followed, from where it is ``shown``, or found.

    ``light`` and ``pixels`` as for `find_pose`.

    Raises
    ------
    RequestError
        If it is not to be believed, with the cause as far as it can be told.
    """
    try:
        followed = find_pose(light, pixels, rim) if shown is None else follow(pixels, rim, shown)
    except RequestError as error:
        raise _refusal(light, pixels, rim, error.faults[0].problem) from None
    if followed.pose.per_mm < LEAST_PX_PER_MM:
        problem = (
            f"has {followed.pose.per_mm:.1f} pixels a millimetre of steel; at least {LEAST_PX_PER_MM:g} are needed: is "
            "it the steel of this work, one face in one picture?"
        )
        raise _refusal(light, pixels, rim, problem)
    if followed.off > WORST_RIM or followed.share < LEAST_RIM:
        problem = (
            "its outline is seen along {} of its length, {} off: is it this work's steel, one face a picture? If so, "
            "take it anew with fingers off, or give its corners"
        )
        seen = say(problem, f"{followed.share:.0%}", mm(followed.off, form=".1f"))
        raise _refusal(light, pixels, rim, seen)
    if followed.at_ends < LEAST_END:
        alike = _proportions(_level(light, pixels), rim)
        of_both = "" if alike is None else f"{_both(*alike)}; "
        words = (
            f"{of_both}an end does not lie where this work's would: is it this work's steel, forged as this work has "
            "it? If so, take it anew with both ends free, or give the corners"
        )
        raise _refusal(light, pixels, rim, say("{}", words))
    return followed


def _refusal(light: Float32, pixels: Float32, rim: Rim, seen: Sentence | str) -> PreviewError:
    """Return the refusal of a photograph by its cause, or by what is ``seen`` where none is told."""
    return RequestError.at("photo", _cause(light, pixels, rim) or seen)


def _cause(light: Float32, pixels: Float32, rim: Rim) -> Sentence | None:
    level = _level(light, pixels)
    if not level:
        return None
    steel = max(level, key=lambda each: each[0][0])[1]
    sides = [name for name, strip in (("left", steel[:, :BESIDE]), ("right", steel[:, -BESIDE:])) if strip.any()]
    if rim.open:  # a tang or a handle may run off
        sides = [name for name in sides if name == ("right" if rim.tip_right else "left")]
    if sides:
        words = "the steel runs off its {} side: take it anew with both ends in the picture"
        return say(words, " and ".join(sides))
    alike = _proportions(level, rim)
    if alike is None or abs(np.log(alike[0] / alike[1])) < UNLIKE:
        return None
    return say("{}", f"{_both(*alike)}: is it another work's, or forged otherwise than this work has it?")


def _level(light: Float32, pixels: Float32) -> list[tuple[Array, Mask]]:
    """Return what stands out, long and level enough to be steel: length and height (px), and where it is."""
    parts = [part for some in standing_out(light, pixels) for part in some]
    boxes = [(_box(part), part) for part in parts]
    return [(box, part) for box, part in boxes if box is not None and box[0] > LONG * part.shape[1]]


def _proportions(level: list[tuple[Array, Mask]], rim: Rim) -> tuple[float, float] | None:
    """Return how many times as long as wide a bar on the photograph is, and this work's; None where none is told."""
    bars = [box for box, part in level if part.sum() > FILLED * box.prod() and box[0] > SLENDER * box[1]]
    if rim.open or not bars:
        return None
    long, wide = max(bars, key=lambda box: float(box[0]))
    return float(long / wide), float(np.divide(*np.ptp(rim.box[:, :2], axis=0)))


def _both(seen: float, own: float) -> str:
    return f"what lies on it is {seen:.1f} times as long as it is wide, the bar of this work {own:.1f} times"


def _box(part: Mask) -> Array | None:
    """Return length and height (px) of the smallest rectangle round a thing; None where it does not lie level."""
    row, column = np.nonzero(part)
    around = shapely.minimum_rotated_rectangle(shapely.MultiPoint(np.stack([column, row], axis=1)))
    corners = shapely.get_coordinates(around)
    if len(corners) != 5:
        return None
    sides = np.diff(corners[:3], axis=0)
    lengths = np.hypot(*sides.T)
    way = sides[int(lengths.argmax())]
    return None if abs(way[1]) > LEVEL * abs(way[0]) else np.sort(lengths)[::-1]
