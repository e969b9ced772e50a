"""Where the nickel is: softened by diffusion through the heats, mottled on the scale of the particles.

Nickel moves slowly in austenite: some 5 to 30 micrometres through a whole forging, far less than a divider is
wide. It is worked out and shown as it is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.base.arrays import Array, Bytes
from preview.base.cache import kept
from preview.forging.history import History
from preview.forging.scale import GAS_CONSTANT
from preview.pattern.pattern import Direction
from preview.pattern.raster import Cells, Raster

DIFFUSIVITY_FACTOR = 7.7e-5
"""D0 of nickel in austenite, m2/s."""

ACTIVATION_ENERGY = 280.5e3
"""Q of nickel in austenite, J/mol. Both: MacEwan, MacEwan & Yaffe, Can. J. Chem. 37 (1959) 1629 (from memory)."""

BLUR_STEP = 0.02
"""Cells to which the diffusion's blur is rounded, so that a small change of the forging leaves it: of a blur that spans
some 0.3 of a cell, and under half a micrometre in a can."""

MOTTLE_SHAPE = (128, 64, 64)
"""Voxels of the mottle along, across and up; powers of two, so that it tiles by a bit mask."""

VOXELS_PER_PARTICLE = 2.5
MOTTLE_REACH = 3.0
"""The mottle is held as bytes from -3 to +3 standard deviations."""


FAR = 1 << 14
"""Voxels added before the cast to whole numbers, so that it rounds down: a multiple of every period, further than
any can reaches, and small enough for float32."""


def diffusivity(temperature: float) -> float:
    """Return the diffusivity of nickel in austenite (m2/s) at ``temperature`` (degrees Celsius).

    Examples
    --------
    >>> f"{diffusivity(1200):.2e}"
    '8.73e-15'
    """
    return float(DIFFUSIVITY_FACTOR * np.exp(-ACTIVATION_ENERGY / (GAS_CONSTANT * (temperature + 273.15))))


@kept
def _softening(history: History) -> tuple[tuple[float, ...], ...]:
    total = np.zeros((3, 3))
    for index, heat in history.heats:
        back = history.gradient(source=history.frames[index], target="can")
        metres_squared = diffusivity(heat.temperature) * heat.minutes * 60
        total += 2 * metres_squared * 1e6 * (back @ back.T)
    return tuple(map(tuple, total.tolist()))


def softening(history: History) -> Array:
    """Return the covariance (3, 3) in mm2, can frame, by which the recorded heats have blurred the nickel.

    A heat met by the bar deformed by F adds 2 D t F^-1 F^-T: Fick's law carried back to the can. F is taken
    at the bar's centre.
    """
    return np.array(_softening(history))


def soften(raster: Raster, covariance: Array, direction: Direction) -> Raster:
    """Return ``raster`` blurred by ``covariance`` (3, 3), mm2, can frame, in the plane the dividers see."""
    wide, high = (float(np.sqrt(covariance[axis, axis])) for axis in direction.axes)
    sigma = (high / raster.cell[1], wide / raster.cell[0])
    if max(sigma) < 0.125:  # the filter's kernel would be a single cell
        return raster
    held = (round(sigma[0] / BLUR_STEP) * BLUR_STEP, round(sigma[1] / BLUR_STEP) * BLUR_STEP)
    return replace(raster, cells=_blurred(raster.cells, held))


@kept
def _blurred(cells: Cells, sigma: tuple[float, float]) -> Cells:
    from scipy.ndimage import gaussian_filter

    blurred = np.empty_like(cells.shares)
    for values, into in zip(cells.shares[1:], blurred[1:], strict=True):
        gaussian_filter(values, sigma, output=into, mode="nearest")
    blurred[0] = 1 - blurred[1:].sum(axis=0)
    return replace(cells, shares=blurred)


@kept
def mottle(seed: int, particle: float, covariance: tuple[tuple[float, ...], ...]) -> Bytes:
    """Return the mottle's texture: bytes of `MOTTLE_SHAPE`, 128 the mean, 255 at +3 standard deviations.

    White noise smoothed to blobs of the particle's size (mm), then by the diffusion's ``covariance`` (3, 3),
    mm2, can frame, exactly, in Fourier space; its scatter is measured before diffusion, so that a long soak
    pales it.
    """
    blobs = _blobs(seed, particle)
    along, across, up = _waves(particle)
    (aa, ab, ac), (_, bb, bc), (_, _, cc) = covariance
    squared = along**2 * aa + across**2 * bb + up**2 * cc + 2 * (along * across * ab + up * (along * ac + across * bc))
    texture = np.fft.irfftn(blobs * np.exp(-0.5 * squared), MOTTLE_SHAPE, axes=(0, 1, 2))
    return np.asarray(np.clip(np.rint(128 + texture * (127 / MOTTLE_REACH)), 0, 255).astype(np.uint8))


@dataclass(frozen=True)
class Mottled:
    """A mottle that is worked out once it is read: what only asks where a place came from needs none.

    Parameters
    ----------
    seed, particle, covariance
        As for `mottle`.
    """

    seed: int
    particle: float
    covariance: tuple[tuple[float, ...], ...]

    @property
    def texture(self) -> Bytes:
        """The mottle's texture; see `mottle`."""
        return mottle(self.seed, self.particle, self.covariance)


def _waves(particle: float) -> tuple[Array, ...]:
    """Return the wave numbers (rad/mm) along, across and up of what `_blobs` gives, broadcastable."""
    voxel = particle / VOXELS_PER_PARTICLE
    *most, last = MOTTLE_SHAPE
    axes = [*(np.fft.fftfreq(n, voxel) for n in most), np.fft.rfftfreq(last, voxel)]
    return np.meshgrid(*(2 * np.pi * axis for axis in axes), indexing="ij", sparse=True)


@kept
def _blobs(seed: int, particle: float) -> NDArray[np.complexfloating[Any]]:
    """Return the waves of the fresh mottle, whose standard deviation is 1."""
    along, across, up = _waves(particle)
    blob = np.exp(-0.5 * (along**2 + across**2 + up**2) * (particle / 3) ** 2)
    noise = np.fft.rfftn(np.random.default_rng(seed).standard_normal(MOTTLE_SHAPE)) * blob
    return np.asarray(noise / np.fft.irfftn(noise, MOTTLE_SHAPE, axes=(0, 1, 2)).std())


def read_mottle(texture: Bytes, particle: float, x: Array, y: Array, z: Array) -> Bytes:
    """Return the mottle at can points (broadcastable float32 arrays, mm)."""
    voxel = particle / VOXELS_PER_PARTICLE
    index: NDArray[np.int32] = np.zeros(1, dtype=np.int32)
    for position, period in zip((x, y, z), MOTTLE_SHAPE, strict=True):
        scaled = position * position.dtype.type(1 / voxel)
        scaled += position.dtype.type(FAR)
        number = scaled.astype(np.int32)
        number &= np.int32(period - 1)
        index = index * np.int32(period)
        index = index + number
    return np.asarray(np.take(texture.reshape(-1), index))


def mottle_levels() -> Array:
    """Return what the mottle's 256 byte values mean, in standard deviations."""
    return (np.arange(256) - 128) * (MOTTLE_REACH / 127)
