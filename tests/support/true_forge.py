"""Made-up forges in which nothing is as it is meant, and metal flows by another law than the project's."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from unittest.mock import patch

import numpy as np

from preview.forge.readings import CAN_COLUMNS
from preview.forge.things import uncertain_things
from preview.forge.wander import Wander
from preview.forge.welding import CLINGING, ROOM_ERROR, SCALES_ERROR, SHELL_ERROR
from preview.job.calibration import SETTLING, Calibration
from preview.job.job import Job
from preview.pattern.powders import STEEL_DENSITY
from tests.support.another_law import AnotherPass
from tests.support.made_up import ANOTHER_BULGE, forge

DRAG = 0.6
"""Of what the other law was fitted with, at large spread: at the spread of real work metal bulges so much less."""


class MilderPass(AnotherPass):
    """One closing of the dies by the other law, its drag put right for real work.

    Lines on the face then lie 0.2 to 0.4 mm from where the project's law has them, and change otherwise with friction,
    spread and width. As it was fitted, the law is 1.2 mm off, and off finite elements by nearly as much.
    """

    def _rates(self, eta, zeta, strain):
        across, through = super()._rates(eta, zeta, strain)
        return DRAG * across, DRAG * through


@contextmanager
def another_law():
    """Let metal flow by the other law meanwhile."""
    with patch("preview.forging.steps.press.Pass", MilderPass):
        yield


@dataclass(frozen=True)
class TrueForge:
    """A forge as it really is, and the blade made in it.

    Parameters
    ----------
    job
        The job as it comes out: every uncertain thing drawn.
    wander, weights
        Of the hammer.
    """

    job: Job
    wander: Wander
    weights: np.ndarray

    @classmethod
    def drawn(cls, rng, job: Job) -> TrueForge:
        """Draw a forge from what is known of ``job`` before anything is measured."""
        known, settling = Calibration(), job.settling
        friction = rng.normal(known.friction, known.friction_error)
        while not 0 < friction < 1:
            friction = rng.normal(known.friction, known.friction_error)
        true = {name: rng.normal(getattr(settling, name), getattr(settling, f"{name}_error")) for name in SETTLING}
        true["scale_factor"] = max(true["scale_factor"], 0.0)
        settled = settling.model_copy(update=true)
        can = job.can.model_copy(update={"fill_density": true["fill_density"]})
        spread = rng.normal(known.spread_factor, known.spread_factor_error)
        forged = Calibration(spread_factor=spread, friction=friction, settling=settled)
        made = job.model_copy(update={"forge": forged, "can": can})
        for name in ("bevel", "edge_offset", "thickness", "mid_plane", "heel", "edge"):
            thing = {each.name: each for each in uncertain_things(made)}[name]
            made = thing.moved(rng.normal(0, thing.error))
        wander = Wander.of(job.hammer, job.unsure.hammer_length, rng)
        return cls(made, wander, rng.standard_normal(wander.count))

    def readings(self, rng) -> list[dict]:
        """Return what is read of test bars and of the can."""
        known, bulge = self.job.forge, (ANOTHER_BULGE[0] / DRAG, ANOTHER_BULGE[1] / DRAG)
        rows = forge(rng, known.spread_factor, known.friction, passes=4, law=MilderPass, bulge=bulge)
        return [*rows, dict(zip(CAN_COLUMNS, self.can(rng), strict=True))]

    def can(self, rng) -> list[float]:
        """Return what is weighed and measured of the can, by hand: density, shares, scale."""
        history = self.job.history
        length, width, height = self.job.can.inside
        powder = history.start.density * length * width * height / 1000 * STEEL_DENSITY
        welded = next(number for number, step in enumerate(history.steps) if step.welds)
        lost = sum(history.bars[n].volume - history.met[n].volume for n in range(welded + 1)) / 1000 * STEEL_DENSITY
        sizes = np.array(history.bars[welded + 1].size) + rng.normal(0, SHELL_ERROR, 3)
        weighed = powder + rng.normal(0, np.hypot(SCALES_ERROR, ROOM_ERROR * powder))
        return [weighed, *sizes, max(lost + rng.normal(0, np.hypot(2 * SCALES_ERROR, CLINGING * lost)), 0.1)]

    def origin(self, places: np.ndarray) -> np.ndarray:
        """Return where places (n, 2), mm, of the right face came from: along and across the can, mm."""
        ground, history = self.job.ground, self.job.history
        along, across = places.T
        x, y, z = ground.blade.blade_to_bar(along, across, ground.stand("right", along, across), ground.bar)
        x, y = self.wander.moved(-self.weights, x, y)
        return np.asarray(history.origin(np.stack([x, y, z], axis=1))[:, :2])

    def shifts(self, shown: Job, places: np.ndarray) -> np.ndarray:
        """Return how far (n, 2), mm, the grains that ``shown`` puts at ``places`` really lie from there."""
        ground = shown.ground
        along, across = places.T
        stand = ground.stand("right", along, across)
        bar = np.stack(ground.blade.blade_to_bar(along, across, stand, ground.bar), axis=1)
        grains = shown.history.origin(bar)[:, :2]
        with another_law():
            found, reach = places.copy(), 0.05
            for _ in range(4):
                here = self.origin(found)
                steps = [(self.origin(found + step) - here) / reach for step in reach * np.eye(2)]
                found = found + np.linalg.solve(np.stack(steps, axis=-1), (grains - here)[..., None])[..., 0]
        return found - places
