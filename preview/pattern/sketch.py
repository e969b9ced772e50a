"""The settings by which a photographed or scanned drawing becomes a pattern."""

from __future__ import annotations

from typing import Annotated, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.settings import Control, NonNegativeLength, Number, PositiveLength, Settings, Share, Switch
from preview.pattern.powders import NICKEL, PLAIN

Coordinate = Annotated[Number, Field(ge=-0.1, le=1.1)]
Place = tuple[Coordinate, Coordinate]


class Sketch(Settings):
    """How a drawing on paper becomes a pattern.

    Parameters
    ----------
    width
        Width that the pattern will have, mm; its height follows, since proportions are kept.
    powders
        Names of the powders for the tones of the drawing, from the darkest drawn to bare paper.
    swap
        The other way round: what is drawn dark becomes the last powder, bare paper the first.
    fill
        Closed outlines are filled; an outline within a filled one stays open inside.
    smallest
        Specks, lines and gaps under this width go, mm of the pattern.
    smooth
        How far roughness of the outlines is evened out, mm of the pattern.
    pale
        How dark a spot has to be to count as drawn, from 0 (paper) to 1 (black); by default it is found. For two
        powders only.
    corners
        The sheet's corners in the photograph: upper left, upper right, lower right, lower left, each rightwards and
        downwards in shares of it; by default they are looked for.
    crop
        What of the sheet is taken: left, top, right, bottom, in shares of it, once it is laid straight.
    """

    width: Annotated[
        PositiveLength,
        Control("Width of the pattern", "mm", "As wide as it will lie in the can; its height follows.",
                least=10.0, most=200.0, step=1.0),
    ] = 70.0  # fmt: skip
    powders: Annotated[tuple[str, ...], Field(min_length=2, max_length=4)] = (PLAIN.name, NICKEL.name)
    swap: Annotated[
        Switch, Control("Swap dark and bright", help="What you drew dark stays bright on the blade, the paper dark.")
    ] = False
    fill: Annotated[
        Switch, Control("Fill closed outlines", help="For a drawing of lines: what they close in is filled.")
    ] = False
    smallest: Annotated[
        NonNegativeLength,
        Control("Smallest line kept", "mm", "Specks, lines and gaps under this width go. Dividers need some 0.4 mm.",
                least=0.0, most=3.0, step=0.05),
    ] = 0.2  # fmt: skip
    smooth: Annotated[
        NonNegativeLength,
        Control("Even out edges", "mm", "A shaky hand or rough paper is evened out over this width; corners round off.",
                least=0.0, most=1.0, step=0.05),
    ] = 0.05  # fmt: skip
    pale: Annotated[
        Share | None,
        Control("What counts as drawn", help="Lower it to catch pale pencil, raise it to lose smudges and shade.",
                least=0.05, most=0.95, step=0.05, offer="Set what counts as drawn", start=0.4),
    ] = None  # fmt: skip
    corners: tuple[Place, Place, Place, Place] | None = None
    crop: tuple[Share, Share, Share, Share] = (0.0, 0.0, 1.0, 1.0)

    @model_validator(mode="after")
    def _check(self) -> Self:
        if self.corners is not None:
            ahead = np.roll(self.corners, -1, axis=0) - np.array(self.corners)
            after = np.roll(ahead, -1, axis=0)
            if (ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0] <= 1e-4).any():
                raise ValueError(
                    "the sheet's corners cross each other; they have to go round: upper left, upper right, lower "
                    "right, lower left"
                )
        left, top, right, bottom = self.crop
        if right - left < 0.05 or bottom - top < 0.05:
            raise ValueError("crop has to leave some of the sheet: left, top, right, bottom, from 0 to 1")
        if self.pale is not None and len(self.powders) > 2:
            raise ValueError("pale parts two powders only; leave it out for more")
        return self
