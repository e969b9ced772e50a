"""A photograph of the real bar or blade laid on its preview: from the picture to what was learnt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from preview.base.arrays import Array, Float32, Mask
from preview.base.errors import RequestError
from preview.base.photographs import Photograph, read_photograph
from preview.base.units import Sentence, mm, say
from preview.blade.grind import Side
from preview.forge.uncertain import Moves
from preview.job.checks import check_job
from preview.job.job import Job
from preview.job.seen import Seen
from preview.job.uncut import uncut
from preview.look.etch import luminance
from preview.seen.camera import Pose, from_corners
from preview.seen.card import CARD_SIZE, Card
from preview.seen.card_search import follow_beside
from preview.seen.fitting import BLURS, Comparison, Fit, Tone
from preview.seen.following import follow
from preview.seen.learning import Of, kept_as_seen, learnt_of
from preview.seen.marks import ALONE, Marks, by_marks, checked_marks, marks_on, worst_mark
from preview.seen.rectify import DARKEST, Laid, lay_straight, linear
from preview.seen.refusing import follow_steel
from preview.seen.rim import rim_of
from preview.seen.verdict import Verdict, judge, unread
from preview.seen.ways import PX_PER_MM, RIGID, Face, Ways, face_of, find_ways, wander_of

QUICK = BLURS[:3]
"""Blurs at which it is tried which way up the pattern lies."""

CARD_SIDES = (10.0, 1000.0)
"""Least and most of a card's sides, mm."""

SHORTEST_REPEAT, ALIKE, DIPS = 10.0, 0.4, 0.15
"""A pattern repeats where it is so much alike (correlation) some distance on, at least this far (mm), and by so much
less alike between; a wave along a line is .63 alike a wave further on, and .43 between."""


@dataclass(frozen=True, eq=False)
class Match:
    """What a photograph shows of a job.

    Parameters
    ----------
    job, side, of
        The job that was photographed (of a bar, uncut), which face, and whether it is bar or blade.
    photograph, pose
        The picture, and where it was taken from.
    face, laid
        The face's grid, and the photograph laid on it.
    field, error
        What is shown at ``x + field`` lies at ``x``, mm ``(2, rows, columns)``; one standard deviation of it, mm.
    tone
        The pattern's tones, to be read where it lies; see `shown`.
    ways
        The ways in which it was let lie otherwise.
    fit, verdict
        The fit's numbers, and whether the photograph is taken.
    seen
        What the job can refer to; None where the photograph is not taken.
    learnt
        In words.
    beside
        What is said of a card that was looked for beside it; None where none is like one, or its corners were given.
    """

    job: Job
    side: Side
    of: Of
    photograph: Photograph
    pose: Pose
    face: Face
    laid: Laid
    field: Array
    error: Array
    tone: Tone
    ways: Ways
    fit: Fit
    verdict: Verdict
    seen: Seen | None
    learnt: tuple[Sentence, ...]
    beside: Sentence | None = None

    @property
    def of_steel(self) -> Mask:
        """Which of the fit's weights belong to the steel, and not to the camera."""
        return ~self.ways.of_camera

    @property
    def camera(self) -> Sentence:
        """How the camera was held, and how much of the face is not seen, in words."""
        hidden = 1 - self.laid.seen.sum() / self.face.on_face.sum()
        words = (
            f"The camera looked {self.pose.tilt:.0f}° askew; {hidden:.0%} of the face is hidden (fingers, glare, rim)."
        )
        return say("{}", words)

    def shown(self, field: Array | None = None) -> Float32:
        """Return the preview's tone on the grid, 0 dark to 1 bright, where it lies otherwise by ``field``, mm."""
        return self.tone.at(self.face, np.zeros_like(self.face.base) if field is None else field)


def match(
    job: Job,
    photo: str | Path,
    side: Side = "right",
    *,
    of: Of = "bar",
    corners: Sequence[tuple[float, float]] | None = None,
    card: Sequence[tuple[float, float]] | None = None,
    card_size: tuple[float, float] = CARD_SIZE,
    marks: Marks = (),
) -> Match:
    """Lay a photograph on the preview of the face that it shows.

    Parameters
    ----------
    job
        The job, checked.
    photo
        The photograph: square on, from 60 cm or more, on plain cloth, the edge down.
    side
        Which face it shows.
    of
        Whether it shows the flat ``bar`` before the blade is cut, or the finished ``blade``.
    corners
        Of the bar, or of a box round the blade: from the upper left clockwise, in shares of the photograph; found where
        they are left out.
    card
        Corners of a card, or another flat rectangle, that lies beside it, likewise: they tell how the camera was held.
        Looked for where they are left out; none of them (``()``) where nothing of the kind lies there.
    card_size
        Its width and height on the photograph, mm.
    marks
        Points of the pattern shown by hand: each its pixel of the photograph, from the left and from above, and the
        place of the face, mm from its heel end and above its edge line, where the preview without a photograph shows
        the same point. They tell repeats apart; `ALONE` of them do without a pattern that can be read.

    Raises
    ------
    RequestError
        If corners or marks cannot be, no steel is found on the photograph, it is too small, or its outline does not
        fit; or if the blade is to be cut with the bar turned round or on its other face.
    FileError
        If the photograph cannot be read.
    """
    check_job(job)
    shown_by_hand = checked_marks(marks)
    if job.blade.placement.turned or job.blade.placement.mirrored:  # `Seen` follows the bar as forged
        problem = "is laid on the bar as it was forged: it may lie neither turned round nor on its other face"
        raise RequestError.at("photo", problem)
    job = job.unseen
    job = uncut(job) if of == "bar" else job
    taken = read_photograph(Path(photo))
    light = linear(taken.pixels)
    logs = np.log(light + DARKEST)
    rim = rim_of(job.ground, side)
    size = (light.shape[1], light.shape[0])
    card_size = _size_checked(card_size)
    given = Card(_checked(card, "card"), card_size) if card else None
    shown = None if corners is None else from_corners(_checked(corners, "corners"), rim.box, size)
    followed = follow_steel(taken.light, logs, rim, shown)
    beside = None
    if given is not None:
        followed = follow(logs, rim, followed.pose, given)
    elif card is None:
        followed, beside = follow_beside(logs, rim, followed, card_size)
    pose = followed.pose
    moves = Moves.of(job, wander_of(job))
    face = face_of(moves, job, side)
    laid = lay_straight(light, pose, face.places, face.on_face, PX_PER_MM)
    ways = find_ways(moves, face, side, pose)
    tone = _tone(job, moves, face)
    if len(shown_by_hand):
        shown_by_hand[:, 0] *= np.array(size) / taken.whole
        ways = replace(ways, marked=marks_on(face, side, pose, shown_by_hand))
    fit = Comparison(face, tone, laid).fit(ways)
    alone = len(shown_by_hand) >= ALONE and unread(fit) is not None
    if alone:
        fit = by_marks(ways, fit)
    worst = worst_mark(ways, fit) if ways.marked else None
    verdict = judge(fit, *_otherwise(face, tone, laid, ways), worst, alone=alone)
    steel = np.where(ways.of_camera, 0, fit.weights)
    field = ways.field(steel)
    seen, error = kept_as_seen(job, of, face, ways, steel, fit.covariance)
    return Match(
        job, side, of, taken, pose, face, laid, field, error,
        tone, ways, fit, verdict,
        seen if verdict.taken else None, learnt_of(job, of, ways, fit, field, face) if verdict.taken else (), beside,
    )  # fmt: skip


def _size_checked(size: tuple[float, float]) -> tuple[float, float]:
    low, high = CARD_SIDES
    try:
        wide, tall = map(float, size)
    except (TypeError, ValueError):
        wide = tall = 0.0
    if not (low <= wide <= high and low <= tall <= high):
        raise RequestError.at("card_size", say("width and height from {} to {} are needed", mm(low), mm(high)))
    return wide, tall


def _checked(corners: Sequence[tuple[float, float]], key: str) -> Array:
    try:
        found = np.array(corners, dtype=float)
    except (TypeError, ValueError):
        found = np.zeros(0)
    if found.shape != (4, 2) or not np.isfinite(found).all() or np.abs(found - 0.5).max() > 1:
        raise RequestError.at(key, "four places in shares of the photograph are needed, from 0 to 1")
    ahead = np.roll(found, -1, axis=0) - found
    after = np.roll(ahead, -1, axis=0)
    if (ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0] <= 0).any():
        raise RequestError.at(key, "have to go round clockwise from the upper left one; these cross or go back")
    return found


def _tone(job: Job, moves: Moves, face: Face) -> Tone:
    """Return the tones of the raster, in cells of about half a place of the grid."""
    sampler = moves.here.sampler
    per = np.median(np.abs(face.per_mm[:, :, face.on_face]).max(axis=1), axis=1)
    wide, high = (max(1, int(each / PX_PER_MM / 2)) for each in per)
    raster = sampler.coarser(wide, high).raster
    logs = np.log([float(luminance(float(job.etching.lightness(powder.nickel)))) for powder in job.powders])
    scale = (logs - logs.min()) / max(float(np.ptp(logs)), 1e-9)
    scale = np.append(scale, [0.0] * (len(raster.classes) - len(scale)))
    return Tone(np.tensordot(scale, raster.shares, 1).astype(np.float32), (wide, high))


def _otherwise(face: Face, tone: Tone, laid: Laid, ways: Ways) -> tuple[float, dict[str, float], dict[float, float]]:
    """Return the evidence of quick fits: as it lies, in the other ways up, and with the pattern a repeat off.

    Of what a hand has shown nothing is asked the other ways up, and no repeat is tried.
    """
    coarse = ways.without_rest()
    own = Comparison(face, tone, laid).fit(coarse, QUICK)
    flips = {"mirrored": (1, -1), "upside down": (-1, 1), "turned": (-1, -1)}
    others = {}
    for name, (down, right) in flips.items():
        there = laid.turned(down, right, face.on_face)
        others[name] = Comparison(face, tone, there).fit(replace(coarse, marked=None), QUICK).evidence
    if ways.marked is not None:
        return own.evidence, others, {}
    repeats = {}
    place = coarse.names.index("shift along")
    for far in _repeats(tone.at(face, np.zeros_like(face.base)), face.on_face):
        start = own.weights.copy()
        start[place] += far / RIGID[0]
        free = replace(coarse, held=start)
        repeats[far] = Comparison(face, tone, laid).fit(free, QUICK[1:]).evidence
    return own.evidence, others, repeats


def _repeats(shown: Float32, on_face: Mask) -> tuple[float, ...]:
    """Return how far along (mm) the pattern looks like itself, both ways; none where it does not."""
    field = np.where(on_face, shown - shown[on_face].mean(), 0)
    alike = []
    for lag in range(1, field.shape[1] // 2):
        one, other = field[:, lag:], field[:, :-lag]
        both = on_face[:, lag:] & on_face[:, :-lag]
        size = float(np.sqrt((one**2 * both).sum() * (other**2 * both).sum()))
        alike.append(float((one * other).sum()) / max(size, 1e-9))
    first, lowest = int(SHORTEST_REPEAT * PX_PER_MM), np.minimum.accumulate(alike)
    peaks = [
        lag for lag in range(first, len(alike) - 1)
        if alike[lag] > max(ALIKE, lowest[lag] + DIPS)  # what never differs along does not repeat: it goes on
        and alike[lag] == max(alike[lag - first // 2 : lag + first // 2])
    ]  # fmt: skip
    return () if not peaks else ((peaks[0] + 1) / PX_PER_MM, -(peaks[0] + 1) / PX_PER_MM)
