"""What of a fill no powder can be, and what of it is not as the job says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from preview.base.units import Sentence, say
from preview.filling.fill import AGREES, Fill
from preview.forging.bar import LEAST_FILL, RANDOM_PACKING
from preview.job.job import Job
from preview.pattern.powder_kinds import UNKNOWN


@dataclass(frozen=True)
class Remark:
    """What does not fit together.

    Parameters
    ----------
    about
        Beside which line of the budget it belongs: a powder's name, ``fill density``, ``step 1`` and so on, or ``bar``.
    words
        What it is.
    """

    about: str
    words: Sentence


def fill_remarks(job: Job, fills: tuple[Fill, ...], density: float, usual: float | None) -> Iterator[Remark]:
    """Yield what does not fit together of a job's ``fills``.

    ``density`` is the fill density that they give, ``usual`` that of powders tapped as they usually are, or None.
    """
    given = job.can.fill_density
    weighed = None if job.forge is None else job.forge.settling
    for each in fills:
        if words := tap_words(each):
            yield Remark(each.powder, words)
    misfit = any(each.too_dense or each.too_loose for each in fills)
    if abs(density - given) > AGREES:
        words = say(
            "With these tap densities the can fills to {} of solid steel, not {} as is said: "
            "give the can that fill density, so that the picture is of this fill.", f"{density:.3f}", f"{given:.3f}",
        )  # fmt: skip
        yield Remark("fill density", words)
    elif weighed is not None:  # what scales say goes before what such powders usually do
        if not weighed.fills(job.can):
            words = say(
                "Your can was measured to be filled to {} ± {} of solid steel, and this one is set to {}: if it is "
                "filled alike, give it that fill density.",
                *(f"{each:.3f}" for each in (weighed.fill_density, weighed.fill_density_error, given)),
            )
            yield Remark("fill density", words)
    elif misfit and usual is not None and abs(usual - given) > AGREES:
        mend = "give the can that fill density, so that the picture is of a fill that can be had."
        if usual < LEAST_FILL:
            mend = "the pattern is too fine for this can, and has to be laid larger, or with fewer lines."
        words = say(
            "Tapped as they usually are, these powders fill the can to {} of solid steel, not {} as is said: {}",
            f"{usual:.3f}", f"{given:.3f}", mend,
        )  # fmt: skip
        yield Remark("fill density", words)


def tap_words(found: Fill) -> Sentence | None:
    """Return in words what is wrong with a powder's tap density; None where it is one that its kind has."""
    if found.too_dense:
        return _too_dense(found)
    return _too_loose(found) if found.too_loose else None


def _too_dense(found: Fill) -> Sentence:
    """Return in words that a powder cannot be as dense as it is said to be, or would have to be."""
    least, most = (f"{each:.2f}" for each in found.taps_to)
    packs = say("{} powder taps to {} to {}.", found.kind, least, most)
    if found.kind == UNKNOWN:
        packs = say("No powder reaches that: at random, spheres fill {} of the room, {}.", f"{RANDOM_PACKING:g}", most)
    is_so = "The tap density of the {} powder is given as {} g/cm³. {} Measure it again, or look at its kind."
    needed = (
        "The {} powder would have to be tapped to {} g/cm³. {} The dividers take too much room for this fill density."
    )
    return say(is_so if found.measured else needed, found.powder, f"{found.tap_density:.2f}", packs)


def _too_loose(found: Fill) -> Sentence:
    """Return in words that a powder settles under the rims of its rooms when it is tapped down."""
    is_so = (
        "The tap density of the {} powder is given as {} g/cm³. {} powder taps to {} to {}. "
        "Measure it again, or look at its kind."
    )
    weighed = (
        "The {} powder is weighed in for {} g/cm³. {} powder taps to {} to {}: tapped down it leaves its rooms open "
        "above, by {} of their height. With this fill density it is not to be tapped down."
    )
    low = f"{1 - found.tap_density / (sum(found.taps_to) / 2):.0%}"
    least, most = (f"{each:.2f}" for each in found.taps_to)
    parts = found.powder, f"{found.tap_density:.2f}", found.kind, least, most
    return say(is_so, *parts) if found.measured else say(weighed, *parts, low)
