"""Each piece of advice: on a job that has its fault, which is gone in the job that it leads to; and on sound ones."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import erf

from preview.advice.advise import advise
from preview.advice.can import too_small
from preview.advice.pattern import FADED
from preview.base.errors import JobError
from preview.filling.budget import USUAL_MARGIN
from preview.job.file import load_job, make_job
from preview.pipeline import preview
from tests.conftest import DEMOS


def disc(rows=100, columns=100):
    down, right = np.mgrid[:rows, :columns]
    return np.hypot((down + 0.5) / rows - 0.5, (right + 0.5) / columns - 0.5) < 0.45


def stripes(wide, count=1600):
    """Stripes across, each ``wide`` of ``count`` columns."""
    return np.tile(np.arange(count) // wide % 2 == 1, (8, 1))


WELD = {"step": "consolidate", "heat": {"temperature": 1180, "minutes": 45}}
PRESS = {"step": "press", "height": 6.5, "bite": 20}
MILL = {"step": "trim", "faces": 0.8, "sides": 5, "ends": 8}
POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.1},
    {"name": "nickel", "colours": ["white"], "nickel": 4.0},
]
SMALL = {"length": 110, "height": 24}

ROUGH = [WELD, PRESS, {**MILL, "faces": 0, "sides": 0}]

FAULTS = {
    "longer than the blade": {"can": {"length": 120, "width": 26, "height": 44}},
    "wider than the blade": {"can": {"length": 75, "width": 40, "height": 44}},
    # the can's roof and floor, pressed with it, are 0.6 mm thick, and hardly milled
    "shell shows": {"forging": [WELD, PRESS, {**MILL, "faces": 0.1}], "blade": {"outline": {"length": 170}}},
    "shell shows along the edge": {
        "can": {"length": 75, "width": 26, "height": 44, "wall": 3}, "forging": ROUGH,
        "blade": {"thickness": 4.5, "placement": {"edge": 0}},
    },
    # the pressed side bulges: at the faces the bar is narrower than on the mean
    "no metal": {
        "can": {"length": 75, "width": 26, "height": 44, "wall": 0}, "forging": [WELD, PRESS],
        "blade": {"thickness": 6.5, "outline": {"length": 150}, "placement": {"edge": 0}},
        "grind": {"left": {"kind": "none"}},
    },
    "too short for the blade with its tang": {"blade": {"thickness": 4.5, "outline": {"length": 150, "tang": 120}}},
    "These powders do not tap": {"can": {"length": 75, "width": 26, "height": 44, "fill_density": 0.85}},
    "as you measured": {
        "powders": [{**powder, "tap_density": 4.0} for powder in POWDERS],
        "blade": {"thickness": 4.5, "outline": {"length": 140, "height": 32}},
    },
    "from there it would show whole": {"pattern": {"size": [16, 16], "at": [25, 5]}, "picture": disc()},
    "laid smaller": {"pattern": {"size": [26, 26]}, "picture": disc(), "blade": {"thickness": 4.5, "outline": SMALL}},
    "off the pattern's middle": {
        "picture": np.pad(disc(), ((0, 0), (150, 150))),
        "blade": {"thickness": 4.5, "outline": SMALL, "placement": {"heel": 0}},
    },
    "narrower than": {"pattern": {"size": [40, 8]}, "picture": stripes(3, 3077)},
    # the can's wall is thick for this milling, and the bevel leaves the bar's middle unground
    "pressed": {
        "can": {"length": 80, "width": 28, "height": 48, "wall": 4}, "grind": {"right": {"height": 12}},
        "blade": {"thickness": 4.5, "outline": {"length": 150, "height": 30}},
    },
    # hot after its last milling: no milling before that can help
    "it is sound, and": {
        "forging": [
            WELD, PRESS, {**MILL, "faces": 1.7},
            {"step": "press", "height": 2.9, "heat": {"temperature": 950, "minutes": 10}},
        ],
        "blade": {"thickness": 2.8}, "grind": {"right": {"height": 12}},
    },
    "So long at heat": {
        "forging": [{**WELD, "heat": {"temperature": 1250, "minutes": 6000, "protected": True}}, PRESS, MILL],
        "pattern": {"size": [60, 10]}, "picture": stripes(1, 800),
    },
}  # fmt: skip


def advice(job):
    return advise(preview(job, width=400))


def made(make, words):
    return make(**{"forging": [WELD, PRESS, MILL], "powders": POWDERS, **FAULTS[words]})


@pytest.mark.parametrize("words", FAULTS)
def test_a_fault_is_told_and_its_change_mends_it(make, words):
    job = made(make, words)
    found = [each for each in advice(job) if words in str(each.sentence)]
    assert len(found) == 1, [str(each.sentence) for each in advice(job)]
    assert found[0].cost > 0
    assert found[0].change is not None
    assert str(found[0].action)
    assert not [each for each in advice(found[0].change) if words in str(each.sentence)]


@pytest.mark.parametrize("name", ["plain_start", "running_wave", "wrung_out"])
def test_a_sound_job_gets_none(name):
    assert advice(load_job(DEMOS / f"{name}.toml")) == ()


def test_a_line_has_faded_when_half_of_its_nickel_is_gone():
    """The middle of a line blurred by a Gaussian keeps erf(w / (2 sqrt 2 sigma)) of it (Crank, The Mathematics of
    Diffusion, extended source of limited extent; from memory).
    """
    assert erf(FADED / (2 * np.sqrt(2))) == pytest.approx(0.5, abs=1e-4)


def test_what_costs_most_comes_first(make):
    found = advice(made(make, "wider than the blade"))
    assert len(found) > 1
    assert [each.cost for each in found] == sorted((each.cost for each in found), reverse=True)


@pytest.mark.parametrize("blade", [{"outline": {"length": 240}}, {"outline": {"length": 240, "height": 50}}])
def test_a_blade_beyond_the_bar_gets_a_can_that_is_large_enough(make, blade):
    values = make(forging=[WELD, PRESS, MILL], powders=POWDERS).model_dump(exclude_none=True)
    values |= {"blade": {"thickness": 4.5, **blade}}
    with pytest.raises(JobError, match="has to fit the bar"):
        make_job(values)
    (found,) = too_small(values)
    bar = found.change.history.bar
    assert bar.length >= 240 + 2 * USUAL_MARGIN
    assert bar.width >= found.change.blade.outline.height
    assert bar.length < 240 + 2 * USUAL_MARGIN + 4  # whole millimetres of can, drawn out three times


def test_a_slip_is_not_mended_by_a_can_out_of_all_proportion(make):
    """A can 8 mm high for 44 leaves a bar far too narrow; the can that is wide enough takes far more steel."""
    values = make(forging=[WELD, PRESS, MILL], powders=POWDERS).model_dump(exclude_none=True)
    slip = {**values["can"], "height": 8}
    (found,) = too_small({**values, "can": slip})
    assert found.change is None
    assert found.action is None
    size = " x ".join(f"{slip[side]:g}" for side in ("length", "width", "height"))
    assert f"looks like a slip. The can is {size} mm inside" in str(found.sentence)


def test_where_more_is_wrong_than_the_can_it_gives_none(make):
    values = make(powders=POWDERS).model_dump(exclude_none=True)
    assert too_small({**values, "blade": {"thickness": 30, "outline": {"length": 240}}}) == ()
    assert too_small({**values, "forging": [MILL], "blade": {"outline": {"length": 240}}}) == ()
    assert too_small({**values, "blade": {"outline": {"length": -1}}}) == ()
