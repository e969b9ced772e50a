"""A whole job: what is in the can, how it is forged, the blade, its grind, the etch and the light."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from preview.base.cache import kept
from preview.base.settings import Count, PositiveLength, Settings
from preview.blade.blade import Blade
from preview.blade.grind import Grind
from preview.blade.ground import Ground
from preview.forging.bar import Bar, Can
from preview.forging.bites import LAPPED, UNPRESSED
from preview.forging.history import History
from preview.forging.steps import AnyStep
from preview.forging.steps.base import Heat
from preview.forging.steps.consolidate import Consolidate
from preview.forging.steps.press import Press
from preview.forging.steps.trim import Trim
from preview.job.calibration import Calibration, Settling
from preview.job.seen import Seen
from preview.job.unsure import Unsure
from preview.look.etch import Etch
from preview.look.light import Light
from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN, Powder

USUAL_FORGING: tuple[AnyStep, ...] = (
    Consolidate(heat=Heat(temperature=1180, minutes=45)),
    Press(height=6.5, bite=20, repeat=5, heat=Heat(temperature=1150, minutes=40)),
    Trim(faces=0.8, sides=5, ends=8),
)
"""Squeeze the can flat, press it to a bar, mill the shell off: what is done where the job does not say."""


class Job(Settings):
    """One job, as its TOML file holds it. All but the pattern picture has a default.

    ``folder`` is where the job file lies; the picture's path counts from there. It is not written.
    ``seed`` starts the random mottle and grain. ``calibration`` names a calibration file beside the job file;
    ``forge`` is what stands in it, and is not written either. ``seen`` and ``found`` likewise: what a photograph of the
    real bar or blade showed. ``measured_bar`` is length and width (mm) of that bar as they were measured: a photograph
    does not tell them.
    """

    title: str = ""
    pattern: Pattern
    powders: Annotated[tuple[Powder, ...], Field(min_length=2, max_length=8)] = (PLAIN, NICKEL)
    can: Can = Can(length=75, width=26, height=48, wall=2.5)
    forging: tuple[AnyStep, ...] = USUAL_FORGING
    blade: Blade = Blade(thickness=4.5)
    grind: Grind = Grind()
    etch: Etch = Etch()
    light: Light = Light()
    unsure: Unsure = Unsure()
    seed: Annotated[Count, Field(ge=0)] = 1
    calibration: str | None = None
    seen: str | None = None
    measured_bar: tuple[PositiveLength, PositiveLength] | None = None
    folder: Annotated[Path, Field(exclude=True)] = Path()
    forge: Annotated[Calibration | None, Field(exclude=True)] = None
    found: Annotated[Seen | None, Field(exclude=True)] = None

    @property
    def history(self) -> History:
        """The can and its forging steps, as the calibrated forge does them."""
        steps = self.forging if self.forge is None else tuple(map(self.forge.step, self.forging))
        return _history(self.can.bar(), steps)

    @property
    def settling(self) -> Settling:
        """How surely the can's fill, settling and scale are known: as measured, or as `Unsure` has it.

        The fill is known as it was measured where this can is filled as the measured one.
        """
        unsure, measured = self.unsure, None if self.forge is None else self.forge.settling
        density = self.can.fill_density
        error = unsure.fill if density < 1 else 0.0
        if measured is not None:
            return measured if measured.fills(self.can) else measured.of_another_fill(density, error)
        return Settling(
            fill_density=density,
            fill_density_error=error,
            along_error=unsure.settling,
            across_error=unsure.settling,
            scale_factor_error=unsure.scale,
        )

    @property
    def hammer(self) -> float:
        """How far uneven blows move the metal in the bar's plane, mm, as stated or by the bites; see `Unsure`.

        Once the bar was photographed they are seen, and there is nothing left of them.
        """
        if self.found is not None:
            return 0.0
        own = self.unsure.hammer
        return own if own is not None else LAPPED * self.history.waves or UNPRESSED

    @property
    def ground(self) -> Ground:
        """The blade, ground out of the forged bar."""
        return Ground(self.blade, self.grind, self.history.bar)

    @property
    def etching(self) -> Etch:
        """The etch, with the calibration's tones where it has them."""
        return self.etch if self.forge is None else self.forge.etch(self.etch)

    @property
    def bright_powders(self) -> tuple[str, ...]:
        """Names of the powders that hold off at least half of the etch's attack."""
        return tuple(powder.name for powder in self.powders if float(self.etching.resistance(powder.nickel)) >= 0.5)

    @property
    def unseen(self) -> Job:
        """It without what a photograph showed: as it is reckoned."""
        return self.model_copy(update={"seen": None, "found": None})

    @property
    def named_files(self) -> dict[str, str]:
        """The files that it names, each a path in its folder, by the keys that name them; a new kind is one line."""
        named = {
            "pattern.picture": self.pattern.picture,
            "calibration": self.calibration,
            "seen": self.seen,
            "blade.outline.drawing": next(iter(self.blade.outline.files), None),
        }
        return {key: name for key, name in named.items() if name is not None}

    @property
    def picture_path(self) -> Path:
        """Where the pattern picture lies."""
        return self.folder / self.pattern.picture

    @property
    def pattern_area(self) -> tuple[float, float]:
        """Width and height of the can's inside as the dividers see it, mm."""
        return self.pattern.direction.area(self.can.inside)

    @property
    def divider_depth(self) -> float:
        """How far the dividers reach through the fill, mm."""
        return self.can.inside[self.pattern.direction.depth]


@kept
def _history(start: Bar, steps: tuple[AnyStep, ...]) -> History:
    """Return a history; kept, since it knows its bars once they are asked for."""
    return History(start, steps)
