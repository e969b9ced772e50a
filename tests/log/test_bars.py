"""What finished bars teach of the spread, on bars of forges whose truth is known, and where they teach nothing."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from preview.forge.fitting import PASS_SPREAD_ERROR
from preview.job.calibration import PRIOR_SPREAD_ERROR, Calibration
from preview.job.file import load_job
from preview.log.bars import taught
from preview.log.log import Blade
from preview.log.over_blades import forge_over
from preview.log.record import Record
from tests.conftest import DEMOS

JOB = load_job(DEMOS / "running_wave.toml")


def blade(bar, learnt=None, job=JOB):
    return Blade(Path(), Record(name="k", day=date(2026, 3, 21), bar=bar), job, learnt)


def forged(spread, job=JOB, **settling):
    return job.model_copy(update={"forge": Calibration(spread_factor=spread, **settling)}).history.bar.size


@pytest.mark.parametrize("truth", [0.8, 1.0, 1.3])
def test_bars_of_one_forge_find_its_spread(truth):
    """One bar half of what it tells beyond the prior, five nearly all of it."""
    one = taught(blade(forged(truth)))
    assert abs(one.spread_factor - truth) <= 0.25 * abs(truth - 1) + 0.001
    assert one.spread_factor_error < 0.7 * PRIOR_SPREAD_ERROR
    assert one.rows == 1
    five = forge_over([one] * 5)
    assert five.spread_factor == pytest.approx(truth, abs=0.1 * abs(truth - 1) + 0.001)


def test_it_is_as_sure_as_it_says():
    """200 made-up forges whose passes spread unlike each other and whose cans settle otherwise than reckoned."""
    rng, off = np.random.default_rng(2), []
    job = load_job(DEMOS / "plain_start.toml")
    settling = job.settling
    for _ in range(200):
        own = rng.normal(1, PRIOR_SPREAD_ERROR)
        can = job.can.model_copy(update={"fill_density": job.can.fill_density + rng.normal(0, 0.03)})
        changed = {name: rng.normal(0, getattr(settling, f"{name}_error")) for name in ("along", "across")}
        scaled = max(rng.normal(1, settling.scale_factor_error), 0.1)
        known = settling.model_copy(update={**changed, "scale_factor": scaled, "fill_density": can.fill_density})
        scatter = rng.normal(0, PASS_SPREAD_ERROR / np.sqrt(sum(getattr(step, "repeat", 0) for step in job.forging)))
        bar = forged(max(own + scatter, 0.3), job.model_copy(update={"can": can}), settling=known)
        told = taught(blade(tuple(np.array(bar) + rng.normal(0, [5.0, 1.0, 0.1])), job=job))
        off.append((told.spread_factor - own) / told.spread_factor_error)
    assert np.mean(np.abs(off) < 1.2816) == pytest.approx(0.8, abs=0.09)


def test_where_a_bar_teaches_nothing_more():
    measured = Calibration(rows=3, spread_factor=1.1)
    assert taught(blade(forged(1.3), measured)) is measured
    assert taught(blade(None)) is None
    own = tuple(
        step.model_copy(update={"spread": 0.3, "bite": None}) if step.step == "press" else step for step in JOB.forging
    )
    assert taught(blade((250, 34, 4.2), job=JOB.model_copy(update={"forging": own}))) is None
