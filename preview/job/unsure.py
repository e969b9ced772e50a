"""What a smith cannot hold exactly, and by how much it wanders."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Angle, NonNegativeLength, PositiveLength, Settings


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

    hammer: NonNegativeLength = 0.3
    hammer_length: PositiveLength = 30.0
    edge_offset: NonNegativeLength = 0.1
    bevel: NonNegativeLength = 0.5
    angle: Annotated[Angle, Field(ge=0)] = 0.2
    thickness: NonNegativeLength = 0.1
    heel: NonNegativeLength = 1.0
    edge: NonNegativeLength = 0.5
    mid_plane: NonNegativeLength = 0.1
