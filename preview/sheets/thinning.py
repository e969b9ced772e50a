"""What comes off the bar's faces: how much of it before the quench, how much is kept for after."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from preview.base.units import Units
from preview.blade.grind import SIDES, Side
from preview.day.finishing import REGRIND
from preview.job.job import Job

FINE = 0.005
"""Steel (mm) that is not spoken of: less than is measured."""


@dataclass(frozen=True)
class Thinning:
    """How the bar's faces come down to the blade's.

    Parameters
    ----------
    bar, blade
        Thickness of the bar as it is reckoned, and of the blade at its heel, mm.
    off
        What comes off each face in all, as the bar lies, mm: unlike where the blade lies off its mid-plane.
    tip
        Thickness at the tip, where it is tapered, mm.
    """

    bar: float
    blade: float
    off: Mapping[Side, float]
    tip: float | None

    @classmethod
    def of(cls, job: Job) -> Thinning:
        """Return that of a job's blade at its place in the bar."""
        bar, blade, level = job.history.bar.thickness, job.blade, job.blade.placement.mid_plane
        thick = min(blade.thickness or bar, bar)
        spare = (bar - thick) / 2
        off = {side: max(spare - towards * level, 0.0) for side, towards in zip(SIDES, (1, -1), strict=True)}
        return cls(bar, thick, off, blade.tip_thickness)

    @property
    def before(self) -> dict[Side, float]:
        """What comes off each face before the quench, mm: all but the least that is ground off after it."""
        return {side: max(off - REGRIND[0], 0.0) for side, off in self.off.items()}

    @property
    def at_quench(self) -> float:
        """The thickness that is hardened, mm."""
        return self.bar - sum(self.before.values())

    @property
    def short(self) -> tuple[Side, ...]:
        """The faces on which the bar is too thin for what is ground off after the quench."""
        return tuple(side for side, off in self.off.items() if off < REGRIND[0] - FINE)

    def which_words(self, units: Units) -> str:
        """Return which thickness is which, from the bar to the blade; nothing where there is but one."""
        if self.tip is None and self.bar - self.blade < FINE:
            return ""
        bar, quench, blade = (units.length(each, form=".2f") for each in (self.bar, self.at_quench, self.blade))
        tip = "" if self.tip is None else f", {units.length(self.tip, form='.2f')} at its tip"
        return f"Thick: the bar {bar}, quenched at {quench}, the blade {blade} at its heel{tip}, before the bevels."

    def before_words(self, units: Units) -> list[str]:
        """Return what is done to the faces before the quench, and what to heed of it."""
        lines = [f"Measure the thickness, reckoned as {units.length(self.bar, form='.2f')}."]
        if max(self.before.values()) > FINE:
            to = units.length(self.at_quench, form=".2f")
            lines[0] += f" Grind the blank's faces down to {to} before the quench: {_of_each(self.before, units)}."
        else:
            lines[0] += " Grind nothing off the faces before the quench."
        if self.short:
            needed = units.length(REGRIND[0], form="g")
            lines[0] += (
                f" The bar is too thin to leave {needed} a side for after it: in all "
                f"it is {_of_each(self.off, units)}. What warps or scales deeper stays in the blade."
            )
        if self.tip is not None:
            tip = units.length(min(self.tip + 2 * REGRIND[0], self.at_quench), form=".2f")
            lines.append(f"Taper it to {tip} at the tip, {units.length(self.tip, form='.2f')} after the quench.")
        return lines

    def after_words(self, units: Units) -> str:
        """Return what is left to take off the faces after the quench, as a line's end; nothing where nothing is."""
        to, after = units.length(self.blade, form=".2f"), {side: self.off[side] - self.before[side] for side in SIDES}
        if max(after.values()) <= FINE:
            return ""
        return f" Faces down to {to}: {_of_each(after, units)}."


def _of_each(off: Mapping[Side, float], units: Units) -> str:
    """Return what comes off either face."""
    right, left = (units.length(off[side], form=".2f") if off[side] > FINE else "nothing" for side in SIDES)
    return f"{right} off each face" if right == left else f"{right} off the right face, {left} off the left one"
