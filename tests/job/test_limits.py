"""What makes a job impossible moves to the nearest number that does not."""

from __future__ import annotations

import math

import pytest

import preview
from preview.base.errors import JobError
from preview.job.checks import check_job
from preview.job.limits import nearest_job
from tests.conftest import DEMOS


def values(*, demo="plain_start", **tables):
    job = preview.load_job(DEMOS / f"{demo}.toml")
    table = {**job.model_dump(mode="json", exclude_none=True), "folder": job.folder}
    for part, told in tables.items():
        table[part] = {**table[part], **told} if isinstance(told, dict) else told
    return table


def moved(**tables):
    found = nearest_job(values(**tables))
    check_job(found.job)
    return {where: limit.nearest for where, limit in found.moved.items()}


def test_what_is_possible_stays(demo):
    found = nearest_job({**demo.model_dump(mode="json", exclude_none=True), "folder": demo.folder, "forge": demo.forge})
    assert found.job == demo
    assert not found.moved


@pytest.mark.parametrize(
    ("tables", "where"),
    [
        ({"grind": {"right": {"kind": "hollow"}}}, ["grind.right.height"]),
        ({"grind": {"right": {"kind": "hollow", "hold": "angle", "angle": 2}}}, ["grind.right.angle"]),
        ({"grind": {"right": {"kind": "convex", "sag": 3}}}, ["grind.right.sag"]),
        ({"grind": {"right": {"kind": "compound", "edge_height": 12}}}, ["grind.right.edge_height"]),
        ({"grind": {"right": {"kind": "compound", "height": 5}}}, ["grind.right.height"]),
        ({"grind": {"right": {"kind": "compound", "edge_angle": 2}}}, ["grind.right.edge_angle"]),
        ({"grind": {"right": {"height": 50}}}, ["grind.right.height"]),
        ({"grind": {"right": {"kind": "flat"}, "left": {"kind": "hollow"}}}, ["grind.left.height"]),
        ({"grind": {"edge": 9}}, ["grind.edge"]),
        ({"pattern": {"size": (300, 10)}}, ["pattern.size"]),
        ({"pattern": {"size": (30, 10), "at": (90, -90)}}, ["pattern.at[0]", "pattern.at[1]"]),
        ({"grind": {"edge": 2, "edge_offset": -3}}, ["grind.edge_offset"]),
        ({"grind": {"left": {"kind": "none"}, "edge_offset": 0.2}}, ["grind.edge_offset"]),
        ({"grind": {"left": {"kind": "none"}, "edge_offset": -0.2}}, ["grind.edge_offset"]),
        ({"grind": {"heel_flat": 500}}, ["grind.heel_flat"]),  # the plunge starts at the ricasso, not there
        ({"grind": {"plunge": 500}}, ["grind.plunge"]),
        ({"blade": {"outline": {}}, "grind": {"heel_flat": 500}}, ["grind.heel_flat", "grind.plunge"]),  # no ricasso
        ({"blade": {"outline": {"length": 900, "height": 90}}}, ["blade.outline.length", "blade.outline.height"]),
        ({"blade": {"thickness": 20, "tip_thickness": 30}}, ["blade.thickness", "blade.tip_thickness"]),
        ({"blade": {"placement": {"heel": 900, "edge": 90}}}, ["blade.placement.heel", "blade.placement.edge"]),
        ({"blade": {"placement": {"mid_plane": 9}}}, ["blade.placement.mid_plane"]),
        ({"blade": {"thickness": 0.5, "tip_thickness": 0.3}}, ["grind.edge"]),
    ],
    ids=str,
)
def test_what_is_not_moves_and_nothing_else(tables, where):
    assert sorted(moved(**tables)) == sorted(where)


WELD = {"step": "consolidate"}


@pytest.mark.parametrize(
    ("forging", "where"),
    [
        ([WELD, {"step": "press", "height": 6.5}, {"step": "press", "height": 6.5}], ["forging[2].height"]),
        ([WELD, {"step": "press", "height": 90}, {"step": "trim", "sides": (0, 90)}],
         ["blade.outline.height", "blade.outline.length", "forging[1].height", "forging[2].sides"]),
        ([WELD, {"step": "press", "height": 1}, {"step": "trim", "faces": 0.8}],
         ["blade.thickness", "forging[2].faces"]),
        ([WELD, {"step": "press", "height": 6.5}, {"step": "upset", "length": 900}], ["forging[2].length"]),
    ],
    ids=["press twice", "press and mill", "milled through", "upset longer"],
)  # fmt: skip
def test_the_steps_move_in_their_order_and_what_comes_after_follows(forging, where):
    told = values(forging=forging, blade={"thickness": 3.0})  # of its own, so that it has to follow the bar
    found = nearest_job(told)
    assert set(where) <= set(found.moved)
    assert not [each for each in found.moved if each.startswith("forging") and each not in where]
    assert preview.make_job(found.written(told)) == check_job(found.job)
    assert told["forging"] == forging  # what was asked for is left as it was


def test_the_height_moves_with_the_wheel():
    """A chord of the wheel (Euclid, Elements III.35): height**2 = rise * (diameter - rise), down to a tenth."""
    job = preview.load_job(DEMOS / "plain_start.toml")
    rise = (job.history.bar.thickness - job.grind.edge) / 2
    assert rise == pytest.approx((4.9 - 0.4) / 2)
    for wheel in (250, 60):
        height = math.floor(10 * math.sqrt(rise * (wheel - rise))) / 10
        assert moved(grind={"right": {"kind": "hollow", "wheel_diameter": wheel}}) == {"grind.right.height": height}
    assert math.sqrt(rise * (900 - rise)) > job.blade.outline.height
    assert moved(grind={"right": {"kind": "hollow", "wheel_diameter": 900}}) == {}


def test_a_picture_keeps_its_proportions():
    """Turned by 90 degrees, a picture 60 by 20 stands 60 high in a can 26 wide: 26 / 60 of it fits."""
    told = values(pattern={"size": (60.0, 20.0), "turn": 90.0, "at": (20.0, 5.0)})
    told["can"] = {**told["can"], "length": 75.0, "width": 26.0, "wall": 2.5}
    found = nearest_job(told)
    assert found.job.pattern.size == pytest.approx((26.0, 26.0 / 3), abs=0.01)
    assert found.written(told)["pattern"]["size"] == found.job.pattern.size
    assert found.job.pattern.at == pytest.approx((20.0, 0.0), abs=0.01)


def test_a_forging_that_is_impossible_moves_nothing():
    found = nearest_job(values(forging=[{"step": "trim", "sides": 500}, {"step": "consolidate"}]))
    assert not found.moved
    with pytest.raises(JobError, match="forging"):
        check_job(found.job)


def test_a_value_that_can_never_be_is_told_as_ever():
    with pytest.raises(JobError, match=r"grind\.edge: a number over 0"):
        nearest_job(values(grind={"edge": -1}))


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("length = 75,5", "line 3: 75,5: write 75.5"),
        ("length = -1,5 # no", "line 3: -1,5: write -1.5"),
        ("length = '1,5 in'", "can.length: 1,5: write 1.5"),
        ("length = '7,5'", "can.length: 7,5: write 7.5"),
    ],
)
def test_a_decimal_comma(tmp_path, line, told):
    path = tmp_path / "job.toml"
    path.write_text(f'pattern.picture = "p.png"\n[can]\n{line}\n', "utf-8")
    with pytest.raises(preview.PreviewError) as error:
        preview.load_job(path)
    assert told in str(error.value)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"blade": {"outline": {"shape": "droppoint"}}}, "is 'drop point' meant?"),
        ({"forging": [{"step": "pres"}]}, "is 'press' meant?"),
        ({"etch": {"minuts": 3}}, "is 'minutes' meant?"),
    ],
)
def test_a_misspelt_word(values, told):
    with pytest.raises(JobError, match=told.replace("?", r"\?")):
        preview.make_job({"pattern": {"picture": "p.png"}, **values})
