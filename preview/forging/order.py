"""Where each step of a changed forging came from: what belongs to a step goes with it when it is moved."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import TypeVar

_Step = TypeVar("_Step")


def came_from(
    before: Sequence[_Step], after: Sequence[_Step], kind: Callable[[_Step], Hashable]
) -> tuple[int | None, ...]:
    """Return for each step of ``after`` its place in ``before``; None for one that was not there.

    Steps that are alike belong together, then those of one ``kind``, whose sizes were changed; of several the one
    that stood nearest.

    Examples
    --------
    >>> came_from(["weld", "press 9", "mill"], ["weld", "mill", "press 7", "twist"], lambda step: step.split()[0])
    (0, 2, 1, None)
    """
    left = set(range(len(before)))
    found: dict[int, int] = {}
    for alike in (lambda one, other: one == other, lambda one, other: kind(one) == kind(other)):
        for place, step in enumerate(after):
            fit = [number for number in left if alike(before[number], step)] if place not in found else []
            if fit:
                found[place] = min(fit, key=lambda number: abs(number - place))
                left.remove(found[place])
    return tuple(found.get(place) for place in range(len(after)))
