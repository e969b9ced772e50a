"""The ways in which a face's pattern may lie otherwise than shown: what the forge leaves open, shifts, a smooth rest.

Each is a field over the face, mm: what is shown at ``x + field(x)`` lies at ``x``. A weight of 1 is one standard
deviation. The camera's pose is a way too: where it is not quite what it is taken for, all seems to lie elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Float32, Mask
from preview.blade.grind import Side
from preview.face.view import View
from preview.forge.uncertain import Moves
from preview.forge.wander import Wander
from preview.job.job import Job
from preview.seen.camera import ENTRIES, Pose, project
from preview.seen.rim import face_frame

Indices = NDArray[np.integer[Any]]

PX_PER_MM = 2.5
"""Of the grid on which a photograph is compared with the preview."""

KNOTS = 15.0
"""Between the knots of the smooth rest, mm."""

REST, REST_LENGTH = 0.5, 25.0
"""The smooth rest: its standard deviation and over what length it turns, mm (what made-up photographs asked for)."""

RIGID = (1.0, 0.6, 1.5, 0.6, 0.8, 0.8)
"""Standard deviations, mm at the face's ends or sides, of a shift along and across, of a stretch each way, of a shear
and of a turn."""

MARK_ERROR, OPEN = 0.5, 30.0
"""How far a point that a hand shows on two pictures is off, mm each way, standard deviation (no published source); and
how far along all of the pattern may lie where such points say so."""

LARGEST = 6.0
"""Field (mm) over which a way is cut off where the pattern hardly changes."""

WELD = 4.0
"""Along which (mm) a field goes on over the weld of two tiles as it does beside it: where a thing that is moved moves
the weld as well, another tile shows, and that is no way in which the metal lies elsewhere."""


@dataclass(frozen=True, eq=False)
class Face:
    """A face's places on the grid, and where they came from.

    Parameters
    ----------
    along, across
        Places, mm, ``(rows, columns)``.
    places
        The same in the face's frame, ``(rows, columns, 3)``.
    on_face
        Which of them lie on the face.
    base
        Column and row of the raster, ``(2, rows, columns)``.
    per_mm
        What a millimetre of the face along and across does to them, ``(2, 2, rows, columns)``.
    """

    along: Array
    across: Array
    places: Array
    on_face: Mask
    base: Array
    per_mm: Array


@dataclass(frozen=True, eq=False)
class Marked:
    """Places of a face's grid that a hand has shown, ``(n,)``, and the field that it says is there, mm ``(2, n)``."""

    rows: Indices
    cols: Indices
    off: Array


@dataclass(frozen=True, eq=False)
class Ways:
    """All of them on one face.

    Parameters
    ----------
    names
        Of those that stand alone, in the order of ``fields``: first what is unsure, then shifts, then the pose.
    fields
        ``(names, 2, rows, columns)``, mm.
    smooth
        The smooth rest's waves along and across, each ``(knots, places)``: their products are its fields, each way.
    precision
        Of the weights of all of those products, one way.
    held
        Weights that are taken for the likeliest beforehand; those that the marks say where they are left out.
    marked
        What a hand has shown, if it has.
    """

    names: tuple[str, ...]
    fields: Float32
    smooth: tuple[Float32, Float32]
    precision: Array
    held: Array | None = None
    marked: Marked | None = None

    @property
    def of_camera(self) -> Mask:
        """Which of the weights belong to the camera, and not to the steel; ``(weights,)`` bool."""
        alone = np.array([name.startswith("pose") for name in self.names])
        return np.concatenate([alone, np.zeros(2 * len(self.precision), dtype=bool)])

    def without_rest(self) -> Ways:
        """Return them without the smooth rest: quickly fitted."""
        along, across = self.smooth
        return replace(self, smooth=(along[:0], across[:0]), precision=np.zeros((0, 0)))

    def beforehand(self) -> Array:
        """Return the precision of all weights without marks: those that stand alone, the rest along, the rest across.

        With marks the pattern may lie far along.
        """
        alone, rest = len(self.names), len(self.precision)
        whole = np.eye(alone + 2 * rest)
        whole[alone : alone + rest, alone : alone + rest] = self.precision
        whole[alone + rest :, alone + rest :] = self.precision
        if self.marked is not None:
            whole[self.names.index("shift along"), self.names.index("shift along")] = (RIGID[0] / OPEN) ** 2
        return whole

    def prior(self) -> Array:
        """Return the precision of all weights before the photograph is looked at, with what the marks say."""
        if self.marked is None:
            return self.beforehand()
        each = self._at_marks(self.marked)
        return np.asarray(self.beforehand() + each @ each.T / MARK_ERROR**2)

    def expected(self) -> Array:
        """Return the weights that are likeliest before the photograph is looked at."""
        if self.held is not None:
            return self.held
        if self.marked is None:
            return np.zeros(len(self.names) + 2 * len(self.precision))
        told = self._at_marks(self.marked) @ self.marked.off.ravel() / MARK_ERROR**2
        return np.asarray(np.linalg.solve(self.prior(), told))

    def _at_marks(self, marked: Marked) -> Array:
        """Return what each weight does at the marks, ``(weights, 2 n)``."""
        each = self.at(marked.rows, marked.cols)
        return each.reshape(len(each), -1).astype(float)

    def field(self, weights: Array) -> Array:
        """Return the field of ``weights``, mm, ``(2, rows, columns)``."""
        alone = len(self.names)
        along, across = self.smooth
        rest = weights[alone:].reshape(2, len(across), len(along)).astype(np.float32)
        smooth = np.einsum("kij,ir,jc->krc", rest, across, along, optimize=True)
        return np.asarray(np.tensordot(weights[:alone].astype(np.float32), self.fields, 1) + smooth)

    def columns(self, slopes: Array, rows: Indices, cols: Indices) -> Array:
        """Return what each weight does to the tone at some places of the grid, ``(places, weights)``.

        ``slopes`` is the tone's change per mm along and across there, ``(2, places)``.
        """
        alone = np.einsum("knp,np->pk", self.fields[:, :, rows, cols].transpose(0, 1, 2), slopes)
        along, across = self.smooth
        waves = (across[:, None, rows] * along[None, :, cols]).reshape(-1, len(rows)).T
        return np.concatenate([alone, waves * slopes[0][:, None], waves * slopes[1][:, None]], axis=1)

    def at(self, rows: Indices, cols: Indices) -> Array:
        """Return the fields at some places, ``(weights, 2, places)``."""
        along, across = self.smooth
        waves = (across[:, None, rows] * along[None, :, cols]).reshape(-1, len(rows))
        none = np.zeros_like(waves)
        return np.concatenate(
            [self.fields[:, :, rows, cols], np.stack([waves, none], axis=1), np.stack([none, waves], axis=1)]
        )


def face_of(moves: Moves, job: Job, side: Side) -> Face:
    """Return a face's grid."""
    grid = View.of(side, job.blade, PX_PER_MM).grid
    along, across = (np.broadcast_to(each, grid.shape).astype(float) for each in (grid.along, grid.across))
    held = np.clip(along, 0, job.blade.outline.length)
    inside = np.clip(across, job.blade.outline.edge(held), job.blade.outline.spine(held))
    places = face_frame(job.ground, side, held, inside)
    per_mm = _over_welds(moves, np.moveaxis(moves.per_place(side, along, across), (-2, -1), (0, 1)))
    x, y, z, _ = moves.here.of_face(side, along, across)
    base = np.stack(np.broadcast_arrays(*moves.here.in_picture(x, y, z)))
    return Face(along, across, places, grid.mask, base, per_mm)


def find_ways(moves: Moves, face: Face, side: Side, pose: Pose) -> Ways:
    """Return the ways in which the pattern of a face may lie otherwise."""
    moved = moves.at(side, face.along, face.across)
    in_mm = _inverse(face.per_mm)
    fields = _over_welds(moves, np.einsum("ijrc,kjrc->kirc", in_mm, moved.effects))
    fields = np.clip(fields, -LARGEST, LARGEST)
    names = list(moves.names)
    shifts = _shifts(face)
    seen = _pose_fields(face, side, pose)
    names += ["shift along", "shift across", "stretch along", "stretch across", "shear", "turn"]
    names += [f"pose {number}" for number in range(1, ENTRIES + 1)]
    along, across = _waves(face.along[0]), _waves(face.across[:, 0])
    centres = np.stack(np.meshgrid(along[1], across[1]), axis=-1).reshape(-1, 2)
    far = ((centres[:, None] - centres) ** 2).sum(axis=-1)
    covariance = REST**2 * np.exp(-far / (2 * REST_LENGTH**2)) + 1e-3 * np.eye(len(far))
    all_fields = np.concatenate([fields, shifts, seen]).astype(np.float32)
    return Ways(tuple(names), all_fields, (along[0], across[0]), np.linalg.inv(covariance))


def _over_welds(moves: Moves, fields: Array) -> Array:
    """Return fields ``(..., rows, columns)`` as they go on over the welds of a bar of tiles, and others as they are."""
    from scipy.ndimage import median_filter

    history = moves.here.history
    if not any(len(step.joints(met)) for step, met in zip(history.steps, history.met, strict=True)):
        return fields
    count = 2 * round(WELD * PX_PER_MM / 2) + 1
    return np.asarray(median_filter(fields, size=(*[1] * (fields.ndim - 1), count), mode="nearest"))


def _inverse(per_mm: Array) -> Array:
    """Return what leads from raster cells to mm, ``(2, 2, rows, columns)``; nothing where nothing changes."""
    square = np.einsum("jirc,jkrc->ikrc", per_mm, per_mm)
    small = 1e-3 * (square[0, 0] + square[1, 1]) + 1e-12
    a, b, d = square[0, 0] + small, square[0, 1], square[1, 1] + small
    whole = a * d - b * b
    inverse = np.stack([np.stack([d, -b]), np.stack([-b, a])]) / whole
    return np.asarray(np.einsum("ikrc,jkrc->ijrc", inverse, per_mm))


def _shifts(face: Face) -> Array:
    along = face.along - face.along.mean()
    across = face.across - face.across.mean()
    u, v = along / np.abs(along).max(), across / np.abs(across).max()
    one, none = np.ones_like(u), np.zeros_like(u)
    ratio = float(np.abs(across).max() / np.abs(along).max())
    each = ((one, none), (none, one), (u, none), (none, v), (v, none), (-ratio * v, u))
    return np.stack([size * np.stack(field) for size, field in zip(RIGID, each, strict=True)])


def _pose_fields(face: Face, side: Side, pose: Pose) -> Array:
    sizes, ways = np.linalg.eigh(pose.covariance)
    roots = ways * np.sqrt(np.maximum(sizes, 0))
    flat = face.places.reshape(-1, 3)
    here = pose.project(flat)
    beside = [pose.project(flat + np.array(step)) - here for step in ((1.0, 0, 0), (0, 1.0, 0))]
    to_px = np.stack(beside, axis=-1)  # px for a mm rightwards, downwards
    ahead = -1.0 if side == "left" else 1.0
    fields = []
    for root in roots.T:
        size = min(1.0, 0.05 / max(float(np.abs(root).max()), 1e-9))
        gone = (project(pose.values + size * root, flat, pose.size) - here) / size
        right, down = np.linalg.solve(to_px, gone[..., None])[..., 0].T
        fields.append(np.stack([-ahead * right, down]).reshape(2, *face.along.shape))
    return np.stack(fields)


def _waves(places: Array) -> tuple[Float32, Array]:
    """Return cubic B-splines over places (n,), mm, ``(knots, n)``, and where each has its middle."""
    from scipy.interpolate import BSpline

    low, high = float(places.min()), float(places.max())
    count = max(1, round((high - low) / KNOTS))
    step = (high - low) / count
    knots = low + step * np.arange(-3, count + 4)
    basis = BSpline.design_matrix(np.clip(places, low, high - 1e-9), knots, 3).toarray().T
    return basis.astype(np.float32), low + step * (np.arange(count + 3) - 1)


def wander_of(job: Job, seed: int = 0) -> Wander:
    """Return waves of the hammer's wander: which ones matters little, since the smooth rest takes up the others."""
    return Wander.of(job.hammer, job.unsure.hammer_length, np.random.default_rng(seed))
