"""The lines of a face's marking template, in the blade frame: outline, tang, grind line, plunge, motif, stations."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Mask
from preview.base.units import Units
from preview.blade.grind import Side
from preview.face.face_map import FaceMap
from preview.face.grid import FaceGrid
from preview.job.job import Job

MARKED_EVERY = {"mm": (10.0, 5), "inch": (12.7, 2)}
"""Millimetres between the marks along the blade, and every how many of them one is long and named."""

SHORTEST = 1.0
"""Pieces of line shorter than this (mm) are left out: nobody scribes them."""


@dataclass(frozen=True, eq=False)
class Template:
    """One face's lines; points (n, 2) are along and across, blade frame, mm.

    Parameters
    ----------
    side
        Which face.
    outline
        The blade's outline, closed.
    tang
        The tang's, open at the heel; empty where there is none.
    grind_lines
        Where the bevel meets the flat; none where it runs out at the spine.
    plunge
        Along: where the bevel starts to run in, and where it is in full; None where it runs the whole length.
    motif
        Outlines of the bright steel.
    stations
        Along: the marked places.
    named
        Every how many of them one is named.
    """

    side: Side
    outline: Array
    tang: Array
    grind_lines: tuple[Array, ...]
    plunge: tuple[float, float] | None
    motif: tuple[Array, ...]
    stations: Array
    named: int


def template(job: Job, face: FaceMap, units: Units) -> Template:
    """Return the template of a face, from what stands at its pixels."""
    outline, grid = job.blade.outline, face.grid
    along = np.linspace(0, outline.length, 600)
    edge, spine = (np.stack([along, curve(along)], axis=1) for curve in (outline.edge, outline.spine))
    lines = job.ground.bevel(face.side, grid.along)
    over = grid.distance - np.where(np.isfinite(lines.height), lines.height, 1e3)
    started = np.broadcast_to(grid.along >= job.ground.heel_flat, grid.shape)
    bright = face.share_of(job.bright_powders)
    apart, named = MARKED_EVERY[units.sizes]
    return Template(
        side=face.side,
        outline=np.concatenate([edge, spine[::-1]]),
        tang=np.concatenate([spine[:1], outline.tang_polygon, edge[:1]]) if outline.tang_length else np.zeros((0, 2)),
        grind_lines=tuple(_traced(over, 0.0, grid, grid.mask & started)),
        plunge=job.ground.plunge,
        motif=tuple(_traced(bright, 0.5, grid, grid.mask)),
        stations=np.arange(0, outline.length + 1e-9, apart),
        named=named,
    )


def _traced(values: Array, level: float, grid: FaceGrid, where: Mask) -> Iterable[Array]:
    """Yield the lines along which ``values`` pass ``level``, in mm of the blade, broken where ``where`` is false."""
    from skimage.measure import find_contours

    for line in find_contours(np.asarray(values, dtype=float), level, mask=where):
        along = grid.along[0, 0] + line[:, 1] / grid.px_per_mm
        across = grid.across[0, 0] - line[:, 0] / grid.px_per_mm
        if np.hypot(*np.diff(np.stack([along, across]), axis=1)).sum() > SHORTEST:
            yield np.stack([along, across], axis=1)
