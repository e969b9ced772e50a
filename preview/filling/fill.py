"""What is filled in: each powder's floor, tap density and weight, and the room that the dividers take.

The dividers are the insert in one line, bridges and all, where the pattern has one; where there can be none, walls one
bead wide. Budget, can plan and advice all ask here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.errors import JobError, RequestError
from preview.base.results import Grams, GramsPerCm3, In, Mm2, ShareOf
from preview.filling.dividers import Dividers, Printing, dividers
from preview.filling.insert import Insert, insert_of
from preview.forging.bar import USUAL_FILL
from preview.job.faults import make_settings
from preview.job.job import Job
from preview.pattern.raster import Raster
from preview.pipeline import laid_raster

MM3_PER_CM3 = 1000.0

AGREES = 0.005
"""How far a fill density may be off, and a tap density in g/cm3: what their last digits hide."""


@dataclass(frozen=True)
class Fill:
    """One powder of the fill.

    Parameters
    ----------
    powder, kind
        Its name, and its kind.
    area
        Its floor without the dividers, mm2.
    tap_density
        What it has to be tapped to, or is by measurement, g/cm3.
    taps_to
        The least and the most that its kind taps to, g/cm3.
    grams, nickel
        Its weight, and that of the nickel in it, grams.
    measured
        Whether its tap density is measured.
    """

    powder: str
    kind: str
    area: Mm2
    tap_density: GramsPerCm3
    taps_to: tuple[GramsPerCm3, GramsPerCm3]
    grams: Annotated[float, In("g", "weight")]
    nickel: Grams
    measured: bool = False

    @property
    def too_dense(self) -> bool:
        """Whether its weight does not go into its rooms, however it is tapped."""
        return self.tap_density > self.taps_to[1] + AGREES

    @property
    def too_loose(self) -> bool:
        """Whether its weight, tapped down, leaves its rooms open above."""
        return self.tap_density < self.taps_to[0] - AGREES


@dataclass(frozen=True)
class Filling:
    """What a can is filled with.

    Parameters
    ----------
    fills
        A powder each.
    share
        Share of the can that the dividers take, and leave as void.
    dividers
        What they are, in words.
    density
        Weight filled over that of solid steel of the inside's volume.
    """

    fills: tuple[Fill, ...]
    share: ShareOf
    dividers: str
    density: ShareOf


def fill(job: Job, bead: float | None = None) -> Filling:
    """Return what a job's can is filled with.

    ``bead`` is the width of the dividers' walls in mm, 0 for dividers drawn out again before the can is closed.
    """
    printed = None if bead == 0 else _printed(job, bead)
    if isinstance(printed, Insert):
        share, areas, words = (
            printed.share,
            _rooms(printed, laid_raster(job)),
            "the insert in one line, its bridges too",
        )
    else:
        share, areas = _areas(laid_raster(job), printed, job.pattern_area)
        words = "walls one bead wide" if printed else "no dividers are left in the can"
    fills = _fills(job, areas, job.divider_depth)
    inside = job.can.length * job.can.width * job.can.height
    solid = sum(each.grams / powder.density for each, powder in zip(fills, job.powders, strict=True)) * MM3_PER_CM3
    return Filling(fills, share, words, solid / inside)


def _printed(job: Job, bead: float | None) -> Insert | Dividers | None:
    """Return the dividers that are printed, whatever the bed; None where there is nothing to divide."""
    printing = make_settings(Printing, {"bead": bead}, "printing").model_copy(update={"bed": (np.inf,) * 3})
    try:
        return insert_of(job, printing)
    except RequestError:
        pass
    try:
        return dividers(laid_raster(job), job.pattern_area, job.divider_depth, printing)
    except JobError:
        return None


def _rooms(made: Insert, raster: Raster) -> dict[str, float]:
    """Return the floor area of each class in the rooms of an insert, mm2."""
    areas = dict.fromkeys(raster.classes, 0.0)
    for room, held in zip(made.rooms, made.holds, strict=True):
        areas[raster.classes[held]] += float(room.area)
    return areas


def _areas(raster: Raster, walls: Dividers | None, room: tuple[float, float]) -> tuple[float, dict[str, float]]:
    """Return the dividers' share of the can, and the floor area left to each class, mm2."""
    wide, high = raster.cell
    rows, columns = raster.shares.shape[1:]
    # what of each cell of the raster, whose rim reaches past the can, lies inside it
    across, down = (
        np.clip(size / 2 - np.abs(np.arange(count) - (count - 1) / 2) * cell + cell / 2, 0, cell) / cell
        for size, count, cell in ((room[0], columns, wide), (room[1], rows, high))
    )
    cover = down[:, None] * across[None, :]
    held = (raster.shares * cover).sum(axis=(1, 2), dtype=float) * wide * high
    held[int(raster.shares[:, 0, 0].argmax())] += room[0] * room[1] - held.sum()  # beyond a smaller picture
    if walls is not None:
        held -= walls.share * room[0] * room[1] * _wall_shares(raster, walls, room)
    return (walls.share if walls else 0.0), dict(zip(raster.classes, map(float, held), strict=True))


def _wall_shares(raster: Raster, walls: Dividers, room: tuple[float, float]) -> Array:
    """Return the share of the walls' room that was each class's."""
    per_mm = 8 / walls.bead
    columns, rows = round(room[0] * per_mm), round(room[1] * per_mm)
    sheet = Image.new("L", (columns, rows))
    draw = ImageDraw.Draw(sheet)
    for part in walls.parts:
        for ring, value in ((part.exterior, 1), *((hole, 0) for hole in part.interiors)):
            draw.polygon([((x + room[0] / 2) * per_mm, (room[1] / 2 - y) * per_mm) for x, y in ring.coords], fill=value)
    row, column = np.nonzero(np.asarray(sheet))
    right, up = (column + 0.5) / per_mm - room[0] / 2, room[1] / 2 - (row + 0.5) / per_mm
    shape = raster.shares.shape
    place_row = np.clip(np.rint((shape[1] - 1) / 2 - up / raster.cell[1]).astype(int), 0, shape[1] - 1)
    place_column = np.clip(np.rint((shape[2] - 1) / 2 + right / raster.cell[0]).astype(int), 0, shape[2] - 1)
    return np.asarray(raster.shares[:, place_row, place_column].mean(axis=1, dtype=float))


def _fills(job: Job, areas: dict[str, float], depth: float) -> tuple[Fill, ...]:
    """Return the fill; a powder without a measured tap density has the one that the can's fill density asks for.

    Powders that pack unlike, as a water- and a gas-atomised one do, differ by as much as they usually do; where the
    kind of one is not known, all pack alike.
    """
    whole = job.pattern_area[0] * job.pattern_area[1]
    left = job.can.fill_density * whole
    usual = {each.name: (each.usual_tap or 0.0) / each.density for each in job.powders}
    if not all(usual.values()):
        usual = dict.fromkeys(usual, 1.0)
    asked = 0.0
    for powder in job.powders:
        area = areas.get(powder.name, 0.0)
        if powder.tap_density is None:
            asked += area * usual[powder.name]
        else:
            left -= area * powder.tap_density / powder.density
    times = left / asked if asked else 0.0
    fills = []
    for powder in job.powders:
        area = areas.get(powder.name, 0.0)
        tap = powder.density * usual[powder.name] * times if powder.tap_density is None else powder.tap_density
        grams = area * depth / MM3_PER_CM3 * tap
        nickel = grams * powder.nickel / 100
        measured = powder.tap_density is not None
        fills.append(Fill(powder.name, powder.kind, area, tap, powder.taps_to, grams, nickel, measured))
    return tuple(fills)


def tapped_fill(job: Job) -> float | None:
    """Return the fill density that a job's powders give its can, tapped as they usually are; see `usual_fill`."""
    can = job.can.model_copy(update={"fill_density": USUAL_FILL})  # what it is now tells nothing
    return _tapped_fill(Job(pattern=job.pattern, powders=job.powders, can=can, folder=job.folder))


@kept
def _tapped_fill(job: Job) -> float | None:
    return usual_fill(job, fill(job).fills)


def usual_fill(job: Job, fills: tuple[Fill, ...]) -> float | None:
    """Return the fill density with the ``fills`` on their floors, each tapped as measured or as its kind usually is.

    None where a powder's kind is not known and its tap density not measured.
    """
    solid = 0.0
    for each, powder in zip(fills, job.powders, strict=True):
        if each.area and powder.usual_tap is None:
            return None
        solid += each.area * (powder.usual_tap or 0.0) / powder.density
    return solid / (job.pattern_area[0] * job.pattern_area[1])
