"""The edge side forged thin before grinding."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.settings import PositiveLength
from preview.forging.bar import Bar
from preview.forging.steps.base import Step, Triple, refuse_loose, refuse_shaped


class ForgeBevel(Step):
    """Forge a wedge from ``edge_thickness`` at the edge up to the full thickness at ``height`` over it.

    All of the strain goes to width, away from the spine, and columns through the bar stay straight. With
    t(y) the new thickness over the old one, material at y from the spine came from Y = integral of t.
    """

    step: Literal["forge_bevel"] = "forge_bevel"
    edge_thickness: PositiveLength
    height: PositiveLength

    def after(self, before: Bar) -> Bar:
        """See `Step.after`; the bar grows wider by what the wedge gives up."""
        refuse_loose("forge_bevel", before)
        refuse_shaped("forge_bevel", before, "wedge", "tapered")
        if self.edge_thickness > before.thickness:
            msg = f"has to be at most the bar's {before.thickness:.4g} mm; given {self.edge_thickness:g}"
            raise JobError.at("edge_thickness", msg)
        width = before.width + self.height * self._loss(before) / 2
        if self.height > width:
            msg = f"has to fit the forged bar's width of {width:.4g} mm; given {self.height:g}"
            raise JobError.at("height", msg)
        return replace(before, width=width, shape="wedge", edge_thickness=self.edge_thickness, edge_height=self.height)

    def _loss(self, before: Bar) -> float:
        """Return the share of the thickness that the edge loses."""
        return 1 - self.edge_thickness / before.thickness

    def margin(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `Step.margin`; past the edge the wedge would come to nothing."""
        return np.asarray(across + self.after(before).width / 2)

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`."""
        loss, width = self._loss(before), self.after(before).width
        from_spine = before.width / 2 - np.asarray(across)
        into = np.maximum(from_spine - (width - self.height), 0.0)
        # of the two roots of u - loss u**2 / (2 height) = into, the one that vanishes with it
        inside = np.maximum(1 - 2 * loss * into / self.height, 0.0)
        u = 2 * into / (1 + np.sqrt(inside))
        return along, width / 2 - (from_spine - into + u), through * (1 - loss * u / self.height)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        loss, width = self._loss(before), self.after(before).width
        from_spine = width / 2 - np.asarray(across)
        u = np.clip(from_spine - (width - self.height), 0.0, self.height)
        old_across = before.width / 2 - (from_spine - loss * u**2 / (2 * self.height))
        return along, old_across, through / (1 - loss * u / self.height)
