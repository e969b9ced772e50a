"""Tables of caliper readings, and everything that can be wrong with one."""

from __future__ import annotations

import pytest

from preview.base.errors import FileError, RequestError
from preview.base.units import Units
from preview.forge.readings import COLUMNS, make_readings, read_table

BASE = {"thickness_before": 30, "thickness_after": 24, "width_face_before": 25, "width_face_after": 27, "bite": 20}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"thickness_after": 31}, "has to be under"),
        ({"thickness_after": ""}, "is needed and empty"),
        ({"bite": "0"}, "over 0"),
        ({"width_face_before": "wide"}, "a number is needed"),
        ({"width_face_before": None}, "a width before is needed"),
        ({"width_face_after": None}, "says nothing"),
        ({"length_before": 100, "length_after": 140}, "volume changes"),
        ({"width_face_after": 24}, "width_face_after: dies that close make a bar longer and wider"),
        ({"thickness_before": float("inf")}, "over 0"),
    ],
)
def test_impossible_rows_are_named(change, words):
    with pytest.raises(RequestError, match=r"row 2[:,] ") as caught:
        make_readings([BASE, {**BASE, **change}])
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "no rows"),
        ("thickness_before\n", "no rows"),
        ("a,b\n1,2\n", "unknown column a, b; missing column"),
        ("thickness_before,thickness_after\n30,24\n", "missing column bite"),
    ],
)
def test_tables_that_are_none(tmp_path, content, words):
    path = tmp_path / "r.csv"
    path.write_text(content)
    with pytest.raises(FileError, match=words):
        read_table(path)


def test_a_table_from_a_file(tmp_path):
    path = tmp_path / "r.csv"
    path.write_text("\ufeffpass," + ",".join(COLUMNS) + '\n1,,25,,"1 1/4 in",,27,,24,20,\n', encoding="utf-8")
    (reading,) = make_readings(read_table(path))
    assert reading.before.thickness == pytest.approx(31.75)
    assert reading.before.width == 25
    with pytest.raises(FileError, match="no such file"):
        read_table(tmp_path / "none.csv")


@pytest.mark.parametrize(("length", "fits"), [(120.4, True), (125.0, False)])
def test_volume_may_change_by_what_a_bulge_and_a_caliper_do(length, fits):
    """30 x 25 to 24 x 27 mm: 100 mm become 115.7 at one volume; 4 per cent more is taken, 8 is not."""
    row = {**BASE, "length_before": 100, "length_after": length}
    if fits:
        assert len(make_readings([row])) == 1
        return
    with pytest.raises(RequestError, match="volume changes"):
        make_readings([row])


def test_what_no_caliper_reads_is_refused():
    with pytest.raises(RequestError, match=r"row 1, width_face_before: a number of at most 100000 is needed"):
        make_readings([{**BASE, "width_face_before": 1e300}])


def test_cells_in_the_units_of_the_reader():
    """25.4 mm an inch (exact, by the international yard and pound agreement of 1959); a named unit goes before it."""
    inches = {
        "thickness_before": "1 1/4",
        "thickness_after": 1.0,
        "width_mid_before": "30 mm",
        "width_mid_after": "1.25",
        "bite": "3/4",
    }
    empty = dict.fromkeys(inches, "")
    (reading,) = make_readings([empty, inches], Units(sizes="inch"))
    assert reading.before.thickness == pytest.approx(31.75)
    assert reading.after.thickness == pytest.approx(25.4)
    assert reading.before.width == 30
    with pytest.raises(RequestError, match=r"row 3, bite: a number is needed; given '3/4 of it'"):
        make_readings([empty, inches, {**inches, "bite": "3/4 of it"}], Units(sizes="inch"))
