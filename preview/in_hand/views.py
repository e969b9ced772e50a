"""Stills of the blade as it is held: three-quarter, the edge, heel and choil; off the same solid, sheet and studio."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from preview.base.arrays import Array, Bytes, Mask
from preview.base.pictures import Packed, image_of, layers
from preview.base.progress import counted
from preview.in_hand.maps import SteelMaps, sheet_scale, steel_maps
from preview.in_hand.raster import seen_triangles
from preview.in_hand.shading import Shader
from preview.in_hand.solid import Body, bodies_of
from preview.job.checks import check_job
from preview.job.job import Job
from preview.look.backdrop import empty_ground, unshaded
from preview.look.caption import caption
from preview.look.colours import ground_colours, key_of, steel_colours
from preview.look.light import rotation
from preview.look.still import EYE

FINER = 2
"""Pixels that are drawn to one of the picture, each way."""

FLOATS = ((4.0, 9.0, 0.35), (11.0, 14.0, 0.30))
"""The shadow of a blade in the hand: softness, how far below it falls (mm), depth of each of its parts (by eye)."""

WIDTH, GAP = 1600, 8
"""Pixels of a sheet of views, and between them."""


@dataclass(frozen=True)
class Held:
    """How a blade is held before the eye, and what of it fills the picture.

    Parameters
    ----------
    pitch, yaw, roll
        Degrees: the spine comes towards the viewer, the tip goes away from him, the tip is lifted; rolled first.
    lift, aside
        Degrees by which the light is moved up and to the right, as a photographer would for this view.
    beside, above
        The place that is in the picture's middle, as shares of the blade's length and height.
    wide
        Width of the picture as a share of the blade's length.
    form
        Height of the picture as a share of its width.
    """

    pitch: float
    yaw: float
    roll: float
    lift: float
    aside: float
    beside: float
    above: float
    wide: float
    form: float


VIEWS = {
    "From above the spine": Held(27, 30, 10, -54, 80, 0.36, 0.45, 1.42, 0.42),
    "The heel, from below": Held(-22, -32, -4, 38, -46, 0.06, 0.42, 0.5, 0.72),
    "Looking at the edge, closer": Held(-80, 0, 0, 22, 12, 0.26, 0.1, 0.62, 0.30),
}
"""What is shown, by what stands below it; how it is held and lit is chosen by eye."""

WORDS = 20
"""Height of the words on a sheet of views, pixels."""


def views(job: Job, told: str = "") -> Bytes:
    """Return the blade in all of `VIEWS` on one picture, with what is ``told`` below, sRGB ``(rows, columns, 3)``.

    Raises
    ------
    JobError
        If the job's parts do not fit together.
    FileError
        If the pattern picture cannot be read.
    """
    check_job(job)
    maps = steel_maps(job, sheet_scale(job.blade.outline))
    bodies = bodies_of(job.ground, maps)
    rest = list(VIEWS.values())[1:]
    # what stands side by side is equally high
    wide = [(WIDTH - GAP * (len(rest) - 1)) / each.form / sum(1 / other.form for other in rest) for each in rest]
    sizes = [WIDTH, *(round(each) for each in wide)]
    pictures = [
        np.concatenate([still(job, maps, bodies, held, size), caption(words, size, WORDS)])
        for (words, held), size in counted("views of the blade", tuple(zip(VIEWS.items(), sizes, strict=True)))
    ]
    sheet = Image.new("RGB", (WIDTH, pictures[0].shape[0] + GAP + pictures[1].shape[0]), "white")
    sheet.paste(Image.fromarray(pictures[0]), (0, 0))
    beside = 0
    for each in pictures[1:]:
        sheet.paste(Image.fromarray(each), (beside, pictures[0].shape[0] + GAP))
        beside += each.shape[1] + GAP
    if not told:
        return np.asarray(sheet)
    return np.concatenate([np.asarray(sheet), np.full((GAP, WIDTH, 3), 255, np.uint8), caption(told, WIDTH, WORDS)])


def still(job: Job, maps: SteelMaps, bodies: tuple[Body, ...], held: Held, width: int) -> Bytes:
    """Return a blade's picture as it is held, ``width`` pixels wide, sRGB bytes ``(rows, columns, 3)``."""
    outline = job.blade.outline
    shape = round(width * held.form) * FINER, width * FINER
    per_mm = shape[1] / (held.wide * outline.length)
    turn = rotation("right", held.pitch) @ rotation("up", held.yaw) @ rotation("viewer", held.roll)
    light = rotation("right", held.lift) @ rotation("up", -held.aside)
    middle = np.array([held.beside * outline.length, held.above * outline.height, 0.0])
    whole = _together(bodies)
    world = (whole.places - middle) @ turn.T
    eye = max(EYE, 2 * float(np.ptp(whole.places[:, 0])))  # a sword is looked at from farther off
    seen = seen_triangles(world, whole.triangles, eye, per_mm, shape)
    lit, dark, wood = Shader.of(job, maps, turn, light).lit(whole, seen, world, eye)

    cover = np.zeros(shape, dtype=np.float32)
    cover.ravel()[seen.at] = 1
    behind = empty_ground(shape, per_mm) * unshaded(cover, per_mm, FLOATS)
    packed = np.take(ground_colours(), key_of(behind, np.zeros(shape, dtype=np.float32)))
    colours = steel_colours(max((powder.nickel for powder in job.powders), default=0.0), job.etching.tint)
    plain = dark > 1
    kinds: tuple[tuple[Mask, Packed, Array], ...] = ((~plain, colours, dark), (plain, ground_colours(), wood))
    for of, table, share in kinds:
        key = key_of(lit[of].astype(np.float32), share[of].astype(np.float32))
        packed.ravel()[seen.at[of]] = np.take(table, key)
    return np.asarray(image_of(layers(packed)).convert("RGB").reduce(FINER))


def _together(bodies: tuple[Body, ...]) -> Body:
    """Return several bodies as one."""
    counts = np.cumsum([0, *(len(body.places) for body in bodies)])
    return Body(
        name=np.concatenate([body.name for body in bodies]),
        places=np.concatenate([body.places for body in bodies]),
        outwards=np.concatenate([body.outwards for body in bodies]),
        sheet=np.concatenate([body.sheet for body in bodies]),
        triangles=np.concatenate([body.triangles + count for body, count in zip(bodies, counts, strict=False)]),
    )
