"""What the steel of a blade sends back however it is held: the page's shader, told in arrays.

It looks the same tables up as `preview.look.studio` makes them; see there for the frame, and `turning.js`, which does
the same in a browser.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array
from preview.blade.grind import SIDES
from preview.blade.handle import behind_heel
from preview.in_hand.maps import BENT, FRAMES, SteelMaps
from preview.in_hand.raster import Numbers, Seen
from preview.in_hand.solid import Body
from preview.job.job import Job
from preview.look.colours import BESIDE
from preview.look.etch import luminance
from preview.look.facets import OXIDE_SCRATCHES, STONES
from preview.look.handle import BARE_STEEL, GRAIN_SIZE, JOINTS, WOOD, Board, wood_grain
from preview.look.rubbing import scratches
from preview.look.still import KEEN, oxide
from preview.look.studio import GLOSS, REACH, Tables, blurred, finish_of, make_tables, read, room_of
from preview.look.texture import stone_marks, textures


@dataclass(frozen=True, eq=False)
class Shader:
    """All that a job's blade is lit with.

    Parameters
    ----------
    job, maps
        The job and the sheet of its steel.
    turn, to_studio
        Rotations ``(3, 3)`` from the blade's frame to the picture's (right, up, towards the viewer), and from there to
        the studio's.
    tables, keen
        The studio's tables, and that of the sharpened edge.
    lines, texture, marks
        Scratches of the sheet, the light of bright steel and of etched steel from place to place of it, and the
        scratches of the stones below its columns.
    """

    job: Job
    maps: SteelMaps
    turn: Array
    to_studio: Array
    tables: Tables
    keen: Array
    lines: Array
    texture: Array
    marks: Array

    @classmethod
    def of(cls, job: Job, maps: SteelMaps, turn: Array, light: Array) -> Shader:
        """Return the shader of a job's blade as it is held; ``light`` ``(3, 3)`` carries the studio round it."""
        tables, finish = make_tables(job.light), finish_of(job.light)
        keen = blurred(room_of(job.light.studio), (KEEN * tables.narrow, KEEN * tables.narrow), REACH)
        lines = scratches(maps.dark.shape, maps.px_per_mm, job.seed, lengthwise=finish.lengthwise)
        texture = np.stack(textures(maps.dark.shape, maps.px_per_mm, job.seed), axis=-1)
        marks = stone_marks(maps.edge.shape[1], maps.px_per_mm, job.seed)
        turn, to_studio = (each.astype(np.float32) for each in (turn, job.light.to_studio @ light))
        return cls(job, maps, turn, to_studio, tables, keen.astype(np.float32), lines, texture, marks)

    def lit(self, body: Body, seen: Seen, world: Array, eye: float) -> tuple[Array, Array, Array]:
        """Return what seen pixels of a body send back.

        ``world`` are its corners in the picture's frame, mm, and ``eye`` is how far the eye is from it. Returns light,
        the share of the etched dark in it (of no steel: `BESIDE`), and the share of wood; each ``(n,)``.
        """
        corners = body.triangles[seen.triangle]
        names = body.name[corners[:, 0]]
        light, dark, wood = (np.zeros(len(corners), dtype=np.float32) for _ in range(3))
        for name in np.unique(names):
            of = np.flatnonzero(names == name)
            numbers, weights = corners[of], seen.weights[of].astype(np.float32)
            towards = np.array([0, 0, eye], dtype=np.float32) - _mixed(world, numbers, weights)
            towards /= np.linalg.norm(towards, axis=1, keepdims=True)
            if name in FRAMES:
                light[of], dark[of] = self._steel(str(name), body, numbers, weights, towards)
            else:
                light[of] = self._behind(str(name), body, numbers, weights, towards)
                dark[of], wood[of] = BESIDE, name == "handle"
        return light, dark, wood

    def _steel(self, name: str, body: Body, numbers: Numbers, weights: Array, towards: Array) -> tuple[Array, Array]:
        right, up, out = (self.turn @ np.array(axis, dtype=np.float32) for axis in FRAMES[name])
        place = _mixed(body.sheet, numbers, weights)
        both = np.stack([self.maps.right, self.maps.up], axis=-1)
        slopes, etched, sharp, line, texture = (
            _sampled(each, place) for each in (both, self.maps.dark, self.maps.keen, self.lines, self.texture)
        )
        columns = self.maps.edge.shape[1]
        column = np.clip(place[:, 0] * columns, 0, columns - 1).astype(np.intp)
        finish = finish_of(self.job.light)
        share = np.clip(etched * (1 - sharp), 0, 1)
        if name in SIDES:
            rough = finish.scratches * line * (1 + (OXIDE_SCRATCHES - 1) * share)
            lean = slopes + rough[:, None] * np.array((0, 1) if finish.lengthwise else (1, 0), dtype=np.float32)
        else:  # spine, foot and heel are ground across
            lean = slopes + finish.scratches * self.marks[column, None] * np.array((1, 0), dtype=np.float32)
        light = self._whole(lean, (right, up, out), towards, etched, texture)
        bent, sides, part = _bends(self.maps.right, place)
        if bent.size:  # both sides are seen, as half way over it would mirror what neither does
            one, other = (
                self._whole(
                    lean[bent] + (side - slopes[bent, 0])[:, None] * np.array((1, 0), dtype=np.float32),
                    (right, up, out), towards[bent], etched[bent], texture[bent],
                )
                for side in sides
            )  # fmt: skip
            light[bent] = one + part * (other - one)
        keen = np.flatnonzero(sharp > 0)
        if keen.size:
            edge = self.maps.edge[:, column[keen]].T + np.float32(STONES) * self.marks[column[keen], np.newaxis]
            bright = self._bare(edge, (right, up, out), towards[keen], self.keen, KEEN)
            light[keen] += sharp[keen] * (bright - light[keen])
        return np.maximum(light, 0), share

    def _whole(
        self, lean: Array, axes: tuple[Array, Array, Array], towards: Array, etched: Array, texture: Array
    ) -> Array:
        """Return what a face sends back whose steel is etched so far."""
        right, up, out = axes
        normal = out - lean[:, :1] * right - lean[:, 1:] * up
        matt, sheen = oxide(self.job.etching)
        dull = texture[:, 1] * (matt * self._matt(normal) + sheen * self._gloss(normal, towards, right, up))
        light = self._bare(lean, axes, towards, self.tables.core, 1.0) * texture[:, 0]
        return np.asarray(light + np.clip(etched, 0, None) * (dull - light))

    def _behind(self, name: str, body: Body, numbers: Numbers, weights: Array, towards: Array) -> Array:
        """Return the light of a handle, its collar or a bare tang."""
        normal = _mixed(body.outwards, numbers, weights) @ self.turn.T
        normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-9)
        matt, gloss = WOOD if name == "handle" else BARE_STEEL
        light = matt * self._matt(normal) + gloss * self._gloss(normal, towards, *np.zeros((2, 3), dtype=np.float32))
        at = _mixed(body.places, numbers, weights)
        if name == "handle":
            place = np.stack([1 + at[:, 0] / GRAIN_SIZE[0], 1 - at[:, 1] / GRAIN_SIZE[1]], axis=1)
            for side, facing in zip(SIDES, (at[:, 2] >= 0, at[:, 2] < 0), strict=True):
                board = wood_grain(Board.of(self.job.seed, self.job.blade.outline, side))
                light[facing] *= _sampled(board, place[facing])
        behind = behind_heel(self.job.blade.outline, self.job.blade.handle)
        if behind.grip.size:
            for joint, wide in zip((behind.collar, 0.0), JOINTS, strict=True):
                light *= 1 - 0.5 * np.exp(-np.abs(at[:, 0] - joint) / wide)
        return light

    def _mirrored(self, normal: Array, towards: Array) -> tuple[Array, Array]:
        facing = (normal * towards).sum(axis=1, keepdims=True)
        mirrored = 2 * facing / (normal * normal).sum(axis=1, keepdims=True) * normal - towards
        return self._on_table(mirrored)

    def _on_table(self, directions: Array) -> tuple[Array, Array]:
        right, up, out = self.to_studio @ directions.T
        held = 1 + np.abs(out)  # a card behind sends back what is in front
        return right / held, up / held

    def _matt(self, normal: Array) -> Array:
        return read(self.tables.matt, *self._on_table(normal / np.linalg.norm(normal, axis=1, keepdims=True)))

    def _gloss(self, normal: Array, towards: Array, right: Array, up: Array) -> Array:
        """Return the studio in the oxide's gloss: seen aslant it is wider, and leans to the facets that show."""
        low, high = (gloss * gloss for gloss in GLOSS)
        length = np.linalg.norm(normal, axis=1)
        see = np.maximum((normal * towards).sum(axis=1), 0.2 * length)
        wide = low * (length / see) ** 3
        leans = (towards @ right)[:, None] * right + (towards @ up)[:, None] * up
        place = self._mirrored(normal + (low / see)[:, None] * leans, towards)
        keen, soft = (read(each, *place) for each in self.tables.gloss)
        return np.asarray(keen + (soft - keen) * np.clip((wide - low) / (high - low), 0, 1))

    def _bare(self, lean: Array, axes: tuple[Array, Array, Array], towards: Array, table: Array, wide: float) -> Array:
        """Return what bare steel sends back: facets stepped across the scratches, each seen as it is turned."""
        right, up, out = axes
        finish = finish_of(self.job.light)
        across = np.array((0, 1) if finish.across >= finish.along else (1, 0), dtype=np.float32)
        total, weight = np.zeros((2, len(lean)), dtype=np.float32)
        for step, share in zip(self.tables.steps, self.tables.weights, strict=True):
            slope = lean + float(step) * wide * across
            normal = out - slope[:, :1] * right - slope[:, 1:] * up
            counts = float(share) * np.maximum((normal * towards).sum(axis=1), 0)
            total += counts * read(table, *self._mirrored(normal, towards))
            weight += counts
        return np.asarray(float(luminance(self.job.etching.bright)) * total / np.maximum(weight, 1e-5))


def _mixed(values: Array, numbers: Numbers, weights: Array) -> Array:
    """Return values of corners ``(n, k)`` mixed by weights, at pixels."""
    values = values.astype(np.float32)
    return np.asarray(sum(weights[:, k, None] * values[numbers[:, k]] for k in range(3)))


def _bends(slopes: NDArray[np.float32], place: Array) -> tuple[Numbers, tuple[Array, Array], Array]:
    """Return which places lie across a keen bend: their numbers, the slopes on both sides, how far over they are."""
    rows, columns = slopes.shape
    x = np.clip(place[:, 0] * columns - 0.5, 0, columns - 1.001)
    left, row = x.astype(np.intp), np.clip(place[:, 1] * rows, 0, rows - 1).astype(np.intp)
    before, after = slopes[row, left], slopes[row, left + 1]
    at = np.flatnonzero(np.abs(before - after) > BENT)
    return at, (before[at], after[at]), (x - left)[at].astype(np.float32)


def _sampled(values: NDArray[np.float32], place: Array) -> Array:
    """Return what a map ``(rows, columns, ...)`` holds at shares of its sides from its top left, linearly."""
    rows, columns = values.shape[:2]
    x, y = (np.clip(place[:, k] * size - 0.5, 0, size - 1.001) for k, size in enumerate((columns, rows)))
    left, top = x.astype(np.intp), y.astype(np.intp)
    a, b = x - left, y - top
    if values.ndim > 2:
        a, b = a[:, None], b[:, None]
    upper = values[top, left] * (1 - a) + values[top, left + 1] * a
    lower = values[top + 1, left] * (1 - a) + values[top + 1, left + 1] * a
    return np.asarray(upper + (lower - upper) * b)
