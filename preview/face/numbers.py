"""What a preview says in numbers, from the same arrays as its pictures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array
from preview.base.results import CieLightness, Degrees, Micrometres, Mm, MmPerMm, ShareOf
from preview.base.units import Sentence, mm, say
from preview.blade.grind import SIDES, Side
from preview.blade.sharpening import sharpening_notes
from preview.face.face_map import FaceMap
from preview.face.origins import Origins
from preview.face.stretch import joints, motif_off, picture_stretch, slide, stretch
from preview.face.tang import tang_notes
from preview.forging.bar import Bar
from preview.forging.bites import LAPPED, WORTH_TELLING
from preview.forging.history import History
from preview.pattern.fineness import fineness, share_below
from preview.pattern.nickel import softening
from preview.pattern.pattern import VOID

FINEST_SEEN = 0.15
"""Width (mm) of a line that the eye still tells from grey at half a metre: one minute of arc, the gap of the
Landolt ring for visual acuity 1 in ISO 8596."""

FINEST_FILLED = 0.4
"""Width (mm) in the can under which powder hardly flows between dividers: a few of the largest particles
(common practice, no published source)."""


@dataclass(frozen=True)
class Station:
    """One face's grind at a place along the blade, and the ground spine's thickness there; mm, and degrees a side."""

    along: Mm
    thickness: Mm
    angle: Degrees
    height: Mm
    line_across: Mm


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
    bright_share: ShareOf
    shell_share: ShareOf
    lost_share: ShareOf
    slide: Mm
    slide_on_blade: Mm | None


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

    bar: tuple[Mm, Mm, Mm]
    right: FaceNumbers
    left: FaceNumbers
    stretch_along: MmPerMm
    stretch_across: MmPerMm
    contrast: CieLightness
    finest: dict[str, Mm]
    unseen: dict[str, ShareOf]
    unfilled: dict[str, ShareOf]
    softening: tuple[Micrometres, Micrometres, Micrometres]
    motif_off: ShareOf | None
    joints: tuple[Mm, ...]
    notes: tuple[Sentence, ...]

    def face(self, side: Side) -> FaceNumbers:
        """Return the numbers of ``right`` or ``left``."""
        return self.right if side == "right" else self.left


def read_numbers(
    origins: Origins, faces: tuple[FaceMap, FaceMap], lightness: Mapping[str, float], bright: tuple[str, ...]
) -> Numbers:
    """Return what the preview's arrays say.

    Parameters
    ----------
    origins, faces
        Where the faces came from, and what stands on the right and the left one.
    lightness
        CIE lightness of each etched powder, by its name.
    bright
        Names of the powders that stay bright.
    """
    laid, history = origins.laid, origins.history
    along, across = stretch(origins)
    on_blade = picture_stretch(origins)
    finest, unseen, unfilled = {}, {}, {}
    for name in lightness:
        finest[name], unseen[name] = fineness(laid, name, on_blade, FINEST_SEEN)
        unfilled[name] = share_below(laid, name, (1.0, 1.0), FINEST_FILLED)
    forged = np.linalg.inv(history.gradient(source="bar", target="can"))
    spread = forged @ softening(history) @ forged.T
    micrometres = tuple(float(1000 * np.sqrt(max(spread[axis, axis], 0.0))) for axis in range(3))
    right, left = (read_face(origins, face, bright) for face in faces)
    found = Numbers(
        bar=origins.ground.bar.size,
        right=right,
        left=left,
        stretch_along=along,
        stretch_across=across,
        contrast=max(lightness.values()) - min(lightness.values()),
        finest=finest,
        unseen=unseen,
        unfilled=unfilled,
        softening=(micrometres[0], micrometres[1], micrometres[2]),
        motif_off=motif_off(origins, bright),
        joints=joints(origins),
        notes=(),
    )
    return replace(found, notes=(*laid.notes, *_notes(found), *_forging_notes(origins)))


def read_face(origins: Origins, face: FaceMap, bright: tuple[str, ...]) -> FaceNumbers:
    """Return what the arrays of one face say; ``bright`` names the powders that stay bright."""
    weight = face.grid.coverage
    area = float(weight.sum(dtype=float))
    lost = float((weight * face.share_of((VOID,))).sum(dtype=float))
    if face.lost is not None:
        lost += float(weight[face.lost].sum(dtype=float))
    shell = 0.0 if face.shell is None else float(weight[face.shell].sum(dtype=float))
    steel = face.share_of(bright)
    if face.off_pattern is not None:
        steel = np.where(face.off_pattern, 0, steel)
    bright_area = float((weight * steel).sum(dtype=float))
    moved, on_blade = slide(origins, face.side)
    return FaceNumbers(_stations(origins, face.side), bright_area / area, shell / area, lost / area, moved, on_blade)


def _stations(origins: Origins, side: Side) -> tuple[Station, ...]:
    """Return one face's grind near the heel, in the middle, and towards the tip."""
    ground = origins.ground
    outline, grind = ground.blade.outline, ground.grind
    start = min(ground.plunge[1], 0.9 * outline.length) if ground.plunge else 0.0
    places = np.array([start, outline.length / 2, 0.85 * outline.length])
    bevel, thickness = ground.bevel(side, places), ground.at_spine(places)
    edge, spine = outline.edge(places), outline.spine(places)
    angle, top = bevel.angle, np.minimum(bevel.height, outline.edge_distance(places, spine))
    line = np.minimum(edge + bevel.height, spine)
    if not grind.bevel(side).is_ground:
        angle, top, line = np.zeros_like(edge), np.zeros_like(edge), edge
    return tuple(Station(*map(float, each)) for each in zip(places, thickness, angle, top, line, strict=True))


def _notes(found: Numbers) -> list[Sentence]:
    notes = []
    for side in SIDES:
        face = found.face(side)
        if face.shell_share > 0.0005:
            notes.append(
                say(
                    "The {} face still shows the can's shell on {} of its area: mill more off, or move the blade in "
                    "the bar.", side, f"{face.shell_share:.1%}",
                )
            )  # fmt: skip
        if face.lost_share > 0.0005:
            notes.append(
                say(
                    "On {} of the {} face there is no metal: the bar does not fill the blade there.",
                    f"{face.lost_share:.1%}", side,
                )
            )  # fmt: skip
    for name, share in found.unseen.items():
        if share > 0.01:
            notes.append(
                say(
                    "{} of the {} powder's pattern comes out narrower than {} on the blade: it will read as grey, not "
                    "as lines.", f"{share:.0%}", name, mm(FINEST_SEEN),
                )
            )  # fmt: skip
    for name, share in found.unfilled.items():
        if share > 0.01:
            notes.append(
                say(
                    "{} of the {} powder's pattern is narrower than {} in the can: powder hardly fills that between "
                    "dividers.", f"{share:.0%}", name, mm(FINEST_FILLED),
                )
            )  # fmt: skip
    if found.motif_off is not None and found.motif_off > 0.25:
        off = f"{found.motif_off:.0%}"
        notes.append(say("{} of the bright pattern laid in the can lies off the finished right face.", off))
    if found.contrast < 20:
        differ = f"{found.contrast:.0f}"
        notes.append(say("The powders differ in lightness by only {} of 100: the pattern will look faint.", differ))
    return notes


def _forging_notes(origins: Origins) -> list[Sentence]:
    notes: list[Sentence] = []
    history, blade, bar = origins.history, origins.ground.blade, origins.ground.bar
    ricasso, flat = blade.outline.ricasso_length, origins.ground.grind.heel_flat
    if ricasso and flat and abs(ricasso - flat) > 0.05:
        sizes = (mm(size, form=".3g") for size in (ricasso, flat))
        problem = (
            "The bevel begins at the ricasso's end, {} from the heel, not after the flat of {} that the grind says."
        )
        notes.append(say(problem, *sizes))
    notes += tang_notes(blade, history, origins.inside)
    notes += sharpening_notes(origins.ground)
    for number, (step, before) in enumerate(zip(history.steps, history.met, strict=True), start=1):
        notes += [say("Step {}, {}: {}", number, step.title, note) for note in step.notes(before)]
    if history.waves > WORTH_TELLING:
        problem = (
            "Bites laid end to end would leave waves of some {} in the pattern: overlap your bites by half, and some "
            "{} are left; more passes help too."
        )
        notes.append(say(problem, mm(history.waves, form=".2g"), mm(LAPPED * history.waves, form=".1g")))
    pressed, (edge_side, spine_side) = _as_pressed(history)
    foot = blade.corner(bar)[1]
    near = min(foot - edge_side, spine_side - foot - blade.outline.height)
    if bar.shape == "bulged" and near < pressed.thickness / 2:
        notes.append(
            say(
                "The blade comes within {} of the bar's side as it was pressed. The flow there is not well known: "
                "trust the picture less in the outer half thickness, or make the can wider.", mm(near, form=".2g"),
            )
        )  # fmt: skip
    return notes


def _as_pressed(history: History) -> tuple[Bar, Array]:
    """Return the bar before it is milled last, and its sides, edge side first: mm across, in the last bar's frame."""
    worked = max((number for number, step in enumerate(history.steps, start=1) if not step.mills), default=0)
    pressed = history.bars[worked]
    sides: Array = np.array([-0.5, 0.5]) * pressed.width
    still = np.zeros(2)
    for step, before in zip(history.steps[worked:], history.met[worked:], strict=True):
        _, sides, _ = step.forward(still, sides, still, before)
    return pressed, sides
