"""What a smith cannot hold exactly, and by how much it wanders."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Angle, Control, NonNegativeLength, PositiveLength, Settings, Share


class Unsure(Settings):
    """One standard deviation of each thing that is not held exactly, mm (``angle`` in degrees a side).

    Starting values are common practice, no published source, where none is named; put in your own. Spread and
    friction have theirs from the calibration, or from the published laws; fill, settling and scale have theirs from
    the calibration once the can was weighed or measured.

    Parameters
    ----------
    fill
        Fill density, as a share of solid: what is usual, 0.5 to 0.6 (`preview.forging.bar.Can`), taken as equally
        likely all over, has 0.1 / sqrt(12) = 0.03.
    settling
        Of the share of the settling that goes along the can, and of that across; the rest is left to its height. A
        sintered fill pressed free at 0.6 of solid spreads by 0.28 of what it loses in volume (Poisson's ratio
        0.5 density**2: Kuhn & Downey, Int. J. Powder Metall. 7 (1971) 15, from memory), one that shrinks evenly draws
        in by 0.33: 0.1 is a third of either.
    scale
        Metal lost to scale, as a share of what is reckoned: one ring forge lost 4.5 % of its steel, and 1.1 % at a
        better ratio of gas to air (from memory), so either by 0.6 of their mean; most fires lie between.
    flow
        How far lines lie off the flow law, as a share of the pressed bar's thickness: markers of finite elements that
        are pressed by 75 to 83 % in all lie 5 % off (`preview.forging.press_flow`).
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

    fill: Annotated[
        Share,
        Control(
            "Fill density", help="How well you know it before the can is weighed, as a share of solid.",
            least=0.0, most=0.2, step=0.01,
        ),
    ] = 0.03  # fmt: skip
    settling: Annotated[
        Share,
        Control(
            "How the can settles", help="How well you know what share of the settling goes along, and across.",
            least=0.0, most=0.5, step=0.01,
        ),
    ] = 0.1  # fmt: skip
    scale: Annotated[
        Share,
        Control(
            "Loss to scale", help="How well you know it, as a share of what is lost.", least=0.0, most=1.0, step=0.05
        ),
    ] = 0.4
    flow: Annotated[
        Share,
        Control(
            "Flow under the press", help="How far lines lie off the flow law, as a share of the pressed thickness.",
            least=0.0, most=0.5, step=0.01,
        ),
    ] = 0.05  # fmt: skip
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
