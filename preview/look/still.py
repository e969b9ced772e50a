"""The studio as the steel of a blade that lies still sends it back: one look-up a pixel for bright and dark together.

A still is seen from straight above, so a facet's slopes alone say what it mirrors (`preview.look.studio`); how the
blade is held and where the light stands are worked into a small table, once for each.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32
from preview.look.etch import Etch, luminance
from preview.look.light import Light
from preview.look.studio import GLOSS, blurred, finish_of, matt_of, plane, read, room_of

REACH, CELLS = 1.0, 72
"""Reach of the table in stereographic coordinates, and its cells each way."""

BEND = 0.3
"""The coordinate where cells are four times as wide as in the middle, where most of a blade looks."""

BENT = CELLS / 2 * (BEND + REACH) / REACH

EYE = 480.0
"""How far the camera is from the blade, mm: what lies aside of the middle is seen from aside."""

KEEN = 0.4
"""Scatter of a sharpened edge's facets, as a share of the bright steel's: stones are finer (chosen by eye)."""

SHEEN = 0.035
"""Relative luminance of the oxide's gloss in an even studio; no more than four fifths of the dark's (chosen by eye)."""

SEEN, SOFT = 128, 30
"""Cells each way, all alike, in which the studio is read for a still, and those of what is soft."""


@dataclass(frozen=True, eq=False)
class StillTable:
    """What steel sends back by the coordinates of the direction it mirrors; rows of `CELLS`, the lowest first, flat.

    Parameters
    ----------
    bright
        Relative luminance of bright steel.
    more
        What that of fully etched steel is more.
    keen
        That of a sharpened edge.
    """

    bright: Float32
    more: Float32
    keen: Float32


def cells_of(
    right: Float32, up: Float32, middle: tuple[Float32 | float, Float32 | float] = (CELLS / 2, CELLS / 2)
) -> NDArray[np.int32]:
    """Return the flat index of coordinates in a still table; takes them as room to work in.

    ``middle`` is where its middle is, in cells: with some noise to it, cells do not show.
    """
    for place, begin in zip((right, up), middle, strict=True):
        off = np.abs(place)
        off += np.float32(BEND)
        place /= off
        place *= np.float32(BENT)
        place += begin
        np.clip(place, 0, CELLS - 1, out=place)
    index = up.astype(np.int32)
    index *= CELLS
    index += right.astype(np.int32)
    return index


def from_aside(facet: NDArray[np.complex64], level: NDArray[np.complex64]) -> NDArray[np.complex64]:
    """Return the coordinates that a facet mirrors to a viewer who sees those of ``level`` in a level one.

    ``facet`` is what it mirrors to a viewer straight on; all are complex, right + i up. A mirrored direction is the
    viewer's, carried half round the facet's normal; of stereographic coordinates that is a Moebius transformation.
    Unless the facet is steep, as in a wheel's hollow, it hardly differs from ``facet + level``.
    """
    return np.asarray((facet + level) / (1 - np.conj(facet) * level))


@lru_cache(maxsize=1)
def cell_middles() -> tuple[float, ...]:
    """Return the coordinates of the cells' middles one way."""
    bent = (np.arange(CELLS) + 0.5 - CELLS / 2) / BENT
    return tuple((BEND * bent / (1 - np.abs(bent))).tolist())


def fully_etched(etch: Etch) -> float:
    """Return the relative luminance of plain steel that the etch has done all it can to."""
    return float(luminance(etch.dark if etch.dark_finish is None else min(etch.dark, etch.dark_finish)))


def oxide(etch: Etch) -> tuple[float, float]:
    """Return the luminance of the fully etched steel's matt part and of its gloss in an even studio."""
    dark = fully_etched(etch)
    sheen = min(SHEEN, 4 / 5 * dark)
    return dark - sheen, sheen


def still_table(light: Light, etch: Etch, *, mirrored: bool) -> StillTable:
    """Return the table for a light and an etch; ``mirrored`` where the tip is on the left."""
    return _still_table(light, etch, mirrored and light.turn != 0)


@lru_cache(maxsize=16)
def _still_table(light: Light, etch: Etch, mirrored: bool) -> StillTable:
    satin, keen, matt, gloss = _seen(light, mirrored)
    bright, (dull, sheen) = float(luminance(etch.bright)), oxide(etch)
    satin = bright * satin
    return StillTable(satin.ravel(), (dull * matt + sheen * gloss - satin).ravel(), (bright * keen).ravel())


@lru_cache(maxsize=16)
def _seen(light: Light, mirrored: bool) -> tuple[Float32, Float32, Float32, Float32]:
    """Return the studio in satin, in a keen edge, in matt and in the oxide's gloss, each `CELLS` each way."""
    room = read(room_of(light.studio), *_mirrored(light, SEEN, mirrored=mirrored)).astype(np.float32)
    finish, at = finish_of(light), cell_middles()
    satin = blurred(room, (finish.along, finish.across), REACH, at)
    keen = blurred(room, (KEEN * finish.along, KEEN * finish.across), REACH, at)
    gloss = blurred(room, (GLOSS[0], GLOSS[0]), REACH, at)
    return satin, keen, blurred(_matt(light, mirrored=mirrored).astype(np.float32), (0, 0), REACH, at), gloss


def _mirrored(light: Light, size: int, *, mirrored: bool) -> tuple[Array, Array]:
    """Return where in the studio the facets of a table's cells look."""
    return _coordinates(light.to_studio, _looks(_hold(light, mirrored=mirrored), size))


def _matt(light: Light, *, mirrored: bool) -> Array:
    normals = _normals(_hold(light, mirrored=mirrored), SOFT)
    return read(matt_of(light.studio), *_coordinates(light.to_studio, normals))


def _hold(light: Light, *, mirrored: bool) -> tuple[float, ...]:
    """Return how the blade is held: its rotation, row by row."""
    return tuple(light.held(mirrored=mirrored).ravel().tolist())


@lru_cache(maxsize=4)
def _looks(hold: tuple[float, ...], size: int) -> Array:
    """Return the directions ``(3, size, size)`` that the facets of a table's cells mirror, as the blade is held."""
    facet = _turned(hold, size)
    towards = facet[2]
    seen = 2 * towards / (facet * facet).sum(axis=0) * facet
    seen[2] -= 1
    return np.asarray(seen)


@lru_cache(maxsize=4)
def _normals(hold: tuple[float, ...], size: int) -> Array:
    """Return their normals likewise."""
    facet = _turned(hold, size)
    return np.asarray(facet / np.sqrt((facet * facet).sum(axis=0)))


def _turned(hold: tuple[float, ...], size: int) -> Array:
    """Return the facets ``(3, size, size)`` of a table's cells, as the blade is held."""
    right, up = plane(size, REACH)
    return np.tensordot(np.reshape(hold, (3, 3)), np.stack([right, up, np.ones_like(up)]), axes=1)


def _coordinates(turn: Array, direction: Array) -> tuple[Array, Array]:
    right, up, towards = np.tensordot(turn, direction, axes=1)
    held = np.maximum(1 + towards, 1e-3)
    return right / held, up / held
