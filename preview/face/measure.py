"""What a preview says in numbers, from the same arrays as its pictures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.blade.grind import Side
from preview.blade.surface import bevel_lines
from preview.face import on_face
from preview.face.composition import FaceMap, Ground
from preview.forging.steps import Press
from preview.job.job import SIDES, Job
from preview.pattern.fineness import fineness, share_below
from preview.pattern.nickel import softening
from preview.pattern.pattern import VOID, Raster

FINEST_SEEN = 0.15
"""Width (mm) of a line that the eye still tells from grey at half a metre: one minute of arc, the gap of the
Landolt ring for visual acuity 1 in ISO 8596."""

FINEST_FILLED = 0.4
"""Width (mm) in the can under which powder hardly flows between dividers: a few of the largest particles
(common practice, no published source)."""


@dataclass(frozen=True)
class Station:
    """One face's grind at a place along the blade; mm, and degrees a side."""

    along: float
    thickness: float
    angle: float
    height: float
    line_across: float


@dataclass(frozen=True)
class FaceNumbers:
    """What one face shows.

    Parameters
    ----------
    stations
        Grind near the heel, in the middle, and towards the tip.
    bright_share
        Share of the face's area that is steel which resists at least half of the attack.
    shell_share, lost_share
        Shares of the face that show the can's wall, and where there is no metal or a void.
    slide
        At mid-length, how far the pattern at the edge lies from where it would be on the unground face, in mm
        of the can, across (dividers through) or up (dividers along).
    slide_on_blade
        The same in mm on the blade; None for dividers along the blade.
    """

    stations: tuple[Station, ...]
    bright_share: float
    shell_share: float
    lost_share: float
    slide: float
    slide_on_blade: float | None


@dataclass(frozen=True)
class Numbers:
    """What a preview says in numbers, and in words where something is doubtful.

    Parameters
    ----------
    bar
        Length, width and thickness of the bar after the last step, mm.
    right, left
        What each face shows.
    stretch_along, stretch_across
        Millimetres on the right face for one in the can, at mid-length and mid-bevel: along the blade, and
        edge to spine (for dividers along the blade: of the picture's height).
    contrast
        CIE lightness of the brightest powder less that of the darkest.
    finest
        For each powder, the width on the blade (mm) under which a fiftieth of its area lies, to 15 per cent;
        the top of `preview.pattern.fineness.LADDER` stands for all that is wider.
    unseen
        For each powder, the share of its area that is too narrow on the blade to be told from grey.
    unfilled
        For each powder, the share of its area that is too narrow in the can to be filled well.
    softening
        One standard deviation (micrometres, on the blade) of the nickel's diffusion along, across and through.
    motif_off
        Share of the bright powders in the pattern that lies off the finished right face; None for dividers
        along the blade, whose pattern has no end.
    joints
        Where along the blade the welds between tiles lie, on the bar's middle line, mm from the heel.
    notes
        What is doubtful, in words.
    """

    bar: tuple[float, float, float]
    right: FaceNumbers
    left: FaceNumbers
    stretch_along: float
    stretch_across: float
    contrast: float
    finest: dict[str, float]
    unseen: dict[str, float]
    unfilled: dict[str, float]
    softening: tuple[float, float, float]
    motif_off: float | None
    joints: tuple[float, ...]
    notes: tuple[str, ...]

    def face(self, side: Side) -> FaceNumbers:
        """Return the numbers of ``right`` or ``left``."""
        return self.right if side == "right" else self.left


def numbers(job: Job, ground: Ground, raster: Raster, faces: tuple[FaceMap, FaceMap]) -> Numbers:
    """Return what the preview's arrays say."""
    bar = job.history.bar
    lightness = [float(job.etching.lightness(powder.nickel)) for powder in job.powders]
    along, across = on_face.stretch(job, ground)
    right, left = (face_numbers(job, ground, raster, face) for face in faces)
    through = job.pattern.dividers == "through"
    finest, unseen, unfilled = {}, {}, {}
    on_blade = (along, across) if through else (on_face.stretch_sideways(job, ground), across)
    for name in (powder.name for powder in job.powders):
        finest[name], unseen[name] = fineness(raster, name, on_blade, FINEST_SEEN)
        unfilled[name] = share_below(raster, name, (1.0, 1.0), FINEST_FILLED)
    forged = np.linalg.inv(job.history.gradient(source="bar", target="can"))
    spread = forged @ softening(job.history) @ forged.T
    micrometres = tuple(float(1000 * np.sqrt(max(spread[axis, axis], 0.0))) for axis in range(3))
    found = Numbers(
        bar=bar.size,
        right=right,
        left=left,
        stretch_along=along,
        stretch_across=across,
        contrast=max(lightness) - min(lightness),
        finest=finest,
        unseen=unseen,
        unfilled=unfilled,
        softening=(micrometres[0], micrometres[1], micrometres[2]),
        motif_off=on_face.motif_off(job, ground, raster) if through else None,
        joints=on_face.joints(job),
        notes=(),
    )
    return Numbers(**{**vars(found), "notes": (*raster.notes, *_notes(job, found))})


def face_numbers(job: Job, ground: Ground, raster: Raster, face: FaceMap) -> FaceNumbers:
    """Return what the arrays of one face say."""
    outline, bar = job.blade.outline, job.history.bar
    start = min(job.grind.heel_flat + job.grind.plunge, 0.9 * outline.length) if job.grind.heel_flat else 0.0
    places = np.array([start, outline.length / 2, 0.85 * outline.length])
    lines = bevel_lines(job.blade, job.grind, bar, face.side, places)
    edge, spine = outline.edge(places), outline.spine(places)
    top = np.minimum(lines.height, outline.edge_distance(places, spine))
    line = np.minimum(edge + lines.height, spine)
    thickness = job.blade.thickness_at(places, bar)
    ground_at_all = job.grind.bevel(face.side).is_ground
    stations = tuple(
        Station(
            float(places[i]), float(thickness[i]), float(lines.angle[i]) if ground_at_all else 0.0,
            float(top[i]) if ground_at_all else 0.0, float(line[i]) if ground_at_all else float(edge[i]),
        )
        for i in range(len(places))
    )  # fmt: skip

    weight = face.grid.coverage
    area = float(weight.sum(dtype=float))
    names = raster.classes
    bright = face.share_of(names, job.bright_powders)
    off = np.zeros(weight.shape, dtype=bool)
    lost = 0.0
    if VOID in names:
        lost += float((weight * face.shares[names.index(VOID) - 1]).sum(dtype=float))
    shell = 0.0
    if face.shell is not None:
        shell = float(weight[face.shell].sum(dtype=float))
        off |= face.shell
    if face.lost is not None:
        lost += float(weight[face.lost].sum(dtype=float))
        off |= face.lost
    bright_area = float((weight * np.where(off, 0, bright)).sum(dtype=float))
    slide, on_blade = on_face.slide(job, ground, face.side)
    return FaceNumbers(stations, bright_area / area, shell / area, lost / area, slide, on_blade)


def _notes(job: Job, found: Numbers) -> list[str]:
    notes = []
    for side in SIDES:
        face = found.face(side)
        if face.shell_share > 0.0005:
            notes.append(
                f"The {side} face still shows the can's shell on {face.shell_share:.1%} of its area: "
                "mill more off, or move the blade in the bar."
            )
        if face.lost_share > 0.0005:
            notes.append(
                f"On {face.lost_share:.1%} of the {side} face there is no metal: the bar does not fill the blade there."
            )
    for name, share in found.unseen.items():
        if share > 0.01:
            notes.append(
                f"{share:.0%} of the {name} powder's pattern comes out narrower than {FINEST_SEEN:g} mm on the blade: "
                "it will read as grey, not as lines."
            )
    for name, share in found.unfilled.items():
        if share > 0.01:
            notes.append(
                f"{share:.0%} of the {name} powder's pattern is narrower than {FINEST_FILLED:g} mm in the can: "
                "powder hardly fills that between dividers."
            )
    if found.motif_off is not None and found.motif_off > 0.25:
        notes.append(f"{found.motif_off:.0%} of the bright pattern laid in the can lies off the finished right face.")
    if found.contrast < 20:
        notes.append(f"The powders differ by only {found.contrast:.0f} in lightness (L*): the pattern will look faint.")
    notes += _forging_notes(job)
    return notes


def _forging_notes(job: Job) -> list[str]:
    notes = []
    bar = job.history.bar
    for number, (step, before) in enumerate(zip(job.forging, job.history.bars[:-1], strict=True)):
        if isinstance(step, Press) and step.bite is not None and step.bite < before.thickness / 3:
            notes.append(
                f"forging[{number}]: a bite of {step.bite:g} mm on a bar {before.thickness:.3g} mm thick works the "
                "skin only; the sides may fold and the pattern ripple. At least a third of the thickness is the rule."
            )
    low = job.blade.corner(bar)[1] + bar.width / 2
    high = bar.width - low - job.blade.outline.height
    if bar.shape == "bulged" and min(low, high) < bar.thickness / 2:
        notes.append(
            f"The blade comes within {min(low, high):.2g} mm of the pressed bar's side. The flow there is not well "
            "known: trust the picture less in the outer half thickness, or mill more off the sides."
        )
    return notes
