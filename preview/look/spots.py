"""A spot of the blade and the grain of powder that shows there: from the face's picture to the can's, and back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Bytes
from preview.blade.grind import Side
from preview.blade.surface import face_stand
from preview.face.columns import meet
from preview.face.on_face import on_face
from preview.job.job import SIDES, Job
from preview.look.light import srgb
from preview.look.photograph import MARGIN
from preview.look.section import light_of
from preview.pipeline import ground_of, raster_of, trace

NEAR = 0.3
"""How near (mm, in the can) a line along the blade has to pass a spot to be said to show it."""

CAN_WIDTH = 900
"""Width of the can's picture, in pixels."""


@dataclass(frozen=True)
class Spot:
    """A spot of a face, and the grain that shows there.

    Parameters
    ----------
    side
        Which face.
    blade
        Along, across and through, blade frame, mm.
    can
        Along, across and up, can frame, mm.
    powder
        What lies there, or ``the can's wall``.
    """

    side: Side
    blade: tuple[float, float, float]
    can: tuple[float, float, float]
    powder: str

    def words(self) -> str:
        """Return where it is and where it came from."""
        along, across, _ = self.blade
        x, y, z = self.can
        here = f"{self.side.capitalize()} face, {along:.1f} mm from the heel, {across:.1f} mm over the edge's baseline"
        there = f"{x:+.1f} mm along the can, {y:+.1f} mm across it, {z:+.1f} mm up, counted from its middle"
        return f"{here}: {self.powder}, from {there}."


def _spot(job: Job, side: Side, along: float, across: float) -> Spot | None:
    outline = job.blade.outline
    x, y = np.array([along]), np.array([across])
    if not outline.contains(x, y)[0]:
        return None
    stand = face_stand(job.blade, job.grind, job.history.bar, side, x, y, outline.edge_distance(x, y))
    through = float(stand[0]) if side == "right" else -float(stand[0])
    can = trace(job, np.array([[along, across, through]]))[0]
    if not np.isfinite(can).all():
        return None
    point = (float(can[0]), float(can[1]), float(can[2]))
    return Spot(side, (along, across, through), point, _powder_at(job, point))


def _powder_at(job: Job, can: tuple[float, float, float]) -> str:
    if any(abs(place) > size / 2 for place, size in zip(can, job.can.inside, strict=True)):
        return "the can's wall"
    ground, classes = ground_of(job), raster_of(job).classes
    column, row = ground.in_picture(*(np.array([place]) for place in can))
    shares = tuple(np.zeros(1, dtype=np.float32) for _ in classes[1:])
    ground.sampler.read(column, row, shares, 1.0)
    every = [1 - sum(float(share[0]) for share in shares), *(float(share[0]) for share in shares)]
    return classes[int(np.argmax(every))]


def face_spot(job: Job, side: Side, right: float, down: float) -> Spot | None:
    """Return the spot at ``right``, ``down`` (shares of the sides) of a face's picture; None off the blade."""
    outline = job.blade.outline
    beside = right * (outline.length + 2 * MARGIN) - MARGIN
    along = beside if side == "right" else outline.length - beside
    return _spot(job, side, along, outline.height + MARGIN - down * (outline.height + 2 * MARGIN))


def place_on_face(job: Job, spot: Spot) -> tuple[float, float]:
    """Return where a spot lies on its face's picture, as shares of its sides rightwards and downwards."""
    outline = job.blade.outline
    along, across, _ = spot.blade
    beside = along if spot.side == "right" else outline.length - along
    return (
        (beside + MARGIN) / (outline.length + 2 * MARGIN),
        (outline.height + MARGIN - across) / (outline.height + 2 * MARGIN),
    )


def can_spots(job: Job, right: float, down: float) -> tuple[Spot, ...]:
    """Return the spots, of either face, where a place of the can's picture shows.

    With dividers along the blade a place of the picture shows all along it: then at mid-length.
    """
    width, height = job.pattern_area
    first, second = (right - 0.5) * width, (0.5 - down) * height
    ground, found = ground_of(job), []
    for side in SIDES:
        if job.pattern.dividers == "through":
            met = meet(ground, side, np.array([first]), np.array([second]))
            if met.on_blade[0]:
                found.append(_spot(job, side, float(met.along[0]), float(met.across[0])))
            continue
        middle = job.blade.outline.length / 2
        low, high = (float(curve(np.array(middle))) for curve in (job.blade.outline.edge, job.blade.outline.spine))
        across = np.linspace(low, high, 600)
        _, y, z = on_face(job, ground, np.full_like(across, middle), across, side)
        off = np.hypot(y - first, z - second)
        if off.min() < NEAR:
            found.append(_spot(job, side, middle, float(across[off.argmin()])))
    return tuple(spot for spot in found if spot is not None)


def place_in_can(job: Job, spot: Spot) -> tuple[float, float]:
    """Return where a spot's grain lies on the can's picture, as shares of its sides rightwards and downwards."""
    width, height = job.pattern_area
    x, y, z = spot.can
    first, second = (x, y) if job.pattern.dividers == "through" else (y, z)
    return first / width + 0.5, 0.5 - second / height


def can_picture(job: Job) -> Bytes:
    """Return the can as the dividers see it, in the steels' tones, grey bytes ``(rows, columns)``."""
    raster = raster_of(job)
    width, height = job.pattern_area
    columns = CAN_WIDTH
    rows = max(2, round(columns * height / width))
    ground = ground_of(job)
    first = ((np.arange(columns) + 0.5) / columns - 0.5)[None, :] * width
    second = (0.5 - (np.arange(rows) + 0.5) / rows)[:, None] * height
    column, row = (np.array(np.broadcast_to(each, (rows, columns))) for each in ground.sampler.positions(first, second))
    shares = tuple(np.zeros((rows, columns), dtype=np.float32) for _ in raster.classes[1:])
    ground.sampler.read(column, row, shares, 1.0)
    light = light_of(shares, raster.classes, job.powders, job.etching)
    return np.rint(srgb(light) * 255).astype(np.uint8)


def marked(picture: Bytes, places: tuple[tuple[float, float], ...]) -> Bytes:
    """Return a grey picture with rings round ``places`` (shares of its sides), RGB bytes."""
    image = Image.fromarray(picture).convert("RGB")
    draw = ImageDraw.Draw(image)
    reach = max(6, image.width // 90)
    for right, down in places:
        x, y = right * image.width, down * image.height
        draw.ellipse((x - reach, y - reach, x + reach, y + reach), outline=(255, 122, 47), width=max(2, reach // 4))
    return np.asarray(image)
