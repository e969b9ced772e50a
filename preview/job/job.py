"""A whole job: what is in the can, how it is forged, the blade, its grind, the etch and the light."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import numpy as np
from pydantic import Field

from preview.base.errors import Fault, JobError
from preview.base.files import leaves_folder
from preview.base.settings import Count, Settings
from preview.blade.blade import Blade
from preview.blade.grind import SIDES, Grind
from preview.blade.ground import Ground
from preview.forging.bar import Bar, Can
from preview.forging.history import History
from preview.forging.steps import AnyStep
from preview.forging.steps.base import Heat
from preview.forging.steps.consolidate import Consolidate
from preview.forging.steps.press import Press
from preview.forging.steps.trim import Trim
from preview.job.calibration import Calibration
from preview.job.unsure import Unsure
from preview.look.etch import Etch
from preview.look.light import Light
from preview.pattern.pattern import VOID, Pattern, colour_problem
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
    ``forge`` is what stands in it, and is not written either.
    """

    title: str = ""
    pattern: Pattern
    powders: Annotated[tuple[Powder, ...], Field(min_length=2, max_length=8)] = (PLAIN, NICKEL)
    can: Can = Can(length=75, width=26, height=44, wall=2.5)
    forging: tuple[AnyStep, ...] = USUAL_FORGING
    blade: Blade = Blade(thickness=4.5)
    grind: Grind = Grind()
    etch: Etch = Etch()
    light: Light = Light()
    unsure: Unsure = Unsure()
    seed: Annotated[Count, Field(ge=0)] = 1
    calibration: str | None = None
    folder: Annotated[Path, Field(exclude=True)] = Path()
    forge: Annotated[Calibration | None, Field(exclude=True)] = None

    @property
    def history(self) -> History:
        """The can and its forging steps, as the calibrated forge does them."""
        steps = self.forging if self.forge is None else tuple(map(self.forge.step, self.forging))
        return History(self.can.bar(), steps)

    @property
    def ground(self) -> Ground:
        """The blade, ground out of the forged bar."""
        return ground_of(self, self.history.bar)

    @property
    def etching(self) -> Etch:
        """The etch, with the calibration's tones where it has them."""
        return self.etch if self.forge is None else self.forge.etch(self.etch)

    @property
    def bright_powders(self) -> tuple[str, ...]:
        """Names of the powders that hold off at least half of the etch's attack."""
        return tuple(powder.name for powder in self.powders if float(self.etching.resistance(powder.nickel)) >= 0.5)

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


def ground_of(job: Job, bar: Bar) -> Ground:
    """Return the blade ground out of ``bar``; where the grind leaves nothing at the heel, it leaves the ricasso."""
    grind = job.grind
    if not grind.heel_flat:
        grind = grind.model_copy(update={"heel_flat": job.blade.outline.ricasso_length})
    return Ground(job.blade, grind, bar)


def check_job(job: Job) -> Job:
    """Return ``job`` if its parts fit together.

    Raises
    ------
    JobError
        With every fault found, each with its key path, what was given and what is needed.
    """
    faults = [*_powder_faults(job), *_pattern_faults(job)]
    try:
        bar = job.history.bar
    except JobError as error:
        faults += error.faults
    else:
        faults += _blade_faults(job, bar)
    if faults:
        raise JobError(faults)
    return job


def _powder_faults(job: Job) -> list[Fault]:
    faults = []
    names: set[str] = set()
    colours: dict[str, str] = {}
    for number, powder in enumerate(job.powders):
        where = f"powders[{number}]"
        if powder.name in names or powder.name == VOID:
            faults.append(
                Fault(f"{where}.name", f"has to be unlike every other powder's and {VOID!r}; given {powder.name!r}")
            )
        names.add(powder.name)
        if not powder.colours:
            faults.append(Fault(f"{where}.colours", "at least one colour is needed"))
        for colour in powder.colours:
            problem = colour_problem(colour)
            if problem:
                faults.append(Fault(f"{where}.colours", problem))
            elif colour in colours:
                faults.append(Fault(f"{where}.colours", f"{colour!r} stands for {colours[colour]!r} already"))
            colours[colour] = powder.name
    return faults


def _pattern_faults(job: Job) -> list[Fault]:
    faults = []
    pattern, names = job.pattern, [powder.name for powder in job.powders]
    for where, name in (("pattern.picture", pattern.picture), ("calibration", job.calibration)):
        if name is not None and leaves_folder(name):
            faults.append(Fault(where, f"has to be a path inside the job file's folder; given {name!r}"))
    if pattern.surround is not None and pattern.surround not in names:
        faults.append(
            Fault("pattern.surround", f"has to name a powder ({', '.join(names)}); given {pattern.surround!r}")
        )
    if pattern.transparent not in (*names, VOID):
        known = ", ".join((*names, VOID))
        faults.append(Fault("pattern.transparent", f"has to be one of {known}; given {pattern.transparent!r}"))
    if pattern.size is not None:
        for word, size, room in zip(("wide", "high"), pattern.size, job.pattern_area, strict=True):
            if size > room + 1e-6:
                problem = f"the picture is {size:g} mm {word}, and the can's inside has only {room:g} mm there"
                faults.append(Fault("pattern.size", problem))
    return faults


def _blade_faults(job: Job, bar: Bar) -> list[Fault]:
    faults = []
    blade = job.blade
    outline, placement = blade.outline, blade.placement
    for key, start, size, room, end in (
        ("heel", placement.heel, outline.length, bar.length, "length"),
        ("edge", placement.edge, outline.height, bar.width, "height"),
    ):
        if size > room + 1e-9:
            word = "long" if end == "length" else "wide"
            problem = f"has to fit the bar, which is {room:.4g} mm {word} after the last step; given {size:g}"
            faults.append(Fault(f"blade.outline.{end}", problem))
        elif start is not None and start + size > room + 1e-9:
            problem = f"at most {room - size:.4g} mm is needed for the blade to stay inside the bar; given {start:g}"
            faults.append(Fault(f"blade.placement.{key}", problem))
    thickness = blade.thickness or bar.thickness
    if thickness + 2 * abs(placement.mid_plane) > bar.thickness + 1e-9:
        beside = f" with a mid-plane {placement.mid_plane:g} mm off the bar's" if placement.mid_plane else ""
        thick = f"{bar.thickness:.4g} mm thick after the last step"
        problem = f"has to fit the bar, which is {thick}; given {thickness:g}{beside}"
        faults.append(Fault("blade.thickness", problem))
    if blade.tip_thickness is not None and blade.tip_thickness > thickness:
        problem = f"has to be at most the blade's thickness of {thickness:.4g} mm; given {blade.tip_thickness:g}"
        faults.append(Fault("blade.tip_thickness", problem))
    faults += _grind_faults(job, bar)
    return faults


def _grind_faults(job: Job, bar: Bar) -> list[Fault]:
    faults = []
    outline, ground = job.blade.outline, ground_of(job, bar)
    if ground.grind.heel_flat + job.grind.plunge >= outline.length:
        given = ground.grind.heel_flat + job.grind.plunge
        problem = f"with the plunge it has to leave some of the blade's {outline.length:g} mm to grind; given {given:g}"
        faults.append(Fault("grind.heel_flat", problem))
    along = np.linspace(0, outline.length, 64)
    for side in SIDES:
        bevel = job.grind.bevel(side)
        where = f"grind.{side}" if side == "right" or job.grind.left else "grind.right"
        if not bevel.is_ground or (where == "grind.right" and side == "left"):
            continue
        too_high = bevel.height_fault(outline.height)
        if too_high:
            faults.append(Fault(f"{where}.height", too_high))
        problem_there = ground.bevel(side, along).fault()
        if problem_there:
            faults.append(Fault(where, problem_there))
    return faults
