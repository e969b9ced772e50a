"""Uneven blows: a smooth wander of the metal in the bar's plane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array

_WAVES = ((1.0, 0.5), (0.5, 1.0), (0.9, 0.9), (0.7, 0.3))
_PHASES = ((0.0, 0.0), (0.5, 0.5))
_EVERY_PHASE = (*_PHASES, (0.0, 0.5), (0.5, 0.0))


@dataclass(frozen=True, eq=False)
class Wander:
    """A smooth wander of the metal in the bar's plane that keeps area: the flow of a stream function of a few waves.

    Parameters
    ----------
    along, across
        Wave numbers of the waves, rad/mm, ``(waves,)``.
    phase_along, phase_across
        Their phases, rad.
    height
        Amplitude of each wave's stream function for a weight of 1, mm2.
    """

    along: Array
    across: Array
    phase_along: Array
    phase_across: Array
    height: Array

    @classmethod
    def of(cls, size: float, length: float, rng: np.random.Generator) -> Wander:
        """Return waves ``length`` mm long; weights of standard deviation 1 move points by ``size`` mm each way."""
        start = rng.uniform(0, 2 * np.pi, (2, len(_WAVES) * len(_PHASES)))
        return cls._of(size, length, _PHASES, start)

    @classmethod
    def everywhere(cls, size: float, length: float) -> Wander:
        """Return such waves of every phase: they move points as far in one place as in another, not only on average."""
        return cls._of(size, length, _EVERY_PHASE, np.zeros((2, 1)))

    @classmethod
    def _of(cls, size: float, length: float, phases: tuple[tuple[float, float], ...], start: Array) -> Wander:
        waves = np.repeat(np.array(_WAVES), len(phases), axis=0) * (2 * np.pi / length)
        shift = start + np.tile(np.array(phases).T * np.pi, len(_WAVES))
        height = size * np.sqrt(8 / (len(waves) * np.square(waves).sum(axis=1)))
        return cls(waves[:, 0], waves[:, 1], shift[0], shift[1], height)

    @property
    def count(self) -> int:
        """Number of waves, and so of weights."""
        return len(self.height)

    @property
    def size(self) -> float:
        """How far points move each way as a rule, mm, for weights of standard deviation 1, wherever they lie."""
        waves = np.square(self.along) + np.square(self.across)
        return float(np.sqrt(np.square(self.height).mean() / np.mean(8 / (self.count * waves))))

    @property
    def names(self) -> tuple[str, ...]:
        """What each wave is called among the uncertain things."""
        return tuple(f"hammer, wave {number}" for number in range(1, self.count + 1))

    def drift(self, wave: int, along: Array, across: Array) -> tuple[Array, Array]:
        """Return one wave's velocity (mm along, mm across) for a weight of 1; broadcastable input."""
        on_along = along * self.along[wave] + self.phase_along[wave]
        on_across = across * self.across[wave] + self.phase_across[wave]
        kind = np.result_type(along, across).type
        ahead = np.cos(on_along) * np.sin(on_across) * kind(-self.height[wave] * self.across[wave])
        aside = np.sin(on_along) * np.cos(on_across) * kind(self.height[wave] * self.along[wave])
        return ahead, aside

    def moved(self, weights: Array, along: Array, across: Array) -> tuple[Array, Array]:
        """Return where points (arrays of one shape, mm) go under ``weights``; area is kept exactly.

        The implicit midpoint rule on the stream function, which is an area-keeping map whatever its step.
        """
        steps = 4
        on_along, on_across = along[..., None] * self.along, across[..., None] * self.across
        on_along, on_across = on_along + self.phase_along, on_across + self.phase_across
        heights = np.stack([-self.height * self.across, self.height * self.along]) * (weights / (2 * steps))
        ahead, aside = np.zeros_like(along), np.zeros_like(across)
        for _ in range(steps):
            for _ in range(40):
                half_along, half_across = (
                    on + (moved / 2)[..., None] * wave
                    for on, moved, wave in ((on_along, ahead, self.along), (on_across, aside, self.across))
                )
                # cos a sin b and sin a cos b, both of two sines
                one, other = np.sin(half_along + half_across), np.sin(half_along - half_across)
                new_ahead, new_aside = (one - other) @ heights[0], (one + other) @ heights[1]
                change = max(np.abs(new_ahead - ahead).max(), np.abs(new_aside - aside).max())
                ahead, aside = new_ahead, new_aside
                if change < 1e-13:
                    break
            along, across = along + ahead, across + aside
            on_along, on_across = on_along + ahead[..., None] * self.along, on_across + aside[..., None] * self.across
        return along, across
