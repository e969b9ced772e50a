"""What a smith cannot hold exactly, and by how much it wanders."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Angle, Control, NonNegativeLength, PositiveLength, Settings


class Unsure(Settings):
    """One standard deviation of each thing that is not held exactly, mm (``angle`` in degrees a side).

    Starting values are common practice, no published source; put in your own. Spread and friction have theirs
    from the calibration, or from the published laws.

    Parameters
    ----------
    hammer, hammer_length
        Uneven blows: how far the metal wanders in the bar's plane, and over what length the wander turns back. How far
        is, left out, what the press's bites leave where each overlaps the last by half; see `Job.hammer`.
    edge_offset, bevel, angle
        Edge off centre; height, or angle where that is held, of the bevels.
    thickness
        Of the blade before the bevels are ground.
    heel, edge, mid_plane
        Where the blade lies in the bar.
    """

    hammer: Annotated[
        NonNegativeLength | None,
        Control(
            "Uneven blows", "mm",
            "How far the pattern wanders from blow to blow. Left alone, it is what bites that overlap by half leave, "
            "by their width and the die's travel.",
            least=0.0, step=0.1, offer="Uneven blows of your own", start=0.3,
        ),
    ] = None  # fmt: skip
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
        NonNegativeLength,
        Control("Middle of the blade", "mm", "How evenly both faces are milled.", least=0.0, step=0.1),
    ] = 0.1
