"""Whether the parts of a job fit together."""

from __future__ import annotations

import contextlib
from math import ceil, copysign

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import Fault, FileError, JobError
from preview.base.files import leaves_folder
from preview.base.shapes import FLAT
from preview.base.units import mm, say
from preview.base.words import brief
from preview.blade.blade import Blade
from preview.blade.ground import Ground
from preview.forging.bar import LARGEST_CAN, Bar
from preview.forging.can_size import can_size
from preview.job.fingerprint import PICTURE, otherwise
from preview.job.job import Job
from preview.pattern.drawn import names_of, read_painted
from preview.pattern.pattern import VOID, Pattern, box_of, colour_problem
from preview.pattern.raster import no_room

MOST_CHANGED = 3
"""Changed keys that are named where a photograph is of another laying or forging."""

SAME_BAR = 0.5
"""How far (mm) a bar's length or width may be off that of the one whose photograph is referred to."""


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
    if not faults:  # a drawing is read by the powders and the can
        faults += _drawn_faults(job)
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
                Fault(
                    f"{where}.name", f"has to be unlike every other powder's and {VOID!r}; given {brief(powder.name)}"
                )
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
    for where, name in job.named_files.items():
        if leaves_folder(name):
            faults.append(Fault(where, f"has to be a path inside its own folder; given {brief(name)}"))
    if pattern.surround is not None and pattern.surround not in names:
        faults.append(
            Fault("pattern.surround", f"has to name a powder ({', '.join(names)}); given {brief(pattern.surround)}")
        )
    if pattern.transparent not in (*names, VOID):
        known = ", ".join((*names, VOID))
        faults.append(Fault("pattern.transparent", f"has to be one of {known}; given {brief(pattern.transparent)}"))
    faults += _place_faults(pattern, job.pattern_area)
    return faults


def own_size(job: Job) -> tuple[float, float] | None:
    """Return the size (mm) that a pattern drawn as shapes has of its own; None for a picture of pixels, which has none.

    Raises
    ------
    FileError
        If the drawing cannot be read.
    """
    if job.picture_path.suffix.lower() not in FLAT:
        return None
    width, height = read_painted(job.picture_path, names_of(job.powders), job.pattern_area).size
    return round(width, 3), round(height, 3)  # units of length on their way to mm leave some dust


def _drawn_faults(job: Job) -> list[Fault]:
    """Return whether a drawing that has its own size is too large for the can; where it is not there yet, it is not."""
    own = None
    if job.pattern.size is None:
        with contextlib.suppress(FileError):  # told where the picture is needed
            own = own_size(job)
    fault = no_room(own, job.pattern_area) if own else None
    return [Fault("pattern.picture", fault)] if fault else []


def _place_faults(pattern: Pattern, area: tuple[float, float]) -> list[Fault]:
    faults = []
    if pattern.size is None:
        if pattern.placed:
            faults.append(Fault("pattern.size", "is needed for a picture that is moved or turned"))
        return faults
    turned = ", turned," if pattern.turn else ""
    box = box_of(pattern.size, pattern.turn)
    for word, size, room, off in zip(("wide", "high"), box, area, pattern.at, strict=True):
        if size > room + 1e-6:
            problem = "the picture{} is {} {}, and the can's inside has only {} there"
            faults.append(Fault("pattern.size", say(problem, turned, mm(size, form="g"), word, mm(room, form="g"))))
        elif abs(off) > (room - size) / 2 + 1e-6:
            way = "rightwards" if word == "wide" else "upwards"
            problem = "{} is as far {} as the picture can be moved inside the can; given {}"
            most = copysign((room - size) / 2, off)
            faults.append(Fault("pattern.at", say(problem, mm(most, form=".4g"), way, mm(off, form="g"))))
    return faults


LARGER = 2.0
"""How many times as large a can is still proposed (our own choice): beyond it is the forging that is at fault."""


def _seen_faults(job: Job, bar: Bar) -> list[Fault]:
    """Return whether a photograph that is referred to is of another laying or forging, or of another bar."""
    seen = job.found
    if seen is None:
        return []
    leave_out = f'or take the line seen = "{job.seen}" out of the work\'s file'
    changed = otherwise(seen.forged, job) if seen.forged else ()
    if changed:
        keys = "; ".join(_changed(*each) for each in changed[:MOST_CHANGED])
        more = f"; and {len(changed) - MOST_CHANGED} more" if len(changed) > MOST_CHANGED else ""
        problem = "the photograph is of a bar that was laid or forged otherwise: {}. Set it back, match anew, {}"
        return [Fault("seen", say(problem, keys + more, leave_out))]
    if max(abs(bar.length - seen.bar[0]), abs(bar.width - seen.bar[1])) <= SAME_BAR:
        return []
    problem = "the photograph was laid on a bar of {}, and this one is {}; match it anew, {}"
    sizes = mm(*seen.bar, form=".1f"), mm(bar.length, bar.width, form=".1f")
    return [Fault("seen", say(problem, *sizes, leave_out))]


def _changed(key: str, was: str, now: str) -> str:
    """Return a key with what it was when the bar was photographed, and is now, in the numbers of the work's file."""
    if key == PICTURE:
        return f"{key} shows something else now"
    return f"{key} was {was or 'not set'}, and is {now or 'not set'} now"


def _blade_faults(job: Job, bar: Bar) -> list[Fault]:
    faults = []
    blade = job.blade
    outline, placement = blade.outline, blade.placement
    faults += _seen_faults(job, bar)
    for key, start, size, room, end, side in (
        ("heel", placement.heel, outline.length, bar.length, "length", "length"),
        ("edge", placement.edge, outline.height, bar.width, "height", "width"),
    ):
        if size > room + 1e-9:
            word = "long" if side == "length" else "wide"
            problem = "has to fit the bar, which is {} {} after the last step ({}); given {}"
            told = [mm(room), word, mm(*bar.size, form=".1f"), mm(size, form="g")]
            # a bar that was photographed is forged: no can helps it
            needed = None if job.found else can_size(job.can, job.history.steps, side, side, size)
            if needed is not None and needed <= min(LARGEST_CAN, LARGER * getattr(job.can, side)):
                problem += ". A can at least {} {} inside would do, the rest as it is"
                told += [mm(ceil(needed)), word]
            faults.append(Fault(f"blade.outline.{end}", say(problem, *told)))
        elif start is not None and start + size > room + 1e-9:
            problem = "at most {} is needed for the blade to stay inside the bar; given {}"
            faults.append(Fault(f"blade.placement.{key}", say(problem, mm(room - size), mm(start, form="g"))))
    if not faults:
        faults += _off_faults(blade, bar)
    thickness = blade.thickness or bar.thickness
    if thickness + 2 * abs(placement.mid_plane) > bar.thickness + 1e-9:
        problem = "has to fit the bar, which is {} thick after the last step; given {}"
        sizes = [mm(bar.thickness), mm(thickness, form="g")]
        if placement.mid_plane:
            problem += " with its middle {} off the bar's"
            sizes.append(mm(placement.mid_plane, form="g"))
        faults.append(Fault("blade.thickness", say(problem, *sizes)))
    if blade.tip_thickness is not None and blade.tip_thickness > thickness:
        problem = "has to be at most the blade's thickness of {}; given {}"
        faults.append(Fault("blade.tip_thickness", say(problem, mm(thickness), mm(blade.tip_thickness, form="g"))))
    faults += _grind_faults(job, bar)
    return faults


def _off_faults(blade: Blade, bar: Bar) -> list[Fault]:
    placement, faults = blade.placement, []
    for given, off, (least, most), end in zip(
        (placement.heel, placement.edge), placement.off, blade.room(bar), ("heel", "edge"), strict=True
    ):
        if given is not None and off:
            words = "has to be 0 where the place of the {} is given; given {}"
            faults.append(Fault("blade.placement.off", say(words, end, mm(off, form="g"))))
        elif given is None and not least - 1e-9 <= off <= most + 1e-9:
            words = "from {} is needed for the blade to stay inside the bar; given {}"
            room = mm(least, most, form=".4g", between=" to ")
            faults.append(Fault("blade.placement.off", say(words, room, mm(off, form="g"))))
    return faults


def _grind_faults(job: Job, bar: Bar) -> list[Fault]:
    faults = []
    outline, ground = job.blade.outline, Ground(job.blade, job.grind, bar)
    given = ground.heel_flat + job.grind.plunge
    if given >= outline.length:
        problem = "with the plunge it has to leave some of the blade's {} to grind; given {}"
        where = "blade.outline.ricasso" if outline.ricasso_length else "grind.heel_flat"
        faults.append(Fault(where, say(problem, mm(outline.length, form="g"), mm(given, form="g"))))
    if job.grind.single and job.grind.edge_offset:
        problem = "has to be 0 at a single bevel, whose edge lies on the face that is left flat; given {}"
        faults.append(Fault("grind.edge_offset", say(problem, mm(job.grind.edge_offset, form="g"))))
    for side, key in job.grind.sides.items():
        where, lines = f"grind.{key}", ground.bevel(side, stations(job))
        too_high = job.grind.bevel(side).height_fault(outline.height)
        if too_high:
            faults.append(Fault(f"{where}.height", too_high))
        too_thick = job.grind.edge_fault(lines)
        fault = lines.fault() if too_thick is None else None
        faults += [each for each in (too_thick and too_thick.under("grind"), fault and fault.under(where)) if each]
    return list(dict.fromkeys(faults))


def stations(job: Job) -> Array:
    """Return the places along the blade (mm) at which it is looked whether the grind is possible."""
    return np.linspace(0, job.blade.outline.length, 64)
