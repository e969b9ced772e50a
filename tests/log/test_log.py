from __future__ import annotations

import csv
import io
import re
import shutil
import tomllib
from datetime import date

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import FileError, PreviewError, RequestError
from preview.base.units import Units
from preview.forge.measurements import learn
from preview.forging.steps import STEPS
from preview.job.calibration import Calibration
from preview.job.file import load_job
from preview.log.adding import Known, add_blade, add_to_blade, parse_dip
from preview.log.findings import findings
from preview.log.log import Blade, find_blade, load_blade, load_log
from preview.log.log_words import compare, compare_text, held, log_text
from preview.log.over_time import over_time, save_over_time
from preview.log.record import Record, folder_of
from preview.log.settings_words import settings_of
from tests.conftest import DEMOS
from tests.support.made_up import forge, photo
from tests.support.spreadsheets import ods

JOB = load_job(DEMOS / "plain_start.toml")
DAY = date(2026, 3, 21)


def readings(path, factor=1.15, passes=1, **can):
    """Caliper readings of a made-up forge, as CSV."""
    rows = forge(np.random.default_rng(3), factor, 0.6, passes=passes)
    rows[0] |= can
    with path.open("w") as file:
        table = csv.DictWriter(file, list(rows[0]))
        table.writeheader()
        table.writerows([{name: round(value, 2) for name, value in row.items()} for row in rows])
    return path


def picture(path, shade=120):
    Image.new("RGB", (40, 20), (shade, shade, shade)).save(path)
    return path


@pytest.fixture(scope="module")
def blades(tmp_path_factory):
    """A log of two blades, all of it made up."""
    home = tmp_path_factory.mktemp("log")
    read, coupon = readings(home / "r.csv", passes=2), photo(home / "coupon.png")
    etch = {"dips": [parse_dip("ferric chloride 1:4, 12"), parse_dip("strong, 45, coffee")]}
    first = Known(day="2026-03-21", bar=[280, "1.6 in", 4.9], readings=read, coupon=coupon, result="Fair.", **etch)
    add_blade(home / "log", JOB, "First knife", first)
    other = JOB.model_copy(update={"can": JOB.can.model_copy(update={"length": 80})})
    add_blade(home / "log", other, "A second", Known(day="2026-02-01", right=picture(home / "right.JPG")))
    return home / "log"


def test_a_blade_lies_in_plain_files(blades):
    names = sorted(path.relative_to(blades).as_posix() for path in blades.rglob("*") if path.is_file())
    assert names == [
        "a_second/blade.toml", "a_second/job/job.toml", "a_second/job/plain_start.png", "a_second/right.jpg",
        "first_knife/blade.toml", "first_knife/coupon.png", "first_knife/job/job.toml",
        "first_knife/job/plain_start.png", "first_knife/learnt.toml", "first_knife/readings.csv",
    ]  # fmt: skip
    told = tomllib.loads((blades / "first_knife" / "blade.toml").read_text())
    assert told["day"] == DAY
    assert told["bar"] == pytest.approx([280, 40.64, 4.9])
    assert told["dips"][1] == {"bath": "strong", "minutes": 45.0, "coffee": True}


def test_it_is_read_back_the_oldest_first(blades):
    second, first = load_log(blades)
    assert (second.record.name, first.record.name) == ("A second", "First knife")
    assert first.job.model_copy(update={"folder": JOB.folder}) == JOB
    assert first.record == Record(
        name="First knife", day=DAY, bar=(280, 1.6 * 25.4, 4.9), result="Fair.",
        dips=tuple(map(parse_dip, ("ferric chloride 1:4, 12", "strong,45,coffee"))),
    )  # fmt: skip
    alone = learn(JOB, readings=blades.parent / "r.csv", coupon=blades.parent / "coupon.png", date=DAY.isoformat())
    assert first.learnt == alone.calibration
    assert second.learnt is None
    assert list(second.photographs) == ["right"]


def test_a_forecast_bar_by_hand(tmp_path):
    """A can squeezed flat, then pressed to half: its sizes and their errors by closed forms written here anew."""
    inside, wall, fill, share = (40.0, 20.0, 30.0), 2.0, 0.6, 0.3
    steps = {step.model_fields["step"].default: step for step in STEPS}
    can = {"length": 40, "width": 20, "height": 30, "wall": wall, "fill_density": fill}
    forging = (steps["consolidate"](), steps["press"](height=11, spread=share))
    job = JOB.model_copy(update={"can": JOB.can.model_validate(can), "forging": forging})

    def bar(density=fill, along=0.0, across=0.0):
        shares = (along, across, 1 - along - across)
        length, width, height = (side * density**part + 2 * wall for side, part in zip(inside, shares, strict=True))
        strain = np.log(height / 11)
        return np.array([length * np.exp((1 - share) * strain), width * np.exp(share * strain), 11.0])

    assert bar() == pytest.approx([71.48, 29.55, 11], abs=0.01)  # 44 * 2**0.7, 24 * 2**0.3
    moved = [
        bar(fill + 1e-4) - bar(fill - 1e-4),
        bar(along=1e-4) - bar(along=-1e-4),
        bar(across=1e-4) - bar(across=-1e-4),
    ]
    errors = np.sqrt(sum(np.square(each / 2e-4 * error) for each, error in zip(moved, (0.03, 0.1, 0.1), strict=True)))
    blade = Blade(tmp_path, Record(name="x", day=DAY, bar=(70, 30, 11.2)), job, None)
    found = findings(blade)
    assert [each.name for each in found] == ["bar_length", "bar_width", "bar_thickness"]
    assert [each.forecast for each in found] == pytest.approx(bar())
    assert [each.off for each in found] == pytest.approx([-1.48, 0.45, 0.2], abs=0.01)
    assert [each.forecast_error for each in found[:2]] == pytest.approx(errors[:2], rel=0.03)
    assert np.isnan(found[2].forecast_error)
    assert found[0].words(Units(sizes="inch"))[0] == "bar, length, in"


def test_what_nothing_was_learnt_of_is_not_told(blades):
    found = {each.name: each for each in findings(find_blade(blades, "first knife"))}
    assert list(found) == ["bar_length", "bar_width", "bar_thickness", "bright", "dark", "spread", "friction"]
    assert (found["spread"].forecast, found["spread"].forecast_error) == (1.0, 0.12)
    assert found["dark"].forecast == JOB.etch.dark


def test_a_can_that_was_measured(tmp_path):
    read = readings(tmp_path / "r.csv", powder_weight=390, welded_length=80, welded_width=31, welded_thickness=32)
    blade = add_blade(tmp_path / "log", JOB, "k", Known(readings=read))
    found = {each.name: each for each in findings(blade)}
    assert found["welded_width"].forecast == pytest.approx(JOB.history.bars[1].width)
    assert found["welded_width"].found == 31
    assert found["fill"].forecast == JOB.can.fill_density
    assert found["fill"].found < 0.5
    assert "scale" not in found


def test_the_forecast_is_by_what_was_known_then(tmp_path):
    known = Calibration(spread_factor=1.2, spread_factor_error=0.05, dark=20, dark_error=1, bright=70, bright_error=1)
    job = JOB.model_copy(update={"forge": known, "calibration": "my/forge.toml"})
    blade = add_blade(tmp_path / "log", job, "k", Known(readings=readings(tmp_path / "r.csv")))
    assert blade.job.forge == known
    assert blade.learnt.dark is None  # of this blade alone: no coupon of it was read
    (spread, *_) = findings(blade)
    assert (spread.forecast, spread.forecast_error) == (1.2, 0.05)
    assert spread.found == blade.learnt.spread_factor


def test_what_becomes_known_later(tmp_path):
    log, read = tmp_path / "log", tmp_path / "r.csv"
    read.write_text("powder_weight\n390\n")
    add_blade(log, JOB, "k", Known(day=DAY, dips=[parse_dip("a, 5")], photos=[picture(tmp_path / "bar.png")]))
    later = Known(readings=read, right=picture(tmp_path / "r.png"), dips=[parse_dip("b, 6")], result="Well.")
    blade = add_to_blade(log, "K", later)
    assert [dip.bath for dip in blade.record.dips] == ["a", "b"]
    assert blade.record.day == DAY
    assert blade.learnt.settling.fill_density == pytest.approx(390 / (np.prod(JOB.can.inside) / 1000 * 7.85), abs=0.01)
    whole = add_to_blade(log, "k", Known(coupon=photo(tmp_path / "c.png"), photos=[tmp_path / "bar.png"]))
    assert whole.learnt.settling == blade.learnt.settling
    assert whole.learnt.bright is not None
    assert list(whole.photographs) == ["right", "photo_1", "photo_2"]
    before = {path: path.read_bytes() for path in whole.folder.rglob("*") if path.is_file()}
    for again, told in (
        (Known(result="Ill."), "result is there already"),
        (Known(right=picture(tmp_path / "again.jpg")), "right.jpg is there already"),
        (Known(readings=read), "readings.csv is there"),
        (Known(day="2026-01-01"), "day is there"),
    ):
        with pytest.raises(FileError, match=told):
            add_to_blade(log, "k", again)
    assert {path: path.read_bytes() for path in whole.folder.rglob("*") if path.is_file()} == before
    put = add_to_blade(
        log, "k", Known(result="Ill.", right=tmp_path / "again.jpg", dips=[parse_dip("c, 1")]), force=True
    )
    assert put.record.result == "Ill."
    assert [dip.bath for dip in put.record.dips] == ["c"]
    assert put.photographs["right"].name == "right.jpg"
    assert not (put.folder / "right.png").exists()


def test_a_spreadsheet_is_kept_as_plain_text(tmp_path):
    rows = [["thickness_before (in)", "thickness_after", "bite", "width_mid_before", "width_mid_after"],
            [1.5, 32.0, 20.0, 30.0, "31,5"]]  # fmt: skip
    (tmp_path / "r.ods").write_bytes(ods(rows))
    blade = add_blade(tmp_path / "log", JOB, "k", Known(readings=tmp_path / "r.ods"))
    lines = blade.table("readings").read_text().splitlines()
    assert lines == [",".join(rows[0]), '1.5,32,20,30,"31,5"']
    assert blade.learnt.rows == 1


def test_numbers_and_plot_are_of_the_same_arrays(blades, tmp_path):
    found = over_time(load_log(blades))
    rows = list(csv.DictReader(io.StringIO(found.csv())))
    assert {row["blade"] for row in rows} == {"First knife"}
    for row in rows:
        forecast, _, read, _ = found.values[row["what"]][1]
        assert float(row["found_less_forecast"]) == pytest.approx(read - forecast, rel=1e-4, abs=1e-4)
    paths = save_over_time(load_log(blades), tmp_path / "out")
    assert paths[0].read_text() == found.csv()
    with Image.open(paths[1]) as plot:
        assert plot.width > 1000
    with pytest.raises(RequestError, match="nothing was measured"):
        over_time(load_log(blades)[:1])


def test_words(blades):
    second, first = load_log(blades)
    text = log_text((second, first), Units(sizes="inch"))
    assert "2026-02-01  A second\n            photographs: right\n" in text
    assert "bar 11.024 x 1.600 x 0.193 in" in text
    assert "strong, coffee, 45 min" in text
    sides = compare(first, second)
    assert [(row.what, row.first, row.second) for row in sides["Set otherwise"]] == [
        ("can length", f"{JOB.can.length:g} mm", "80 mm")
    ]
    assert [row.second for row in sides["Forecast → found"]] == ["-"] * 7
    assert "dip 2   strong, coffee, 45 min  |  -" in compare_text(first, second)
    assert held(()) == ""


def test_settings_are_called_in_words_and_told_in_the_readers_units():
    job = load_job(DEMOS / "wrung_out.toml")
    told = {each.key: (each.name, each.value) for each in settings_of(job, Units(sizes="inch", heats="°F"))}
    assert told["can.wall"] == ("can, wall", f"{job.can.wall / 25.4:.3f} in")
    assert told["forging[1].heat.temperature"] == ("step 2, heat", "2102 °F")
    assert told["forging[3].step"] == ("step 4, what is done", "Twist")
    assert told["grind.right.kind"][0] == "grind, right face, kind"
    assert told["grind.edge_angle"][1].endswith("° a side")
    assert not [name for name, _ in told.values() if re.search(r"[_\[\]{}?*]", name)]


@pytest.mark.parametrize(
    ("name", "known", "words"),
    [
        ("!?", {}, "log.name: a name with at least a letter"),
        ("first KNIFE", {}, "there is a blade of that name already"),
        ("x" * 90, {}, "log.name: string should have at most 80"),
        ("a\x1b[31m", {}, "log.name: plain text is needed"),
        ("n", {"day": "21.3.2026"}, "log.day: a day is needed, such as 2026-03-21; given '21.3.2026'"),
        ("n", {"day": 20260321}, "log.day: a day is needed"),
        ("n", {"bar": [1, 2]}, "log.bar"),
        ("n", {"bar": "200"}, "log.bar"),
        ("n", {"bar": [200, 40, -5]}, "log.bar[2]: a number over 0"),
        ("n", {"bar": [150, 40, 4.9]}, "log.bar[0]: the blade cut out of it is 180 mm long"),
        ("n", {"bar": [200, 140, 4.9]}, "log.bar[1]: the can of this work gives no bar wider than 94 mm"),
        ("n", {"bar": [300, 60, 9]}, "log.bar: the can of this work holds 101 cm³ of steel"),
        ("n", {"result": "x" * 901}, "log.result"),
        ("n", {"dips": [{"bath": "a", "minutes": "long"}]}, "log.dips[0].minutes: a number is needed"),
        ("n", {"right": DEMOS / "plain_start.toml"}, "not a picture"),
        ("n", {"readings": DEMOS / "plain_start.toml"}, "column"),
        ("n", {"coupon": DEMOS / "none.jpg"}, "no such file"),
    ],
)
def test_what_cannot_be_added(blades, name, known, words):
    before = sorted(blades.rglob("*"))
    with pytest.raises(PreviewError) as refused:
        add_blade(blades, JOB, name, Known(**known))
    assert words in str(refused.value)
    assert sorted(blades.rglob("*")) == before


@pytest.mark.parametrize("text", ["", "12", "a,12,tea", ",12", "a,12,coffee,more"])
def test_what_is_no_dip(text):
    with pytest.raises(RequestError, match=r"log.dips: bath and minutes are needed"):
        parse_dip(text)


def test_a_log_that_cannot_be_read_is_told_of_by_its_file(blades, tmp_path):
    for folder, words in ((tmp_path / "none", "there is no such folder"), (tmp_path, "holds no blades")):
        with pytest.raises(FileError, match=words):
            load_log(folder)
    with pytest.raises(RequestError, match="which has 'A second', 'First knife'; given 'third'"):
        find_blade(blades, "third")
    place = tmp_path / "k"
    place.mkdir()
    for text, words in (
        ("name = 3", "blade.name"),
        ("= =", "blade.toml: the text"),
        ('name = "k"\nday = 1', "blade.day"),
    ):
        (place / "blade.toml").write_text(text)
        with pytest.raises(FileError) as refused:
            load_blade(place)
        assert words in str(refused.value)
        assert str(place) in str(refused.value)
    (place / "blade.toml").write_text('name = "k"\nday = 2026-03-21\n')
    with pytest.raises(FileError, match="no such file"):
        load_blade(place)


def test_an_impossible_bar_is_told_of_by_file_and_key(blades, tmp_path):
    """Of the blade's record that was edited, and of readings that say a bar grew smaller under the dies."""
    shutil.copytree(blades / "first_knife", tmp_path / "k")
    path = tmp_path / "k" / "blade.toml"
    path.write_text(re.sub(r"(?s)bar = \[.*?\]", "bar = [150, 40, 5]", path.read_text()))
    with pytest.raises(FileError) as refused:
        load_log(tmp_path)
    assert f"{path}: blade.bar[0]: the blade cut out of it is 180 mm long" in str(refused.value)
    table = tmp_path / "r.csv"
    table.write_text("thickness_before,thickness_after,bite,width_mid_before,width_mid_after\n30,24,20,30,28\n")
    with pytest.raises(RequestError, match=r"r\.csv, row 1, width_mid_after: dies that close"):
        add_blade(tmp_path / "log", JOB, "k", Known(readings=table))


def test_folders_are_named_alike_on_every_machine():
    assert folder_of("Ähre & Schilf / 2") == "ähre_schilf_2"
    assert folder_of("../../etc") == "etc"
    assert len(folder_of("n" * 80)) == 60


def test_the_result_holds_whatever_is_typed(tmp_path):
    text = 'He said "\\" \n' * 64
    add_blade(tmp_path / "log", JOB, "k", Known(result=text))
    assert load_log(tmp_path / "log")[0].record.result == text.strip()
