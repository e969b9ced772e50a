"""Steps added, copied and moved: no error is the first answer."""

from __future__ import annotations

import math

import pytest

import preview
from preview.base.errors import JobError
from preview.forging.steps import STEPS, Consolidate, ForgeBevel, Press, Taper, Twist, Upset
from preview.job.arranging import arranged, forging_fault
from tests.job.test_limits import values


def made(told, steps):
    """Return the job as the page makes it of plain values, and the key paths of what had to move."""
    told = {**told, "forging": steps}
    near = preview.nearest_job(told)
    return preview.make_job(near.written(told)), set(near.moved)


def table(demo):
    return {**demo.model_dump(mode="json", exclude_none=True), "folder": demo.folder, "forge": demo.forge}


@pytest.mark.parametrize("kind", STEPS, ids=lambda kind: kind.__name__)
def test_each_step_can_be_added_at_each_place_that_is_offered(demo, kind):
    told, count = table(demo), len(demo.forging)
    offered = []
    for place in range(count + 1):
        order = [*range(place), kind, *range(place, count)]
        try:
            steps = arranged(told, order)
        except JobError:
            continue
        if forging_fault({**told, "forging": steps}) is None:
            job, _ = made(told, steps)
            assert type(job.forging[place]) is kind
            offered.append(place)
    if kind is Consolidate:
        assert not offered
    elif kind not in {Twist, ForgeBevel, Taper}:
        assert offered
    if not any(isinstance(step, ForgeBevel | Taper) for step in demo.forging) and kind is not Twist:
        assert kind is Consolidate or count in offered


def test_each_step_can_be_copied(demo):
    told, count = table(demo), len(demo.forging)
    for index, step in enumerate(demo.forging):
        steps = arranged(told, [*range(index + 1), index, *range(index + 1, count)])
        once = isinstance(step, Consolidate | ForgeBevel | Taper)
        assert (forging_fault({**told, "forging": steps}) is not None) == once
        if not once:
            job, moved = made(told, steps)
            assert not any(where.startswith(f"forging[{index + 1}]") for where in moved), moved
            assert type(job.forging[index + 1]) is type(step)


def test_numbers_by_hand():
    """The pressed bar a tenth shorter; its 6.5 mm a tenth less once more after scale; both down to a tenth of a mm."""
    told = values()
    _, _, pressed, _ = preview.make_job(told).history.walk()
    assert arranged(told, [0, 1, Upset, 2])[2]["length"] == math.floor(9 * pressed.length) / 10
    assert [step.get("height") for step in arranged(told, [0, 1, 1, 2])] == [None, 6.5, 5.3, None]
    moved = arranged(told, [1, 0, 2])
    assert moved == [told["forging"][place] for place in (1, 0, 2)]
    assert moved[0] is not told["forging"][1]


def test_it_is_said_why_not():
    told = values()
    fault = forging_fault({**told, "forging": arranged(told, [1, 0, 2])})
    assert fault.where == "forging[0].step"
    assert "consolidate the powder first" in fault.problem
    with pytest.raises(JobError, match=r"forging\[0\].step"):
        arranged(told, [1, Press, 0])  # the bar that it would meet is none
    fault = forging_fault({**told, "forging": arranged(told, [0, ForgeBevel, 1, 2])})
    assert fault.where == "forging[2].step"
