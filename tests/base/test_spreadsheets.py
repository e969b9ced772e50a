"""Tables in the ways that offices save them, all read alike; for spreadsheets see `tests.support.spreadsheets`."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from preview.base.errors import FileError, RequestError
from preview.base.spreadsheets import read_cells
from preview.base.tables import parse_points, read_points, read_rows
from preview.forge.marks import SEEN, read_table
from preview.forge.readings import make_readings, read_table as read_readings
from tests.hostile.mutating import content
from tests.support.spreadsheets import ods, packed, xlsx

HEADS = ["thickness_before", "thickness_after", "bite", "width_face_before", "width_face_after", "temperature"]
ROWS = [[42.3, 35.4, 20.0, 30.4, 32.5, 900.0], [35.4, 30.1, 20.0, 32.5, 34.5, 20.0]]


def csv_text(separator: str = ",", comma: str = ".", end: str = "\n", heads: list[str] = HEADS) -> str:
    rows = [[str(cell).replace(".", comma) for cell in row] for row in ROWS]
    return end.join(separator.join(row) for row in [heads, *rows]) + end


INCHES = [*(f"{head} (in)" for head in HEADS[:-1]), "temperature_F"]
WAYS = {
    "plain.csv": csv_text().encode(),
    "semicolon.csv": csv_text(";", ",").encode(),
    "semicolon and point.csv": csv_text(";").encode(),
    "said.csv": b"sep=;\r\n" + csv_text(";", ",", "\r\n").encode(),
    "tab.csv": csv_text("\t", ",").encode(),
    "mark.csv": csv_text(end="\r\n").encode("utf-8-sig"),
    "utf-16.csv": csv_text("\t", ",", "\r\n").encode("utf-16"),
    "utf-16 big.csv": b"\xfe\xff" + csv_text("\t", ",").encode("utf-16-be"),
    "heads.csv": csv_text(heads=[head.replace("_", " ").capitalize() for head in HEADS]).encode(),
    "empty lines.csv": ("\n" + csv_text() + ",,,,,\n\n").encode(),
    "table.ods": ods([HEADS, *ROWS]),
    "table.xlsx": xlsx([HEADS, *ROWS]),
    "inches.ods": ods([INCHES, *([*(cell / 25.4 for cell in row[:-1]), row[-1] * 1.8 + 32] for row in ROWS)]),
    "words.xlsx": xlsx([HEADS, *([str(cell).replace(".", ",") for cell in row] for row in ROWS)]),
}


@pytest.mark.parametrize("name", WAYS)
def test_readings_are_read_alike(tmp_path, name):
    (tmp_path / "plain.csv").write_bytes(WAYS["plain.csv"])
    (tmp_path / name).write_bytes(WAYS[name])
    plain, read = (make_readings(read_readings(tmp_path / each)) for each in ("plain.csv", name))
    for one, other in zip(plain, read, strict=True):
        assert other.bite == pytest.approx(one.bite)
        assert (other.before.thickness, other.after.width) == pytest.approx((one.before.thickness, one.after.width))


@pytest.mark.parametrize("typed", ["35,4x", "1.234,5", "wide", "1,2,3"])
@pytest.mark.parametrize("ending", ["csv", "ods", "xlsx"])
def test_what_was_typed_is_quoted(tmp_path, typed, ending):
    path, rows = tmp_path / f"t.{ending}", [HEADS, [*ROWS[0][:2], typed, *ROWS[0][3:]]]
    text = "\n".join(";".join(map(str, row)) for row in rows)
    path.write_bytes({"csv": text.encode(), "ods": ods(rows), "xlsx": xlsx(rows)}[ending])
    with pytest.raises(RequestError, match=f"row 1, bite: a number is needed; given '{typed}'"):
        make_readings(read_readings(path))


def test_a_head_in_a_unit_that_cannot_be_is_refused(tmp_path):
    (tmp_path / "t.csv").write_text(csv_text(heads=[*HEADS[:2], "bite (F)", *HEADS[3:]]))
    with pytest.raises(FileError, match=r"column bite is in one of mm, cm, in, .*; its head says f"):
        read_readings(tmp_path / "t.csv")


@pytest.mark.parametrize(
    "text",
    ["50,18,1.5\n90,4,0\n", "along;across;through\n50;18;1,5\n90;4,0;0\n", "50\t18\t1,5\r\n90\t4\t0\r\n",
     "along (mm),across (mm),through (mm)\n50,18,1.5\n90,4,0\n", "\ufeff50,18,1.5\n90,4,0"],
)  # fmt: skip
def test_points(tmp_path, text):
    wanted = [[50, 18, 1.5], [90, 4, 0]]
    assert np.allclose(parse_points(text, "here"), wanted)
    (tmp_path / "p.csv").write_text(text, "utf-16")
    assert np.allclose(read_points(tmp_path / "p.csv"), wanted)
    (tmp_path / "p.xlsx").write_bytes(xlsx([["along (in)", "across (in)", "through (in)"], [1.0, 2.0, 0.5]]))
    assert np.allclose(read_points(tmp_path / "p.xlsx"), [[25.4, 50.8, 12.7]])


def test_points_quote_what_was_typed():
    with pytest.raises(FileError, match=r"line 2: three numbers .* given '50; 18,5; x'"):
        parse_points("50;18;1,5\n50;18,5;x\n", "here")


def test_marks_in_inches_beside_pixels(tmp_path):
    (tmp_path / "m.csv").write_text("x (px);y (px)\n10,5;20\n")
    assert read_table(tmp_path / "m.csv", SEEN).tolist() == [[10.5, 20.0]]
    (tmp_path / "m.csv").write_text("x (in);y (cm)\n1;2\n")
    assert read_table(tmp_path / "m.csv", SEEN).tolist() == [[25.4, 20.0]]
    (tmp_path / "m.csv").write_text("x;y\n1;2,x\n")
    with pytest.raises(FileError, match=r"row 1: numbers are needed for x, y; given '1', '2,x'"):
        read_table(tmp_path / "m.csv", SEEN)
    (tmp_path / "m.csv").write_text("x;y\n1;2e200\n")
    with pytest.raises(FileError, match=r"row 1: x, y have to be 100000 at most; given '1', '2e200'"):
        read_table(tmp_path / "m.csv", SEEN)


@pytest.mark.parametrize(
    ("name", "inside", "words"),
    [
        ("t.csv", b"bite,bite\n1,2\n", "names a column twice"),
        ("t.csv", b"bite\n1,2\n", "row 1: 2 cells, and the heading line has 1"),
        ("t.csv", b"bite\n", "no rows"),
        ("t.csv", "bité\n1".encode("latin-1"), "UTF-8 or UTF-16"),
        ("t.csv", b'bite\n"1', "cannot be read as a table"),
        ("t.csv", b"bite\n" + b"9" * 200_000, "cannot be read as a table"),
        ("t.xlsx", b"PK\x03\x04", "cannot be read as XLSX"),
        ("t.ods", b"", "cannot be read as ODS"),
        ("t.ods", packed(bomb="0" * 51_000_000), "over 50 MB are packed in it"),
        ("t.ods", packed(a="b"), "cannot be read as ODS"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_one_line(tmp_path, name, inside, words):
    (tmp_path / name).write_bytes(inside)
    with pytest.raises(FileError, match=words) as caught:
        read_rows(tmp_path / name)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_broken_spreadsheets_are_read_or_refused(tmp_path, kind, capfd):
    whole, dice, path = (ods if kind == "ods" else xlsx)([HEADS, *ROWS]), Random(1), tmp_path / f"t.{kind}"
    refused = 0
    for _ in range(200):
        path.write_bytes(content(whole, dice))
        try:
            read_cells(path, 1_000_000, "a table")
        except FileError:
            refused += 1
    assert refused > 50
    assert capfd.readouterr().err == ""
