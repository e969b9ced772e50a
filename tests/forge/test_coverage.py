"""Whether bands hold as often as they say, where every uncertain thing varies and metal flows by another law."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from preview.forge.bands import shifts, stations
from preview.forge.draws import draw_weights
from preview.forge.measurements import learn
from preview.forge.uncertain import Moves
from preview.forge.wander import Wander
from preview.forging.history import History
from tests.support.true_forge import TrueForge

TABLES = {
    "can": {"length": 80, "width": 34, "height": 46, "wall": 2.5},
    "forging": [
        {"step": "consolidate", "heat": {"temperature": 1180, "minutes": 45}},
        {"step": "press", "height": 6, "bite": 20, "repeat": 6, "heat": {"temperature": 1150, "minutes": 50}},
        {"step": "trim", "faces": 1.0, "sides": 5.0, "ends": 9},
    ],
    "blade": {
        "thickness": 3.0,
        "outline": {"shape": "drop point", "length": 170, "height": 42},
    },
    "grind": {"edge": 0.3, "right": {"height": 30}},
}
LEVELS = {0.80: (0.75, 0.85), 0.95: (0.92, 0.98)}


@pytest.fixture
def few_points(monkeypatch):
    """Integrate the flow in longer steps of one sweep, and directly: no table is worth its while for three points."""
    monkeypatch.setattr("preview.forging.press_flow.STRAIN_STEP", 0.3)
    monkeypatch.setattr("preview.forging.press_flow.SWEEPS_END", 1e16)

    monkeypatch.setattr("preview.pipeline.pull_back", Direct)


@dataclass(frozen=True)
class Direct:
    """A pull-back without a table; wherever it is asked for there is metal."""

    history: History

    def __call__(self, along, across, through):
        points = np.stack(np.broadcast_arrays(along, across, through), axis=-1)
        return (*np.moveaxis(self.history.origin(points), -1, 0), np.asarray(True))


def drawn_shifts(job, places, draws=2000):
    wander = Wander.of(job.hammer, job.unsure.hammer_length, np.random.default_rng(1))
    moves = Moves.of(job, wander)
    weights = np.stack(list(draw_weights(job, draws, moves.names).values()), axis=1)
    return shifts(moves, places, weights)


def coverage(inside: np.ndarray) -> None:
    """Check how often true shifts lay inside (forges, levels, places, ways): at each place, and over all of them.

    At a place as many forges as there are leave a scatter; one standard deviation of it is let pass there.
    """
    for level, share, (low, high) in zip(LEVELS, inside.mean(axis=0), LEVELS.values(), strict=True):
        by_chance = np.sqrt(level * (1 - level) / len(inside))
        assert (share >= low - by_chance).all(), share
        assert (share <= high + by_chance).all(), share
        assert low <= share.mean() <= high


def held(true: np.ndarray, moved: np.ndarray) -> np.ndarray:
    """Return for each level whether shifts (places, 2) lie within what draws (draws, places, 2) say."""
    ends = [np.quantile(moved, [(1 - level) / 2, (1 + level) / 2], axis=0) for level in LEVELS]
    return np.array([(low <= true) & (true <= high) for low, high in ends])


@pytest.mark.slow
@pytest.mark.usefixtures("few_points")
def test_bands_hold_before_anything_is_measured(make):
    """250 forges: at heel, middle and tip, along and across, as often as they say."""
    rng = np.random.default_rng(11)
    job = make(**TABLES)
    places = stations(job)
    moved = drawn_shifts(job, places)
    coverage(np.array([held(TrueForge.drawn(rng, job).shifts(job, places), moved) for _ in range(250)]))


@pytest.mark.slow
@pytest.mark.usefixtures("few_points")
def test_bands_hold_after_test_bars_and_the_can_were_measured(make):
    """90 forges, each measured, its calibration taken, its bands drawn anew."""
    rng = np.random.default_rng(12)
    job = make(**TABLES)
    inside = []
    for _ in range(90):
        true = TrueForge.drawn(rng, job)
        forge = learn(job, readings=true.readings(rng)).calibration
        can = job.can.model_copy(update={"fill_density": forge.settling.fill_density})  # as its words have it
        known = job.model_copy(update={"forge": forge, "can": can})
        places = stations(known)
        inside.append(held(true.shifts(known, places), drawn_shifts(known, places)))
    coverage(np.array(inside))
