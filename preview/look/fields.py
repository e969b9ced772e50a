"""The raw arrays of a face, for those who want to work on with them."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.face.face_map import FaceMap
from preview.face.origins import Origins
from preview.look.etch import Etch
from preview.look.photograph import etched
from preview.pattern.nickel import mottle_levels
from preview.pattern.pattern import VOID
from preview.pattern.powders import Powder


def face_fields(origins: Origins, powders: tuple[Powder, ...], etch: Etch, face: FaceMap) -> dict[str, NDArray[Any]]:
    """Return the arrays of `preview.pipeline.fields` for one face, columns from heel to tip."""
    grid = face.grid
    sign = 1.0 if face.side == "right" else -1.0
    x, y, z, _ = origins.of_points(face.side, grid.along, grid.across, face.stand.astype(float))
    lost = face.lost if face.lost is not None else np.zeros(grid.shape, dtype=bool)
    can = [np.where(lost, np.nan, np.broadcast_to(each, grid.shape)) for each in (x, y, z)]

    shares = np.stack([face.share_of((name,)) for name in face.classes])
    powder = shares.argmax(axis=0).astype(np.int8)
    if VOID in face.classes:
        powder[powder == face.classes.index(VOID)] = -2
    if face.shell is not None:
        powder[face.shell] = -1
    powder[lost] = -2
    levels = mottle_levels()[face.mottle] * face.mottle_seen if face.mottle is not None else np.zeros(grid.shape)
    nickel = np.zeros(grid.shape)
    for each, share in zip(powders, shares, strict=False):
        nickel += share * each.nickel * np.maximum(1 + each.mottle * levels, 0)
    nickel[powder < 0] = 0.0

    tone, resistance = etched(face, powders, etch)
    height = face.stand.astype(float) - etch.depth(0.0) * (1 - resistance.astype(float))
    slope_along = np.gradient(height, axis=1) * grid.px_per_mm
    slope_across = -np.gradient(height, axis=0) * grid.px_per_mm
    normal = np.stack([-slope_along, -slope_across, np.ones(grid.shape)], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    normal[..., 2] *= sign
    return {
        "along": np.broadcast_to(grid.along, grid.shape).copy(),
        "across": np.broadcast_to(grid.across, grid.shape).copy(),
        "through": sign * face.stand.astype(float),
        "can_along": can[0],
        "can_across": can[1],
        "can_up": can[2],
        "mask": grid.mask,
        "powder": powder,
        "nickel": nickel,
        "tone": tone,
        "normal": normal,
    }
