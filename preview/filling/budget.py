"""What goes into the can, what becomes of it, and what the blade needs: powder, bar, losses, and the way back.

Weights after the weld are volumes times the mean density of all the steel in the can, so that volume and weight
balance alike; the two powders and the can differ by under half a per cent.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from preview.base.results import Celsius, Cm3, Grams, GramsPerCm3, In, Mm, ShareOf
from preview.base.units import Sentence, celsius, mm, say
from preview.blade.grind import SIDES
from preview.face.grid import face_grid
from preview.face.tang import tang_notes
from preview.filling.fill import MM3_PER_CM3, Fill, fill, usual_fill
from preview.filling.fill_remarks import Remark, fill_remarks
from preview.filling.poor_faces import poor_faces
from preview.forging.can_size import can_size
from preview.forging.carbon import CarbonSkin, carbon_skin
from preview.forging.expansion import elongation
from preview.forging.heating import SOAK, Soak, soak
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY

READ_AT = 1000.0
"""Temperature (°C) at which a caliper is usually put to the bar: a bright orange."""

USUAL_MARGIN = 10.0
"""Bar beyond the blade at each end, mm, where none is chosen."""

WELD_HEAT = (1150.0, 1300.0)
"""Range (°C) in which powder cans are welded: 1288 and more is ordinary (common practice, no published source). Its top
is 45 K under the heat at which steel of 1 % carbon begins to melt, and burns (1345 °C, from memory)."""

FORGING_HEAT = (850.0, 1260.0)
"""Range (°C) in which high-carbon steel is forged once it is welded, down to where it stiffens (from memory; common
practice)."""


THIN_WALL = 0.4
"""Share of the can's wall that may go to scale before it is spoken of: the fire may take twice as much."""


@dataclass(frozen=True)
class Stage:
    """The bar after one step.

    Parameters
    ----------
    words
        What was done.
    size
        Length, width, thickness, mm, cold; of a bulged bar the mean width.
    hot
        The same sizes as a caliper reads them at the budget's reading temperature, mm; None of a step done cold.
    grams
        Weight of the bar.
    off
        Taken off in this step, grams: milled or cut; of a weld what of the can's wall folds at the sides.
    folded
        Whether it is such folds: they hang on beyond the sizes until they are milled or ground off.
    scale_depth, scale
        Metal lost to scale in this step's heat, mm of skin on every side, and grams.
    """

    words: Sentence
    size: tuple[Mm, Mm, Mm]
    hot: tuple[Mm, Mm, Mm] | None
    grams: Annotated[float, In("g", "weight")]
    off: Grams
    folded: bool
    scale_depth: Mm
    scale: Grams


@dataclass(frozen=True)
class Budget:
    """A job's powder and bar.

    Parameters
    ----------
    can_volume
        Inside of the can, cm3.
    fills
        What is filled in.
    divider_share
        Share of the inside that the dividers take, and leave as void.
    dividers
        What these are, in words.
    fill_density
        Weight filled over that of solid steel of the inside's volume.
    usual_fill
        The same if each powder is tapped as it usually is; None where that is not known of one.
    shell
        Weight of the can itself, grams.
    mean_density
        Of all the steel in the can, g/cm3.
    stages
        The bar after each step, oldest first.
    read_at
        Temperature of the hot sizes, °C.
    tang
        Length of the tang, mm; 0 if there is none.
    blank, blade
        Weight of the blade with its tang, cut out but unground, and ground, grams.
    left_over
        Bar that is no blade once it is cut out, the saw's dust and what comes off to thickness in it, grams.
    spare_length, spare_width
        Bar beyond the blade and its tang, mm.
    margin
        Bar wanted beyond them at each end, mm.
    length_needed, depth_needed
        Inside length of the can, or height, that gives just this margin, the rest as it is, mm; None where none does.
    soak
        How long the can has to be at heat before the first squeeze.
    carbon
        How deep the steel under the bar's faces is short of carbon.
    poor_faces
        How deep it is so under the blade's ground faces, at the most, mm.
    remarks
        What does not fit together.
    """

    can_volume: Cm3
    fills: tuple[Fill, ...]
    divider_share: ShareOf
    dividers: str
    fill_density: ShareOf
    usual_fill: ShareOf | None
    shell: Grams
    mean_density: GramsPerCm3
    stages: tuple[Stage, ...]
    read_at: Celsius
    tang: Mm
    blank: Grams
    blade: Grams
    left_over: Grams
    spare_length: Mm
    spare_width: Mm
    margin: Mm
    length_needed: Mm | None
    depth_needed: Mm | None
    soak: Soak
    carbon: CarbonSkin
    poor_faces: Mm
    remarks: tuple[Remark, ...]

    @property
    def powder(self) -> float:
        """Powder in all, grams."""
        return sum(each.grams for each in self.fills)

    @property
    def notes(self) -> tuple[Sentence, ...]:
        """What does not fit together, in words."""
        return tuple(remark.words for remark in self.remarks)

    @property
    def cut_out(self) -> str:
        """What is cut out of the bar, in words."""
        return "blade and its tang" if self.tang else "blade"

    @property
    def nickel(self) -> float:
        """Nickel in all, grams."""
        return sum(each.nickel for each in self.fills)


def weigh(job: Job, *, bead: float | None = None, margin: float = USUAL_MARGIN, read_at: float = READ_AT) -> Budget:
    """Return the budget of a job.

    Parameters
    ----------
    job
        The job, checked.
    bead
        Width of the dividers' walls, mm; 0 for dividers that are drawn out again before the can is closed.
    margin
        Bar wanted beyond the blade at each end, mm.
    read_at
        Temperature (°C) at which hot sizes are read.

    Raises
    ------
    FileError
        If the pattern picture cannot be read.
    """
    filling = fill(job, bead)
    fills = filling.fills
    inside = job.can.length * job.can.width * job.can.height
    density = filling.density
    filled = job.model_copy(update={"can": job.can.model_copy(update={"fill_density": min(density, 1.0)})})

    shell = filled.can.bar().volume - inside
    steel = density * inside + shell
    grams_in = sum(each.grams for each in fills) + shell / MM3_PER_CM3 * STEEL_DENSITY
    mean = grams_in / (steel / MM3_PER_CM3)
    stages = _stages(filled, steel, mean / MM3_PER_CM3, read_at)
    bar = filled.history.bar
    blank, blade = (volume * mean / MM3_PER_CM3 for volume in blade_volumes(filled))
    outline = job.blade.outline
    whole = outline.length + outline.tang_length
    found = Budget(
        can_volume=inside / MM3_PER_CM3,
        fills=fills,
        divider_share=filling.share,
        dividers=filling.dividers,
        fill_density=density,
        usual_fill=usual_fill(job, fills),
        shell=shell / MM3_PER_CM3 * STEEL_DENSITY,
        mean_density=mean,
        stages=stages,
        read_at=read_at,
        tang=outline.tang_length,
        blank=blank,
        blade=blade,
        left_over=stages[-1].grams - blank,
        spare_length=bar.length - whole,
        spare_width=bar.width - outline.height,
        margin=margin,
        length_needed=can_size(filled.can, filled.history.steps, "length", "length", whole + 2 * margin),
        depth_needed=can_size(filled.can, filled.history.steps, "height", "length", whole + 2 * margin),
        soak=soak(filled.can),
        carbon=carbon_skin(filled.history),
        poor_faces=poor_faces(filled),
        remarks=(),
    )
    tang = tang_notes(job.blade, filled.history, job.can.inside)
    return replace(found, remarks=(*_remarks(job, found), *(Remark("bar", note) for note in tang)))


def _stages(job: Job, steel: float, density: float, read_at: float) -> tuple[Stage, ...]:
    history, stages = job.history, []
    grow = 1 + elongation(read_at)
    volume = steel
    for n, step in enumerate(history.steps):
        met, after = history.met[n], history.bars[n + 1]
        scale = history.bars[n].volume - met.volume
        volume -= scale
        left = volume if after.density < 1 else after.volume
        length, width, thickness = after.size
        stages.append(
            Stage(
                words=say("{}", step.words),
                size=after.size,
                hot=None if step.cold else (length * grow, width * grow, thickness * grow),
                grams=left * density,
                off=max((volume - left) * density, 0.0),
                folded=step.welds,
                scale_depth=history.scale[n],
                scale=scale * density,
            )
        )
        volume = left
    return tuple(stages)


def blade_volumes(job: Job) -> tuple[float, float]:
    """Return the volume (mm3) of the blade with its tang cut out but unground, and ground but not sharpened."""
    ground, grid = job.ground, face_grid(job.blade.outline, 8.0)
    cell = grid.coverage.astype(float) / grid.px_per_mm**2
    thick = sum(ground.stand(side, grid.along, grid.across, grid.distance) for side in SIDES)
    outline = job.blade.outline
    tang = outline.tang_area * float(ground.unground(np.array(-outline.tang_length / 2)))
    return float((cell * ground.unground(grid.along)).sum()) + tang, float((cell * thick).sum()) + tang


def _remarks(job: Job, found: Budget) -> Iterator[Remark]:
    yield from fill_remarks(job, found.fills, found.fill_density, found.usual_fill)
    first = job.forging[0] if job.forging else None
    if first and first.welds and first.heat:
        if first.heat.minutes < found.soak.least:
            words = say(
                "{} min at heat are short of the {} min that this can needs: some {} until its middle is hot ({} to "
                "{}, as the powder conducts), then a soak of {} (common practice, no published source).",
                *(f"{each:.0f}" for each in (first.heat.minutes, found.soak.least, found.soak.through)),
                *(f"{each:.0f}" for each in (found.soak.soonest, found.soak.latest, SOAK)),
            )
            yield Remark("step 1", words)
        if not WELD_HEAT[0] <= first.heat.temperature <= WELD_HEAT[1]:
            heats = celsius(first.heat.temperature), celsius(*WELD_HEAT)
            yield Remark("step 1", say("The weld at {} is outside the usual {}.", *heats))
    for number, step in enumerate(job.forging, start=1):
        if step.heat and not step.welds and not FORGING_HEAT[0] <= step.heat.temperature <= FORGING_HEAT[1]:
            heats = celsius(step.heat.temperature), celsius(*FORGING_HEAT)
            yield Remark(f"step {number}", say("Step {} at {} is outside the usual {}.", number, *heats))
    skin = found.carbon
    if skin.eaten:
        words = say(
            "In this heat scale eats through the can's wall on the faces, and takes the powder's steel from then on: a "
            "thicker wall is needed, or less time at heat, or steel that is kept from scale (foil, borax)."
        )
        yield Remark(f"step {skin.eaten}", words)
    elif skin.gone > THIN_WALL:
        words = say(
            "Scale takes {} of the can's wall on the faces. A fire rich in air takes twice as much, and a wall that is "
            "pressed thin between two heats is eaten sooner: it may come through to the powder's steel.",
            f"{skin.gone:.0%}",
        )
        yield Remark("bar", words)
    for end, spare in (("length", found.spare_length), ("width", found.spare_width)):
        if -0.05 < spare < (2 * found.margin if end == "length" else 1.0):
            words = say("The bar has only {} of {} beyond the {}.", mm(spare, form=".1f"), end, found.cut_out)
            yield Remark("bar", words)
