"""The can: larger than the blade needs, or filled as no powder fills it."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import Any

from preview.advice.advice import Advice, changed, told, weight
from preview.base.errors import JobError, PreviewError
from preview.base.units import Sentence, mm, say
from preview.filling.budget import USUAL_MARGIN
from preview.filling.fill import tapped_fill
from preview.forging.bar import LEAST_FILL, USUAL_FILL, Can
from preview.forging.can_size import can_size
from preview.job.checks import check_job
from preview.job.file import unchecked_job
from preview.job.job import Job
from preview.pattern.pattern import box_of
from preview.pattern.powder_kinds import POWDER_KINDS

SIDE_MARGIN = 3.0
"""Bar beyond the blade at each side, mm, where it is not thick; of a thick one half the thickness, since the flow is
not well known there."""

WORTH_IT = 0.1
"""Share of the can's steel that a smaller can has to save to be spoken of."""

MISFILLED = 0.02
"""How far the fill density may lie off what the measured tap densities give."""


def too_large(job: Job) -> Iterator[Advice]:
    """Yield what a shorter can, and a narrower one, would save."""
    bar = job.history.bar
    for size, taken, word in (
        ("length", _whole_length(job), "longer"),
        ("width", job.blade.outline.height, "wider"),
    ):
        value = enough(job, size)
        smaller = None if value is None else changed(job, "can", **{size: value})
        if value is None or smaller is None:
            continue
        saved = weight(job.can) - weight(smaller.can)
        if saved < WORTH_IT * weight(job.can):
            continue
        closer = ""
        if _axis(job, size) is not None and job.pattern.size is None:
            closer = f" The picture fills it, and is laid {1 - value / getattr(job.can, size):.0%} closer."
        yield Advice(
            say(
                "The bar comes out {} {} than the blade{}, {} of steel for nothing: a can {} {} inside would do.{}",
                mm(getattr(bar, size) - taken, form=".0f"), word,
                " with its tang" if size == "length" and job.blade.outline.tang_length else "", told(saved),
                mm(value, form="g"), _how(size), closer,
            ),
            saved,
            say("Make the can {} {}", mm(value, form="g"), _how(size)),
            smaller,
        )  # fmt: skip


def short_for_tang(job: Job) -> Iterator[Advice]:
    """Yield the longer can that a tang needs which reaches beyond the bar's end."""
    over = _whole_length(job) - job.history.bar.length
    if not job.blade.outline.tang_length or over <= 0:
        return
    value = enough(job, "length")
    longer = None if value is None else changed(job, "can", length=value)
    if value is None or longer is None:
        return
    yield Advice(
        say("The bar is {} too short for the blade with its tang: a can {} long inside is enough, with {} more of "
            "steel.",
            mm(over, form=".1f"), mm(value, form="g"), told(weight(longer.can) - weight(job.can))),
        weight(job.can), say("Make the can {} long", mm(value, form="g")), longer,
    )  # fmt: skip


def _whole_length(job: Job) -> float:
    """Return the length of the blade with its tang, mm."""
    return job.blade.outline.length + job.blade.outline.tang_length


def enough(job: Job, size: str) -> float | None:
    """Return the can's inside ``length`` or ``width`` (whole mm) that is enough for the blade with its margins.

    The tang is part of it where the blade lies in the bar's middle with it; where the heel's place is given, that is.
    """
    blade, bar = job.blade, job.history.bar
    if size == "length":
        at, margin = blade.placement.heel, USUAL_MARGIN
        taken = _whole_length(job) + 2 * abs(blade.placement.off[0]) if at is None else blade.outline.length
    else:
        taken, at, margin = blade.outline.height, blade.placement.edge, max(SIDE_MARGIN, bar.thickness / 2)
        taken += 2 * abs(blade.placement.off[1]) if at is None else 0.0
    wanted = taken + (2 * margin if at is None else at + margin)
    least = can_size(job.can, job.history.steps, size, size, wanted)
    return None if least is None else float(ceil(max(least, _room_of_picture(job, size)) - 1e-6))


def too_small(values: dict[str, Any]) -> tuple[Advice, ...]:
    """Return the larger can that a job needs whose blade reaches beyond the bar, where that is all that is wrong.

    ``values`` are the job's, as for `preview.job.file.make_job`, which cannot make it.
    """
    try:
        job = unchecked_job(values)
        bar = job.history.bar
    except PreviewError:
        return ()
    blade, sized, short, made = job.blade, job, [], []
    for size, taken, at in (  # the width first: a wider can is drawn out longer
        ("width", blade.outline.height, blade.placement.edge),
        ("length", blade.outline.length, blade.placement.heel),
    ):
        over = taken + (at or 0) - getattr(bar, size)
        value = enough(sized, size) if over > 0 else None
        if value is not None:
            sized = sized.model_copy(update={"can": sized.can.model_copy(update={size: value})})
            short.append(say("{} too {}", mm(over, form=".1f"), "short" if size == "length" else "narrow"))
            made.append(say("{} {}", mm(value, form="g"), _how(size)))
    try:
        check_job(sized)
    except JobError:
        return ()
    if not made:
        return ()
    more = weight(sized.can) - weight(job.can)
    if more > weight(job.can):  # no can is mended by another one of more than twice the steel
        words = say(
            "The bar comes out {} for the blade, and a can with enough steel would weigh more than twice as much: one "
            "number looks like a slip. The can is {} inside, length, width and height.",
            _joined(short), mm(*job.can.inside, form="g"),
        )  # fmt: skip
        return (Advice(words, weight(job.can)),)
    words = say(
        "The bar comes out {} for the blade: a can {} inside is enough, with {} more of steel.",
        _joined(short), _joined(made), told(more),
    )  # fmt: skip
    return (Advice(words, weight(job.can), say("Make the can {}", _joined(made)), sized),)


def _joined(parts: list[Sentence]) -> Sentence:
    return say(" and ".join("{}" for _ in parts), *parts)


def _how(size: str) -> str:
    return "long" if size == "length" else "wide"


def _axis(job: Job, size: str) -> int | None:
    """Return which side of the picture, 0 its width, runs along that size of the can; None where neither does."""
    along = ("length", "width").index(size)
    axes = job.pattern.direction.axes
    return axes.index(along) if along in axes else None


def _room_of_picture(job: Job, size: str) -> float:
    """Return how large the can has to be there (mm) for a placed picture to stay inside."""
    axis = _axis(job, size)
    if axis is None or job.pattern.size is None:
        return 0.0
    return box_of(job.pattern.size, job.pattern.turn)[axis] + 2 * abs(job.pattern.at[axis])


def misfilled(job: Job) -> Iterator[Advice]:
    """Yield what the can is filled to, where the fill density is none that the powders can have.

    What room the dividers take is asked for only where it has to be: the budget tells what they leave.
    """
    given, measured = job.can.fill_density, any(powder.tap_density for powder in job.powders)
    densest = max(POWDER_KINDS[powder.kind][1] for powder in job.powders)
    if measured:
        found = tapped_fill(job)
        if found is None or abs(found - given) <= MISFILLED:
            return
        value = round(found, 2)
        words = say("Tapped as you measured, the can fills to {} of solid steel, and the picture is of {}.",
                    f"{found:.2f}", f"{given:.2f}")  # fmt: skip
    elif given > densest:
        value = round(tapped_fill(job) or USUAL_FILL, 2)
        words = say("These powders do not tap to {} of solid steel: the can settles more than the picture says.",
                    f"{given:.2f}")  # fmt: skip
    else:
        return
    filled = changed(job, "can", fill_density=value) if value >= LEAST_FILL else None
    cost = abs(given - value) * weight(Can(length=job.can.length, width=job.can.width, height=job.can.height,
                                           wall=0, fill_density=1))  # fmt: skip
    yield Advice(words, cost, say("Reckon with a fill of {}", f"{value:g}") if filled else None, filled)
