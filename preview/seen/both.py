"""Two photographs, one of each face of the same bar or blade, put together: one steel, seen by two cameras."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import RequestError
from preview.base.units import mm, say
from preview.seen.learning import kept_as_seen, learnt_of
from preview.seen.match import Match

APART = 2.0
"""By how much two photographs may differ, taken over the face, in their own standard deviations."""


def match_both(one: Match, other: Match) -> tuple[Match, Match]:
    """Return two matches of one job, each a face, as one: of the same steel, each with its own camera.

    What the forge left open, shifts and the smooth rest are the same metal on both faces. Each match tells of them what
    its photograph adds to what was known before; both add up (the product of two normal densities over one prior).

    Raises
    ------
    RequestError
        If they are not one of each face, both bar or both blade; if one is not taken; or if they disagree.
    """
    if one.of != other.of or {one.side, other.side} != {"right", "left"} or one.job != other.job:
        raise RequestError.at("photo", "two have to show both faces of the same work, a right and a left one")
    for found in (one, other):
        if not found.verdict.taken:
            words = say("of the {} face: {}", found.side, found.verdict.words[0])
            raise RequestError.at("photo", words)
    _check_agreement(one, other)
    precision = (one if one.ways.marked is not None else other).ways.beforehand()[np.ix_(one.of_steel, one.of_steel)]
    told = np.zeros(len(precision))
    for found in (one, other):
        steel = found.of_steel
        own = np.linalg.inv(found.fit.covariance[np.ix_(steel, steel)])
        precision = precision + own - found.ways.beforehand()[np.ix_(steel, steel)]
        told += own @ found.fit.weights[steel]
    covariance = np.linalg.inv(precision)
    first = _with_steel(one, covariance @ told, covariance)
    return first, replace(_with_steel(other, covariance @ told, covariance), seen=first.seen)


def _check_agreement(one: Match, other: Match) -> None:
    """Refuse two matches that lie further apart than their bands let them."""
    on = one.face.on_face & other.face.on_face
    apart = np.hypot(*(one.field - other.field))[on]
    sd = np.sqrt((one.error**2 + other.error**2).sum(axis=0))[on]
    if np.sqrt(np.mean((apart / sd) ** 2)) > APART:
        words = "the two disagree: by them the pattern lies {} apart, {} would be usual; is it the same work, on both?"
        sizes = (mm(float(np.sqrt(np.mean(each**2))), form=".1f") for each in (apart, sd))
        raise RequestError.at("photo", say(words, *sizes))


def _with_steel(found: Match, weights: Array, covariance: Array) -> Match:
    """Return a match whose steel lies otherwise; its camera follows as far as the two go together."""
    fit, steel = found.fit, found.of_steel
    own = fit.covariance[np.ix_(steel, steel)]
    follows = np.linalg.solve(own, fit.covariance[steel]).T
    moved = fit.weights + follows @ (weights - fit.weights[steel])
    fit = replace(fit, weights=moved, covariance=fit.covariance + follows @ (covariance - own) @ follows.T)
    of_steel = np.where(steel, moved, 0)
    field = found.ways.field(of_steel)
    seen, error = kept_as_seen(found.job, found.of, found.face, found.ways, of_steel, fit.covariance)
    learnt = learnt_of(found.job, found.of, found.ways, fit, field, found.face)
    return replace(found, fit=fit, field=field, error=error, seen=seen, learnt=learnt)
