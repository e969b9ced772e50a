"""The can as it is filled, and the bar it becomes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from preview.base.arrays import Array, Mask
from preview.base.settings import Control, NonNegativeLength, Number, PositiveLength, Settings

Shape = Literal["block", "bulged", "wedge", "tapered"]


LARGEST_CAN, THICKEST_WALL = 500.0, 25.0
"""Sizes (mm) over which a can is a slip of the hand: solid, one of 500 mm weighs a tonne."""

RANDOM_PACKING = 0.64
"""Share of solid that equal spheres fill when they are poured and shaken (G. D. Scott & D. M. Kilgour, "The density of
random packing of spheres", J. Phys. D 2 (1969) 863, from memory): no powder that is sold packs much denser. The 0.74 of
a crystal is for spheres laid one by one."""

LEAST_FILL = 0.3
"""Fill density under which a can is filled by slip of the hand, or hardly at all."""

USUAL_FILL = 0.55
"""Fill density where none is given: gas-atomised steel, dividers that take a tenth of the can."""

SKIN = 1e-9
"""Slack in mm: a point on the skin is metal, whatever the last digit says."""

FLOAT_SKIN = 1e-3
"""The same for points that are or were held in float32, which keeps some 2e-5 mm over a bar's length."""


@dataclass(frozen=True)
class Bar:
    """The outside of the metal between two forging steps, centred on its frame's origin.

    Parameters
    ----------
    length, width, thickness
        Sizes along, across and through, in mm. Of a bulged bar the width is the mean (equal-volume) width;
        of a wedge the thickness is that of the spine side; of a tapered bar both are those of the heel end.
    wall
        Wall of the can round a filling that is still loose, in mm.
    density
        Relative density of the filling, 1 once it is consolidated.
    shape
        ``block``: six flat faces, so that every point outside is off the metal; ``bulged``: sides worked by
        the press; ``wedge``: edge side forged thin; ``tapered``: sections shrink towards the tip.
    edge_thickness, edge_height
        Of a wedge: thickness at the edge, and height over the edge where the full thickness is reached, in mm.
    tip_thickness, tip_width
        Of a tapered bar: its sizes at the tip end, in mm.
    flat
        Whether its upper and lower faces are flat: a twisted bar's are not, nor bulged sides turned up.
    """

    length: float
    width: float
    thickness: float
    wall: float = 0.0
    density: float = 1.0
    shape: Shape = "block"
    edge_thickness: float | None = None
    edge_height: float = 0.0
    tip_thickness: float | None = None
    tip_width: float | None = None
    flat: bool = True

    @property
    def size(self) -> tuple[float, float, float]:
        """Length, width and thickness in mm."""
        return (self.length, self.width, self.thickness)

    @property
    def least_size(self) -> float:
        """The least of its sizes anywhere, mm."""
        return min(
            each for each in (*self.size, self.edge_thickness, self.tip_thickness, self.tip_width) if each is not None
        )

    @property
    def volume(self) -> float:
        """Volume in mm3, walls of the can and loose filling as they stand."""
        section = self.width * self.thickness
        if self.edge_thickness is not None:
            section -= (self.thickness - self.edge_thickness) * self.edge_height / 2
        p = 1 - (self.tip_thickness or self.thickness) / self.thickness
        q = 1 - (self.tip_width or self.width) / self.width
        return section * self.length * (1 - (p + q) / 2 + p * q / 3)

    def scaled(self, loss: float) -> Bar:
        """Return the bar with ``loss`` (mm) of skin gone on every side; what is left stays where it was.

        Of a can that is still loose the wall alone goes: once it is through, the powder lies open.
        """
        if self.density < 1:
            loss = min(loss, self.wall)
            return replace(self._smaller(loss), wall=self.wall - loss)
        return self._smaller(loss)

    def _smaller(self, loss: float) -> Bar:
        def less(size: float | None) -> float | None:
            return None if size is None else size - 2 * loss

        return replace(
            self,
            length=self.length - 2 * loss,
            width=self.width - 2 * loss,
            thickness=self.thickness - 2 * loss,
            edge_thickness=less(self.edge_thickness),
            edge_height=max(self.edge_height - loss, 0.0),
            tip_thickness=less(self.tip_thickness),
            tip_width=less(self.tip_width),
        )

    def contains(
        self,
        along: NDArray[np.floating],
        across: NDArray[np.floating],
        through: NDArray[np.floating],
        slack: float = FLOAT_SKIN,
    ) -> Mask:
        """Say which points (broadcastable arrays, mm, this bar's frame) lie in its bounding box, or on its skin."""
        inside = np.abs(along) <= self.length / 2 + slack
        inside = inside & (np.abs(across) <= self.width / 2 + slack)
        return np.asarray(inside & (np.abs(through) <= self.thickness / 2 + slack))

    def under_faces(self, along: Array, across: Array, through: Array, slack: float = FLOAT_SKIN) -> Mask:
        """Say which points (as for `contains`) lie between its ends, and its faces where these are flat: not beyond."""
        between = np.abs(along) <= self.length / 2 + slack
        if self.flat:
            even = self.edge_thickness is None and self.tip_thickness is None
            half = (self.thickness if even else self.thickness_at(along, across)) / 2
            between = between & (np.abs(through) <= half + slack)
        return np.asarray(between)

    def thickness_at(
        self, along: NDArray[np.floating] | float, across: NDArray[np.floating] | float
    ) -> NDArray[np.floating]:
        """Return the thickness (mm) at points of the bar's plan (broadcastable arrays, mm, bar frame)."""
        share = (np.asarray(along) + self.length / 2) / self.length
        of_thickness = 1 - (1 - (self.tip_thickness or self.thickness) / self.thickness) * share
        of_width = 1 - (1 - (self.tip_width or self.width) / self.width) * share
        thickness = np.full(np.broadcast(share, np.asarray(across)).shape, self.thickness)
        if self.edge_thickness is not None:
            over_edge = np.asarray(across) / of_width + self.width / 2
            rise = np.clip(over_edge / self.edge_height, 0, 1)
            thickness = self.edge_thickness + (self.thickness - self.edge_thickness) * rise
        return np.asarray(thickness * of_thickness)


class Can(Settings):
    """A rectangular mild-steel can: sizes of the filled inside and the wall, in mm.

    ``fill_density`` is the weight of the powder filled and tapped over that of solid steel of the inside's
    volume, the dividers' room counted in. For gas-atomised steel between thin dividers 0.5 to 0.6 is usual, for
    water-atomised 0.4 to 0.5 (common practice, no published source); weigh your own.
    """

    length: Annotated[
        PositiveLength,
        Field(le=LARGEST_CAN),
        Control("Can length", "mm", "Inside, along the can: it becomes the length of the bar.", 1.0, LARGEST_CAN),
    ] = 90.0
    width: Annotated[
        PositiveLength,
        Field(le=LARGEST_CAN),
        Control("Can width", "mm", "Inside, across the can, level in the press.", 1.0, LARGEST_CAN),
    ] = 40.0
    height: Annotated[
        PositiveLength,
        Field(le=LARGEST_CAN),
        Control("Can height", "mm", "Inside, as it lies in the press: what the press takes down.", 1.0, LARGEST_CAN),
    ] = 60.0
    wall: Annotated[
        NonNegativeLength,
        Field(le=THICKEST_WALL),
        Control("Wall", "mm", "Mild steel round the powder; it is milled off later.", 0.0, THICKEST_WALL),
    ] = 3.0
    fill_density: Annotated[
        Number,
        Field(gt=0.2, le=1),
        Control(
            "Fill density",
            help="Weight of the powder in the can over that of solid steel of the same volume. Weigh it. No powder "
            f"packs denser than {RANDOM_PACKING:g}, and the dividers' room is void.",
            least=LEAST_FILL, most=RANDOM_PACKING, slider=True,
        ),
    ] = USUAL_FILL  # fmt: skip

    @property
    def inside(self) -> tuple[float, float, float]:
        """Inside length, width and height in mm."""
        return (self.length, self.width, self.height)

    def bar(self) -> Bar:
        """Return the filled can as the bar the first forging step meets."""
        length, width, height = (size + 2 * self.wall for size in self.inside)
        return Bar(length, width, height, wall=self.wall, density=self.fill_density)
