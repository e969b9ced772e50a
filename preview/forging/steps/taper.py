"""Distal taper forged in."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import JobError
from preview.base.settings import PositiveLength
from preview.forging.bar import Bar
from preview.forging.steps.base import Step, Triple, refuse_loose, refuse_shaped


class Taper(Step):
    """Draw the bar out towards the tip so that thickness and width fall evenly to the tip's sizes.

    Plane sections stay plane and shrink in themselves about the bar's centre line. With a(x) the section's
    area over the old one, material found at x came from X = integral of a from the heel: volume is kept.
    """

    step: Literal["taper"] = "taper"
    tip_thickness: PositiveLength
    tip_width: PositiveLength | None = None

    def after(self, before: Bar) -> Bar:
        """See `Step.after`; the bar grows longer by what the tip gives up."""
        refuse_loose("taper", before)
        refuse_shaped("taper", before, "tapered")
        if self.tip_thickness > before.thickness:
            msg = f"has to be at most the bar's {before.thickness:.4g} mm; given {self.tip_thickness:g}"
            raise JobError.at("tip_thickness", msg)
        if self.tip_width is not None and self.tip_width > before.width:
            msg = f"has to be at most the bar's {before.width:.4g} mm; given {self.tip_width:g}"
            raise JobError.at("tip_width", msg)
        p, q = self._losses(before)
        return replace(
            before,
            length=before.length / (1 - (p + q) / 2 + p * q / 3),
            shape="tapered",
            tip_thickness=self.tip_thickness,
            tip_width=self.tip_width or before.width,
        )

    def _losses(self, before: Bar) -> tuple[float, float]:
        """Return the shares of thickness and of width that the tip loses."""
        return 1 - self.tip_thickness / before.thickness, 1 - (self.tip_width or before.width) / before.width

    def margin(self, along: Array, across: Array, through: Array, before: Bar) -> Array:  # noqa: ARG002
        """See `Step.margin`; beyond the ends the shrinking sections would come to nothing."""
        return np.asarray(self.after(before).length / 2 - np.abs(along))

    def forward(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.forward`; the cubic X(x) is monotone and is solved by Newton's method."""
        p, q = self._losses(before)
        length = self.after(before).length
        goal = (np.asarray(along) + before.length / 2) / length
        s = np.array(goal)
        for _ in range(60):
            area = (1 - p * s) * (1 - q * s)
            change = (s - (p + q) * s**2 / 2 + p * q * s**3 / 3 - goal) / area
            s = np.where(np.isnan(change), np.nan, np.clip(s - change, -1.0, 1.0 + 1e-9))
            if np.fmax.reduce(np.abs(change), axis=None, initial=0.0) < 1e-15:
                break
        return (s - 0.5) * length, across * (1 - q * s), through * (1 - p * s)

    def back(self, along: Array, across: Array, through: Array, before: Bar) -> Triple:
        """See `Step.back`."""
        p, q = self._losses(before)
        length = self.after(before).length
        s = np.asarray(along) / length + 0.5
        position = (s - (p + q) * s**2 / 2 + p * q * s**3 / 3) * length
        return position - before.length / 2, across / (1 - q * s), through / (1 - p * s)
