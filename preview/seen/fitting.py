"""A photographed face laid on its preview: Gauss and Newton's method over ever finer pictures.

The logarithm of the light is taken for ``light(x) + contrast(x) tone(x + field(x))``: tone from 0 (dark) to 1 (bright)
as the preview has it, light and contrast smooth and solved with the rest, the field a sum of `Ways`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.base.progress import counted
from preview.seen.rectify import Laid
from preview.seen.ways import PX_PER_MM, Face, Ways

BLURS = (6.0, 4.0, 2.5, 1.5, 0.8, 0.5)
"""Blurs of photograph and preview, mm, one after the other."""

STEPS = (3, 2, 2, 2, 2, 2)
"""Steps of the method at each."""

COARSE = 9, 3
"""Cosines of the light along and across."""

MOST_PLACES = 6000
"""Places that are compared at once."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What was found.

    Parameters
    ----------
    weights, covariance
        Of the ways.
    explained
        Share of what the light alone leaves that the pattern explains.
    evidence
        By how much (nats) the pattern is likelier than light alone.
    contrast
        Mean logarithm of bright over dark, where bright lies.
    """

    weights: Array
    covariance: Array
    explained: float
    evidence: float
    contrast: float


class Comparison:
    """One photograph beside one preview.

    Parameters
    ----------
    face
        The face's grid.
    tone
        The raster's tone, and how far apart its cells are: ``(rows, columns)``; see `tone_at`.
    laid
        The photograph.
    """

    def __init__(self, face: Face, tone: Tone, laid: Laid) -> None:
        self.face, self.tone, self.laid = face, tone, laid
        rows, columns = laid.light.shape
        u, v = (np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows
        waves = [
            np.outer(np.cos(np.pi * j * v), np.cos(np.pi * i * u)) for j in range(COARSE[1]) for i in range(COARSE[0])
        ]
        self.light = np.concatenate([np.stack(waves).astype(np.float32), laid.glare])
        x, y = np.meshgrid(2 * u - 1, 2 * v - 1)
        self.contrast = np.stack([np.ones_like(x), x, y, x * x]).astype(np.float32)

    def fit(self, ways: Ways, blurs: tuple[float, ...] = BLURS) -> Fit:
        """Return the weights by which the preview lies best on the photograph."""
        prior, expected = ways.prior(), ways.expected()
        weights = expected
        for blur, steps in counted("photograph and preview", list(zip(BLURS, STEPS, strict=True))):
            if blur not in blurs:
                continue
            seen = _Blurred(self, blur)
            for _ in range(steps):
                step, information, told = seen.step(ways, weights, prior, expected)
                weights = weights + step / max(1.0, float(np.abs(step).max()))
                if np.abs(step).max() < 0.02:
                    break
        _, information, told = seen.step(ways, weights, prior, expected)
        return Fit(weights, np.linalg.inv(information), *told)


class _Blurred:
    """A comparison at one blur."""

    def __init__(self, whole: Comparison, blur: float) -> None:
        from scipy.ndimage import gaussian_filter

        self.whole, self.sigma = whole, blur * PX_PER_MM
        self.mask = whole.laid.seen.astype(np.float32)
        self.cover = np.maximum(gaussian_filter(self.mask, self.sigma), 1e-6)
        self.light = self.soft(whole.laid.light)
        self.apart = step = max(1, int(self.sigma * 0.6))
        chosen = np.zeros(self.mask.shape, dtype=bool)
        chosen[step // 2 :: step, step // 2 :: step] = True
        self.rows, self.cols = np.nonzero(chosen & whole.laid.seen)
        if len(self.rows) > MOST_PLACES:
            some = np.random.default_rng(0).choice(len(self.rows), MOST_PLACES, replace=False)
            some.sort()
            self.rows, self.cols = self.rows[some], self.cols[some]
        self.area = float(whole.laid.seen.sum()) / PX_PER_MM**2
        self.blur = blur

    def soft(self, values: Float32) -> Float32:
        """Return values blurred, as far as they are seen."""
        from scipy.ndimage import gaussian_filter

        return np.asarray(gaussian_filter(values * self.mask, self.sigma) / self.cover, dtype=np.float32)

    def step(
        self, ways: Ways, weights: Array, prior: Array, expected: Array
    ) -> tuple[Array, Array, tuple[float, float, float]]:
        """Return the step to better weights, their precision, and what the fit tells as it is."""
        whole, rows, cols = self.whole, self.rows, self.cols
        shown = self.soft(whole.tone.at(whole.face, ways.field(weights)))
        down, ahead = np.gradient(shown)
        slope = np.stack([ahead, down]) * PX_PER_MM
        slope[1] *= -1  # rows go from the spine down
        light = whole.light[:, rows, cols].T.astype(float)
        shape = whole.contrast[:, rows, cols].T.astype(float)
        tone, seen = shown[rows, cols].astype(float), self.light[rows, cols].astype(float)
        plain = np.concatenate([light, shape * tone[:, None]], axis=1)
        loose = np.eye(plain.shape[1]) * 1e-6 * len(seen)
        keep = np.ones(len(seen))
        for _ in range(3):
            _, alone = _solved(light, seen, keep, loose[: light.shape[1], : light.shape[1]])
            found, left = _solved(plain, seen, keep, loose)
            size = 1.4826 * float(np.median(np.abs(left))) + 1e-6
            keep = 1 / (1 + (left / (2.5 * size)) ** 2)
        contrast = shape @ found[light.shape[1] :]
        each = ways.columns(slope[:, rows, cols] * contrast, rows, cols).astype(np.float32)
        together = self._together(left * keep)
        count = self.area / max(4 * np.pi * self.blur**2, together)
        per = count / (len(seen) * float((keep * left**2).sum() / keep.sum()))
        weigh = (keep * per).astype(np.float32)
        # light and contrast are solved with the weights, and taken out of them
        cross = (plain * weigh[:, None]).T @ each
        inner = (plain * weigh[:, None]).T @ plain + loose * per
        solved = np.linalg.solve(inner, cross)
        information = np.asarray((each * weigh[:, None]).T @ each, dtype=float) - cross.T @ solved + prior
        pulled = weights - expected
        towards = (
            np.asarray(each.T @ (weigh * left), dtype=float) - solved.T @ (plain.T @ (weigh * left)) - prior @ pulled
        )
        step = np.linalg.solve(information, towards)
        rest, none = float((keep * left**2).sum()), float((keep * alone**2).sum())
        gain = 0.5 * count * np.log(max(none, 1e-12) / max(rest, 1e-12))
        price = 0.5 * float(pulled @ prior @ pulled)
        price += 0.5 * (np.linalg.slogdet(information)[1] - np.linalg.slogdet(prior)[1])
        # where nothing bright lies, nothing tells the contrast
        bright = float(np.average(contrast, weights=np.maximum(tone, 1e-6)))
        return step, information, (1 - rest / none, gain - price, bright)

    def _together(self, left: Array) -> float:
        """Return the area (mm2) over which what is left goes together."""
        from scipy.fft import irfft2, next_fast_len, rfft2

        shape = [-(-size // self.apart) for size in self.mask.shape]
        field, there = np.zeros(shape, dtype=np.float32), np.zeros(shape, dtype=np.float32)
        at = self.rows // self.apart, self.cols // self.apart
        field[at], there[at] = left - left.mean(), 1
        px_per_mm = PX_PER_MM / self.apart
        reach = max(2, int(12 * px_per_mm))
        size = [next_fast_len(n + reach, real=True) for n in shape]
        sums, counts = (irfft2(np.abs(rfft2(each, size)) ** 2, size) for each in (field, there))
        known = counts > 0.05 * counts[0, 0]
        value = np.where(known, sums / np.maximum(counts, 1e-9), 0) / max(sums[0, 0] / counts[0, 0], 1e-12)
        r = np.hypot(*np.meshgrid(np.fft.fftfreq(size[1], 1 / size[1]), np.fft.fftfreq(size[0], 1 / size[0])))
        near = known & (r < reach)
        ring = r[near].astype(int)
        mean = np.bincount(ring, value[near]) / np.maximum(np.bincount(ring), 1)
        end = int(np.argmax(np.append(mean, -1) < 0.05))
        return float((mean[:end] * 2 * np.pi * (np.arange(end) + 0.25)).sum() / px_per_mm**2)


def _solved(columns: Array, seen: Array, keep: Array, loose: Array) -> tuple[Array, Array]:
    weighed = columns * keep[:, None]
    found = np.linalg.solve(weighed.T @ columns + loose, weighed.T @ seen)
    return found, seen - columns @ found


@dataclass(frozen=True, eq=False)
class Tone:
    """The raster's tone, 0 dark to 1 bright, ``(rows, columns)`` of cells ``coarser`` than the raster's."""

    values: Float32
    coarser: tuple[int, int]

    def at(self, face: Face, field: Array) -> Float32:
        """Return the tone at a face's places where it lies otherwise by ``field`` (mm), ``(rows, columns)``."""
        from scipy.ndimage import map_coordinates

        cells = face.base + np.einsum("ijrc,jrc->irc", face.per_mm, field)
        column, row = ((cells[n] + 0.5) / self.coarser[n] - 0.5 for n in (0, 1))
        return np.asarray(map_coordinates(self.values, [row, column], order=1, mode="nearest"), dtype=np.float32)
