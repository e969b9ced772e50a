"""What a client is told: what to expect, how the blade is made, what the pictures leave out, care and caution."""

from __future__ import annotations

from preview.base.units import Units
from preview.face.wear_numbers import WearNumbers
from preview.forge.draws import Likely
from preview.job.job import Job
from preview.pipeline import AfterYears, after_years
from preview.sheets.cut_off_words import READ_AT, cut_off_words
from preview.sheets.mirror_words import mirror_words
from preview.sheets.rings import by_the_tip, ring_words
from preview.sheets.seam_words import seam_words
from preview.sheets.steel_words import kept_together, steel_words
from preview.sheets.wear_words import years_briefly, years_words

YEARS = 3.0
"""How much of the edge (mm) a client is told will go, our own choice."""

CARE = (
    "Carbon steel rusts where it stays wet: wipe it dry after use, oil it lightly before it is put away, and keep it "
    "out of the dishwasher. The dark and bright of the etch soften with years of use and can be etched anew."
)
"""Common practice, no published source."""

CAUTION = "This is a sharp tool: cut away from yourself, store it sheathed or in a block, and keep it from children."

BY_HAND = "The steel is pressed and ground by hand and eye, and no two blades flow alike"
KIND = "the kind of pattern you will get, not its drawing"

LIKELY = (
    f"{BY_HAND}. The large picture is the middle of what may come out, and tidier than most: your blade will look more "
    f"like one of the six looks than like it. Take them as {KIND}."
)

MISSING = "Some of the drawing may be missing, now or later. Do not add these (·) up: they overlap."


def client_words(job: Job, likely: Likely, worn: WearNumbers, story: str, units: Units) -> tuple[tuple[str, str], ...]:
    """Return what a client is told, each head with its text: what to expect, the story, the steel, care, caution."""
    expect = (LIKELY, ring_words(likely, units), *may_miss(job, likely, worn, units))
    return (
        ("What to expect", kept_together("\n".join(expect))),
        *((("The pattern", story),) if story else ()),
        ("Steel and finish", " ".join(filter(None, (steel_words(job, units), mirror_words(job))))),
        ("What the pictures do not show", left_out_words(job, units)),
        ("Care", kept_together(f"{CARE} {years_words(worn, units)}")),
        ("Caution", CAUTION),
    )


def may_miss(job: Job, likely: Likely, worn: WearNumbers, units: Units) -> tuple[str, ...]:
    """Return what may be missing of the pattern, a line each: by the outline, by the tip, by years of sharpening."""
    each = cut_off_words(job, units), by_the_tip(job, likely, units), years_briefly(worn, units)
    told = [line for line in each if line]
    head = (MISSING,) if len(told) > 1 else ()
    return (*head, *(f"{'· ' if head else ''}{line}" for line in told))


def told_of_years(job: Job) -> WearNumbers:
    """Return what a client is told that sharpening will take off the blade."""
    return client_years(job).numbers


def client_years(job: Job) -> AfterYears:
    """Return the blade after the years that a client is told of."""
    return after_years(job, min(YEARS, job.blade.outline.height / 4), px_per_mm=READ_AT)


def left_out_words(job: Job, units: Units) -> str:
    """Return all that a finished blade has and its pictures lack."""
    handled = job.blade.outline.tang_length and job.blade.handle != "none"
    parts = (
        seam_words(job, units),
        "the scratches and marks of hands and stones, which are each blade's own",
        "the light of your own room, in which bright and dark change as the blade turns",
        "the handle's own form and material, which are yet to be chosen: a plain shape stands for it"
        if handled
        else "",
    )
    return kept_together(
        f"The pictures are computed, none is a photograph. They leave out {'; '.join(filter(None, parts))}."
    )
