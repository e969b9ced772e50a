"""The plan: what is possible, what is at the most, heats, furnace; and the work fitted to the tools."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest

from preview.base.errors import FileError, RequestError
from preview.base.units import Units
from preview.day.cooling import Piece
from preview.day.furnace_words import furnace_words
from preview.day.moving import moved_by_quarter_turns, pattern_moved
from preview.day.plan_files import save_plan
from preview.day.plan_numbers import day_numbers
from preview.day.plan_rows import plan_tables, plan_verdict
from preview.day.plan_words import day_text
from preview.day.planning import make_plan
from preview.day.suiting import suit
from preview.day.tools import Furnace, Press, Shop
from preview.forging.steps.press import NARROW
from preview.job.file import dump_job, load_job, parse_job
from preview.job.job import Job
from tests.conftest import DEMOS

WEAK = Shop(press=Press(tonnes=14, die_width=50, die_length=120))
"""A press for which the moon has to be changed, and still fits."""


@pytest.fixture(scope="module")
def moon() -> Job:
    return load_job(DEMOS / "marsh_moon.toml")


def pressing(job, shop):
    return make_plan(job, shop).steps[1]


def test_passes_end_where_the_bars_do(demo):
    """A step's passes are told by the step itself: the last of them leaves the bar that the step does."""
    history = demo.history
    for step, met, after in zip(history.steps, history.met, history.bars[1:], strict=True):
        passes = step.squeezes(met)
        assert all(each.h1 < each.h0 - 0.01 for each in passes)
        if passes and step.keeps_columns and after.shape in {"block", "bulged"}:
            sizes = {round(each, 6) for each in (passes[-1].h1, passes[-1].width, passes[-1].length)}
            assert sizes == {round(each, 6) for each in after.size}


def test_last_passes_of_the_demos_ask_for_what_is_known(demo):
    """Some 12 to 24 t at 1050 °C; the little demos less."""
    press = Press(tonnes=100, die_width=60, die_length=200)
    passes = [each for step in demo.history.steps for each in step.squeezes(_met(demo, step)) if not step.welds]
    assert 5 < max(100 * press.load(each, 1050) for each in passes) < 32


def _met(job, step):
    return job.history.met[job.history.steps.index(step)]


def test_more_tonnes_do_more(moon, shops):
    """12 t do not manage the moon's last passes, 30 t do; with 200 t the window alone sends the steel back."""
    thirty = Shop(press=Press(tonnes=30, die_width=50, die_length=120))
    weak, strong = pressing(moon, shops["press_12t"]), pressing(moon, thirty)
    assert [each.possible for each in weak.passes] == [True, True, False, False, False, False]
    assert strong.possible
    best = pressing(moon, Shop(press=Press(tonnes=200, die_width=50, die_length=120)))
    assert {each.stop for each in best.passes} == {900}
    assert best.heats < pressing(moon, shops["press_25t"]).heats


def test_the_most_that_is_told_is_just_managed(moon, shops):
    last = pressing(moon, shops["press_12t"]).passes[-1]
    told = " ".join(map(str, last.instead))
    bite = float(told.partition("manages is ")[2].partition(" mm")[0])
    assert last.tool.load(last.squeeze.in_bites(bite), last.halfway) <= 1
    assert last.tool.load(last.squeeze.in_bites(bite + 1), last.halfway) > 1


def test_heats_by_hand(moon):
    """One pass, closings a heat: from the start to the stop each bite costs so many kelvin, so many fit in."""
    first = pressing(moon, Shop(press=Press(tonnes=200, die_width=50, die_length=120))).passes[-1]
    piece, temperature, bites = Piece.of(first.before), first.start, 0
    while temperature >= first.stop:
        touching = (first.squeeze.h0 - first.squeeze.h1) / 10  # at 10 mm/s
        seconds = 1.5 + 20 / 10 + touching  # to the next bite, down and back, under load
        temperature = piece.cooled(temperature, seconds, 2 * 20 * first.squeeze.width, touching)
        bites += 1
    assert first.bites_a_heat == bites
    assert first.bites == 2 * first.squeeze.bites  # the last pass overlaps by half
    assert abs(first.heats - first.bites / bites) <= 1


def test_the_heats_are_numbered_through_the_day(moon):
    """By hand: those to weld, then the first of the pressing, in which its passes begin, on to the last of the day."""
    plan = make_plan(moon, Shop(press=Press(tonnes=200, die_width=50, die_length=120)))
    weld, pressing, _ = plan_tables(plan)
    assert weld.rows[0][-2] == "heat"
    assert weld.rows[1][-2].startswith("1")
    first = plan.steps[0].heats + 1
    assert pressing.rows[1][-2].startswith(str(first))
    assert pressing.rows[-1][-2].endswith(str(plan.heats))
    told = [[int(each) for each in row[-2].split(" to ")] for row in pressing.rows[1:]]
    assert all(before[-1] == after[0] for before, after in pairwise(told))


def test_cold_fires_and_cold_doors(make, shops):
    job = make(forging=[
        {"step": "consolidate", "heat": {"temperature": 1090, "minutes": 30}},
        {"step": "press", "height": 8, "bite": 20, "repeat": 4, "heat": {"temperature": 1290, "minutes": 9}},
    ])  # fmt: skip
    shop = shops["press_25t"].model_copy(update={"furnace": Furnace(door_width=30, door_height=30, depth=60)})
    weld, press = make_plan(job, shop).steps
    said = " ".join(map(str, (*weld.words, *press.words)))
    assert "worked colder the weld cracks: hotter" in said
    assert "1290 °C is more than this furnace's 1250 °C" in said
    assert "does not go through a door" in said
    assert "longer than the furnace's 60 mm" in said
    assert "strength is known up to 1200 °C only" in said


def test_thin_steel_out_of_a_mild_fire(shops):
    """Drawn out at 1050 °C the tip is cold after a bite; a hotter fire, which is told, gives as many as it says."""
    job = load_job(DEMOS / "three_steels.toml")
    *_, tip = make_plan(job, shops["press_12t"]).steps
    said = " ".join(map(str, tip.words))
    assert "so thin it is cold after 1 bite: out of a fire of 1150 °C it is 3 bites a heat" in said
    hotter = tip.step.heat.model_copy(update={"temperature": 1150.0})
    forging = (*job.forging[:-1], tip.step.model_copy(update={"heat": hotter}))
    again = make_plan(job.model_copy(update={"forging": forging}), shops["press_12t"]).steps[-1]
    assert again.passes[-1].bites_a_heat == 3
    assert again.heats < tip.heats


def test_a_hair_over_is_managed(moon):
    """By 4 % over what a press gives nobody is stopped, who knows forces to a third; by 8 % he is told."""
    whole = pressing(moon, Shop(press=Press(tonnes=100, die_width=50, die_length=120)))
    needed = max(100 * each.load for each in whole.passes)
    for share, possible in ((1.04, True), (1.08, False)):
        shop = Shop(press=Press(tonnes=needed / share, die_width=50, die_length=120))
        assert pressing(moon, shop).possible == possible


def test_where_a_bar_may_be_cut_in_two():
    size, furnace = (500.0, 40.0, 10.0), Furnace(depth=300)
    assert "Cut the bar in two" in str(*furnace_words(furnace, 1100, size, 0.5, blade=200))
    assert "would not hold the blade" in str(*furnace_words(furnace, 1100, size, 0.5, blade=290))


def test_no_heat_given(make, shops):
    job = make(forging=[{"step": "consolidate"}, {"step": "press", "height": 8, "bite": 20, "repeat": 4}])
    weld, press = make_plan(job, shops["press_25t"]).steps
    assert "taken as 1150 °C" in " ".join(map(str, weld.words))
    assert weld.heats >= 1
    assert press.heat == 1150


def test_every_demo_is_fitted_to_every_shop(demo, shop):
    """Either the tools manage it then, or it is told what they do not; the fitted work reads back as it is."""
    found = suit(demo, shop)
    assert found.plan.possible or found.missing
    text = day_text(make_plan(demo, shop), found)
    assert "How sure" in text
    assert "In all" in text
    sound = found.plan.possible and not found.faults
    assert text.index("As it is:") < text.index("Fitted: work by this:" if sound else "do not work by this:")
    if not found.faults:
        assert parse_job(dump_job(found.job), demo.folder) == found.job
    for step, met in zip(found.job.forging, found.job.history.met, strict=True):
        for each in step.squeezes(met):
            assert not each.own_bite or each.bite >= NARROW * each.h0 or step in demo.forging


def test_no_reserve_is_told(moon, shops):
    """A pass that goes back to the fire because the press gives no more has none; with a stronger press it has."""
    plan = make_plan(moon, shops["press_25t"])
    assert "no reserve (forces are good to some 30 %): step 2, passes 4, 5, 6." in plan_verdict(plan)
    assert "reserve" not in plan_verdict(make_plan(moon, Shop(press=Press(tonnes=60, die_width=50, die_length=120))))


def test_what_is_managed_keeps_its_bites(moon):
    shop = Shop(press=Press(tonnes=30, die_width=50, die_length=120))
    found = suit(moon, shop)
    assert not found.changes
    before, after = moon.forging[1], found.job.forging[1]
    assert after == before.model_copy(update={"heat": after.heat})
    assert after.heat.minutes == round(pressing(moon, shop).minutes)


def test_narrow_bites_move_the_pattern(moon):
    """Narrower bites leave a narrower, longer bar: all of it is drawn away from the middle, and nearer its mid-line."""
    found = suit(moon, WEAK)
    assert found.plan.possible
    assert found.changes
    assert found.job.history.bars[-2].width < moon.history.bars[-2].width
    narrow = moon.forging[1].model_copy(update={"bite": 15.0})
    heel, _, tip = pattern_moved(
        moon, moon.model_copy(update={"forging": (moon.forging[0], narrow, *moon.forging[2:])})
    )
    assert tip.along - heel.along > 2
    assert heel.across > 0.2


def test_the_same_work_moves_nothing(demo):
    assert all(each.far < 1e-3 for each in pattern_moved(demo, demo) if each.far == each.far)


def test_milled_off_at_one_end(moon):
    """By hand: 2 mm more off the heel end and 2 less off the tip put the blade 2 mm nearer the tip in the metal."""
    mill = moon.forging[-1].model_copy(update={"ends": (11.0, 7.0)})
    changed = moon.model_copy(update={"forging": (*moon.forging[:-1], mill)})
    for each in pattern_moved(moon, changed):
        assert (each.along, each.across) == pytest.approx((-2, 0), abs=1e-3)


def test_a_first_set_that_leaves_too_little(shops):
    """The running wave's can, half its settling across, is narrower than it is pressed to next: told, not raised."""
    job = load_job(DEMOS / "running_wave.toml")
    text = day_text(make_plan(job, shops["press_25t"]))
    assert "cannot be forged on as it stands:\n- step 2, height: has to be under" in text


def test_a_first_set_with_quarter_turns(moon):
    heel, _, tip = moved_by_quarter_turns(moon)
    assert heel.far > 1
    assert tip.far > 1
    turned = moon.model_copy(update={"forging": tuple(step.turned_often() for step in moon.forging)})
    assert not moved_by_quarter_turns(turned)


def test_in_inches(moon, shops):
    text = day_text(make_plan(moon, shops["press_12t"]), units=Units(sizes="inch", heats="°F"))
    assert "°C" not in text
    assert " mm" not in text


def test_files(moon, tmp_path):
    plan, found = make_plan(moon, WEAK), suit(moon, WEAK)
    paths = save_plan(plan, tmp_path / "planned", suited=found)
    assert {path.name for path in paths} == {"plan.txt", "plan.json", "fitted.toml", "marsh_moon.png"}
    assert load_job(tmp_path / "planned" / "fitted.toml").forging == found.job.forging
    with pytest.raises(FileError, match="exists already"):
        save_plan(plan, tmp_path / "planned", suited=found)


def test_what_holds_no_blade_is_not_written(moon, shops, tmp_path):
    """Fitted to 12 t, the moon's bar comes out too narrow: told first of all, and there is no file to forge from."""
    plan, found = make_plan(moon, shops["press_12t"]), suit(moon, shops["press_12t"])
    assert found.faults
    paths = save_plan(plan, tmp_path, suited=found)
    assert {path.name for path in paths} == {"plan.txt", "plan.json"}
    text = (tmp_path / "plan.txt").read_text()
    assert text.startswith("DO NOT FORGE BY THE FITTED PLAN")
    assert "fitted.toml" in text.splitlines()[0]
    assert "has to fit the bar" in text.splitlines()[1]
    numbers = json.loads((tmp_path / "plan.json").read_text())
    assert numbers["fitted"]["fits"] is False
    assert numbers["plan"]["possible"] is False


def test_numbers_agree_with_the_plan(moon, shops):
    plan = make_plan(moon, shops["press_25t"])
    numbers = json.loads(json.dumps(day_numbers(plan), allow_nan=False))["plan"]
    assert numbers["heats"] == plan.heats == sum(each["heats"] for each in numbers["steps"])
    assert numbers["time_min"] == pytest.approx(
        sum(each["in_fire_min"] + each["at_dies_min"] for each in numbers["steps"])
    )
    first = numbers["steps"][1]["passes"][0]
    assert first["after_mm"] == plan.steps[1].passes[0].squeeze.h1
    assert first["read_hot_mm"] > first["after_mm"]


def test_never_over_the_users_own(moon, tmp_path):
    own = tmp_path / "fitted.toml"
    own.write_text("mine")
    found = suit(moon, WEAK)
    with pytest.raises(RequestError, match="another folder"):
        save_plan(found.plan, tmp_path, suited=found, own=own, force=True)
    assert own.read_text() == "mine"
