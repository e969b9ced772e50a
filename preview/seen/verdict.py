"""Whether a photograph is taken for one of this bar or blade, and what is said where it is not.

The bounds were set on made-up photographs, and tried on others: of 78 right ones taken the pattern explained 0.85 at
least, and evidence was 35 or more; of 46 wrong or doubtful ones those that no other way up fitted better had 0.35 and
64 at most, but for four that nothing can tell: patterns that are their own mirror image, or run on along the bar; see
`tests/benchmarks/photographs.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.units import Sentence, mm, say
from preview.seen.fitting import Fit

LEAST_EXPLAINED = 0.6
"""Share of what uneven light leaves that a right photograph's pattern explains at least."""

LEAST_EVIDENCE = 20.0
"""Nats by which the pattern has to be likelier than none."""

LEAST_CONTRAST = 0.5
"""Logarithm of bright over dark under which no pattern is seen."""

AHEAD = 10.0
"""Nats by which another way up is likelier before it is asked about; closer than this both look alike."""

REPEAT_AHEAD, REPEAT_ERROR = 10.0, 4.0
"""Nats by which a place has to be likelier than one that lies a repeat of the pattern off, and by how many mm (standard
deviation) the whole pattern may lie off at all: heel and tip are unsure by several mm (common practice, no published
source)."""

WORST_MARK = 3.3
"""Standard deviations by which a mark may lie from where all the rest has it: one good mark in 200 lies further."""

FLIPS = {
    "mirrored": "heel and tip are swapped, as in a mirror: is it the other face, or is the picture mirrored?",
    "upside down": "edge and spine are swapped, as in a mirror: is the picture mirrored?",
    "turned": "it lies turned half round: give the corners from the one over the heel's spine on, or turn the picture.",
}


@dataclass(frozen=True)
class Verdict:
    """What is said of a photograph.

    Parameters
    ----------
    taken
        Whether the preview may be put right by it.
    words
        Why, or what to heed.
    """

    taken: bool
    words: tuple[Sentence, ...]


def unread(fit: Fit) -> Sentence | None:
    """Say why nothing is read from a photograph; None where the pattern is seen."""
    if fit.contrast < LEAST_CONTRAST:
        return say(
            "No pattern of this work is seen on it. Is it another piece, not etched yet, or out of focus? "
            "A light etch, an even light and a sharp picture are needed."
        )
    if fit.explained < LEAST_EXPLAINED or fit.evidence < LEAST_EVIDENCE:
        told = (
            f"The pattern that is expected explains {max(fit.explained, 0):.0%} of what is seen; at least "
            f"{LEAST_EXPLAINED:.0%} is needed. Is it another piece, or the wrong face?"
        )
        return say("{}", told)
    return None


def judge(
    fit: Fit,
    own: float,
    others: dict[str, float],
    repeats: dict[float, float],
    worst: tuple[int, float, float] | None = None,
    *,
    alone: bool = False,
) -> Verdict:
    """Say whether a photograph is taken.

    Parameters
    ----------
    fit
        The whole fit.
    own
        Evidence of the quick fit the right way up.
    others
        The same for the other ways up, by the names of `FLIPS`.
    repeats
        The same with the pattern a repeat off, by how far that is, mm.
    worst
        Number of the mark that agrees least with all the rest, how far (mm) that has it elsewhere, and in standard
        deviations; None without marks.
    alone
        Whether the marks do it alone, since nothing is read from the photograph itself.
    """
    best = max(others, key=lambda name: others[name])
    if others[best] > own + AHEAD and others[best] > LEAST_EVIDENCE:
        return Verdict(False, (say("The pattern fits better if {}", FLIPS[best]),))
    why_not = None if alone else unread(fit)
    if why_not is not None:
        return Verdict(False, (why_not,))
    if worst is not None and worst[2] > WORST_MARK:
        words = "Mark {} lies {} from where all the rest has it: is it the same point of the pattern on both pictures?"
        return Verdict(False, (say(words, str(worst[0]), mm(worst[1], form=".1f")),))
    repeats = {far: value - (far / REPEAT_ERROR) ** 2 / 2 for far, value in repeats.items()}
    off = max(repeats, key=lambda far: repeats[far], default=0.0)
    if repeats and repeats[off] > own - REPEAT_AHEAD:
        words = (
            "The pattern repeats every {} and fits as well that much further on, so it cannot be told which repeat is "
            "which. Show one point of the pattern on both pictures (a mark)."
        )
        return Verdict(False, (say(words, mm(abs(off), form=".0f")),))
    words_too = [
        say("It looks alike {}; the way it lies was taken as said.", name)
        for name in others
        if others[name] > own - AHEAD
    ]
    if alone:
        words_too = [say("Nothing of the pattern is read from the photograph itself: the marks alone say how it lies.")]
    return Verdict(True, tuple(words_too))
