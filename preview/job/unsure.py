"""What a smith cannot hold exactly, and by how much it wanders."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from pydantic import Field

from preview.base.arrays import Array
from preview.base.settings import Angle, Control, NonNegativeLength, PositiveLength, Settings


class Unsure(Settings):
    """One standard deviation of each thing that is not held exactly, mm (``angle`` in degrees a side).

    Starting values are common practice, no published source; put in your own. Spread and friction have theirs
    from the calibration, or from the published laws.

    Parameters
    ----------
    hammer, hammer_length
        Uneven blows: how far the metal wanders in the bar's plane, and over what length the wander turns back.
    edge_offset, bevel, angle
        Edge off centre; height, or angle where that is held, of the bevels.
    thickness
        Of the blade before the bevels are ground.
    heel, edge, mid_plane
        Where the blade lies in the bar.
    """

    hammer: Annotated[
        NonNegativeLength,
        Control("Uneven blows", "mm", "How far thickness wanders from blow to blow.", least=0.0, step=0.1),
    ] = 0.3
    hammer_length: Annotated[
        PositiveLength, Control("over a length of", "mm", "Over what length it wanders.", least=0.0, step=0.1)
    ] = 30.0
    bevel: Annotated[
        NonNegativeLength, Control("Grind height", "mm", "How well you hold the grind line.", least=0.0, step=0.1)
    ] = 0.5
    angle: Annotated[
        Angle, Field(ge=0), Control("Grind angle", "°", "How well you hold the jig's angle.", least=0.0, step=0.1)
    ] = 0.2
    edge_offset: Annotated[
        NonNegativeLength,
        Control("Edge off centre", "mm", "How well you keep the edge in the middle.", least=0.0, step=0.1),
    ] = 0.1
    thickness: Annotated[
        NonNegativeLength, Control("Thickness", "mm", "How well you hold the blade's thickness.", least=0.0, step=0.1)
    ] = 0.1
    heel: Annotated[
        NonNegativeLength,
        Control("Place along the bar", "mm", "How well you find the place along the bar.", least=0.0, step=0.1),
    ] = 1.0
    edge: Annotated[
        NonNegativeLength,
        Control("Place across the bar", "mm", "How well you find the place across the bar.", least=0.0, step=0.1),
    ] = 0.5
    mid_plane: Annotated[
        NonNegativeLength, Control("Mid-plane", "mm", "How evenly both faces are milled.", least=0.0, step=0.1)
    ] = 0.1


_WAVES = ((1.0, 0.5), (0.5, 1.0), (0.9, 0.9), (0.7, 0.3))
_PHASES = (0.0, 0.5)


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
        waves = np.repeat(np.array(_WAVES), len(_PHASES), axis=0) * (2 * np.pi / length)
        count = len(waves)
        shift = np.tile(np.array(_PHASES) * np.pi, len(_WAVES))
        start = rng.uniform(0, 2 * np.pi, (2, count))
        height = size * np.sqrt(8 / (count * np.square(waves).sum(axis=1)))
        return cls(waves[:, 0], waves[:, 1], start[0] + shift, start[1] + shift, height)

    @property
    def count(self) -> int:
        """Number of waves, and so of weights."""
        return len(self.height)

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
        for _ in range(steps):
            ahead, aside = np.zeros_like(along), np.zeros_like(across)
            for _ in range(40):
                new_ahead, new_aside = np.zeros_like(along), np.zeros_like(across)
                for wave, weight in enumerate(weights):
                    one, other = self.drift(wave, along + ahead / 2, across + aside / 2)
                    new_ahead += one * (weight / steps)
                    new_aside += other * (weight / steps)
                change = max(np.abs(new_ahead - ahead).max(), np.abs(new_aside - aside).max())
                ahead, aside = new_ahead, new_aside
                if change < 1e-13:
                    break
            along, across = along + ahead, across + aside
        return along, across
