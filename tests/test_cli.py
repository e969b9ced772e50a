from __future__ import annotations

import argparse
import io
import json
import math
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from contextlib import redirect_stdout

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from preview.advice.can import enough
from preview.blade.outlines import OUTLINES
from preview.blade.outlines.writing import outline_svg
from preview.cli import main
from preview.cli.grammar import parser
from preview.job.file import load_job, save_packed
from tests.conftest import DEMOS, without_tang
from tests.support.template_photo import Table, laid, photograph

JOB = str(DEMOS / "plain_start.toml")


def run(*arguments: str) -> int:
    return main(list(arguments))


def test_render_writes_all_and_says_what(tmp_path, capsys):
    assert run("render", JOB, "--out", str(tmp_path), "--px-per-mm", "4") == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["faces.png", "numbers.json", "report.txt", "section.png", "spine.png"]
    assert capsys.readouterr().out.count("\n") == 5
    with Image.open(tmp_path / "faces.png") as picture:
        assert picture.info["dpi"][0] == pytest.approx(101.6, abs=0.1)
    numbers = json.loads((tmp_path / "numbers.json").read_text())
    job = load_job(JOB)  # ground flat, from an edge of its own up to the spine
    rise = (job.history.bar.thickness - job.grind.edge) / 2
    angle = math.degrees(math.atan(rise / job.blade.outline.height))
    assert numbers["right"]["stations"][0]["angle_deg"] == pytest.approx(angle, abs=0.01)
    report = (tmp_path / "report.txt").read_text()
    for word in ("mm", "°", "Vent the can", "How far to trust it", "local rules"):
        assert word in report
    assert run("render", JOB, "--out", str(tmp_path), "--px-per-mm", "1", "--inches", "--fahrenheit", "--force") == 0
    assert " mm" not in (tmp_path / "report.txt").read_text()


def test_nothing_is_overwritten_without_force(tmp_path, capsys):
    (tmp_path / "report.txt").write_text("mine")
    assert run("render", JOB, "--out", str(tmp_path), "--px-per-mm", "2") == 2
    assert "exists already" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["report.txt"]
    assert (tmp_path / "report.txt").read_text() == "mine"
    assert run("render", JOB, "--out", str(tmp_path), "--px-per-mm", "2", "--force") == 0
    assert (tmp_path / "report.txt").read_text() != "mine"


def test_fields(tmp_path):
    out = tmp_path / "f.npz"
    assert run("fields", JOB, "--px-per-mm", "2", "--out", str(out)) == 0
    with np.load(out) as found:
        names = {
            "along", "across", "through", "can_along", "can_across", "can_up", "mask", "powder", "nickel", "tone",
            "normal",
        }  # fmt: skip
        assert set(found.files) == {f"{side}_{name}" for side in ("right", "left") for name in names} | {"meta"}
        meta = json.loads(str(found["meta"]))
        assert meta["powders"] == ["plain", "nickel"]
        assert found["right_tone"].shape == found["left_mask"].shape
    assert run("fields", JOB, "--px-per-mm", "2", "--out", str(out)) == 2


def test_trace_there_and_back(tmp_path, capsys):
    points = tmp_path / "points.csv"
    points.write_text("along,across,through\n50,18,1.5\n90,4,0\n500,0,0\n")
    assert run("trace", JOB, "--points", str(points)) == 0
    said = capsys.readouterr()
    assert said.err == "off the metal, so their cells stay empty: row 3\n"
    lines = said.out.splitlines()
    assert lines[0] == "along,across,through,can_along,can_across,can_up"
    assert lines[3].endswith(",,,")
    can = tmp_path / "can.csv"
    can.write_text("\n".join(",".join(line.split(",")[3:]) for line in lines[1:3]))
    assert run("trace", JOB, "--points", str(can), "--reverse", "--out", str(tmp_path / "back.csv")) == 0
    back = (tmp_path / "back.csv").read_text().splitlines()
    assert [float(cell) for cell in back[1].split(",")[3:]] == pytest.approx([50, 18, 1.5], abs=1e-4)


def test_trace_from_standard_input_to_standard_output(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("50,18,1.5\n"))
    assert run("trace", JOB, "--points", "-", "--out", "-") == 0
    heads, line = capsys.readouterr().out.splitlines()
    assert heads == "along,across,through,can_along,can_across,can_up"
    assert line.startswith("50.000000,18.000000,1.500000,")
    monkeypatch.setattr("sys.stdin", io.StringIO("50,here,1.5\n"))
    assert run("trace", JOB, "--points", "-") == 2
    assert capsys.readouterr().err.startswith("points: line 1: three numbers")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("render", "none.toml", "--out", "."), "no such file"),
        (("render", JOB, "--out", "no/such/folder"), "no such folder"),
        (("budget", JOB, "--bead", "0", "--out", "no/such/folder"), "no such folder"),
        (("trials", JOB, "--heights", "12", "--out", "no/such/folder"), "no such folder"),
        (("trace", JOB, "--points", "-", "--out", "no/such/f.csv"), "no such folder"),
        (("fields", JOB, "--px-per-mm", "2", "--out", "no/such/f.npz"), "no such folder"),
        (("trace", JOB, "--points", "none.csv"), "no such file"),
    ],
)
def test_bad_paths(arguments, words, capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO("50,18,1.5"))
    assert run(*arguments) == 2
    error = capsys.readouterr().err
    assert words in error
    assert error.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_several_blades_are_reckoned_with_tools(tmp_path, capsys):
    assert run("sheet", JOB, "--kind", "shop", "--blades", "2", "--out", str(tmp_path)) == 2
    assert "--shop is needed as well" in capsys.readouterr().err
    shop = str(DEMOS / "shops" / "press_25t.toml")
    assert run("plan", JOB, "--shop", shop, "--blades", "0") == 2
    assert "a number from 1 to 200 is needed; given 0" in capsys.readouterr().err


@pytest.mark.parametrize("content", ["", "along\n", "1,2\n", "1,2,3,4\n", "1,2,nan\n", "1,2,x\n", "\x00"])
def test_bad_points(content, tmp_path, capsys):
    points = tmp_path / "points.csv"
    points.write_text(content)
    assert run("trace", JOB, "--points", str(points)) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_one_line_for_each_fault(tmp_path, capsys):
    (tmp_path / "job.toml").write_text('[pattern]\npicture = "p.png"\n[can]\nwall = -1\n[etch]\nminutes = -2\n')
    assert run("render", str(tmp_path / "job.toml"), "--out", str(tmp_path)) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(":")[0] for line in lines] == ["can.wall", "etch.minutes"]


def test_unwritable_folder(tmp_path, capsys, monkeypatch):
    def refuse(**_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("preview.base.whole_sets.tempfile.mkdtemp", refuse)
    assert run("render", JOB, "--out", str(tmp_path), "--px-per-mm", "2") == 2
    assert "Permission denied" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_a_packed_job_stands_in_place_of_its_file(tmp_path, capsys):
    packed = tmp_path / "blade.zip"
    assert run("pack", JOB, "--out", str(packed)) == 0
    assert capsys.readouterr().out == f"{packed}\n"
    assert run("pack", JOB, "--out", str(packed)) == 2
    assert "exists already" in capsys.readouterr().err
    assert run("budget", JOB, "--bead", "0") == run("budget", str(packed), "--bead", "0") == 0
    said = capsys.readouterr().out
    assert said[: len(said) // 2] == said[len(said) // 2 :]


def test_a_broken_pack_is_one_clear_line(tmp_path, capsys):
    packed = tmp_path / "blade.zip"
    packed.write_bytes(b"nothing")
    assert run("budget", str(packed)) == 2
    error = capsys.readouterr().err
    assert error.startswith(f"{packed}: not a packed file (ZIP)")
    assert error.count("\n") == 1


def test_bad_options(capsys):
    for arguments in ([], ["render"], ["render", JOB, "--out", ".", "--px-per-mm", "900"]):
        with pytest.raises(SystemExit) as caught:
            main(arguments)
        assert caught.value.code == 2
    with pytest.raises(SystemExit):
        main(["sheet", JOB, "--kind", "shop", "--paper", "a7", "--out", "."])
    assert "'a7' (choose from" in capsys.readouterr().err


def commands():
    (found,) = (each.choices for each in parser()._actions if isinstance(each, argparse._SubParsersAction))
    return found


def helped(*arguments):
    stream = io.StringIO()
    with pytest.raises(SystemExit) as caught, redirect_stdout(stream):
        main([*arguments, "--help"])
    assert caught.value.code == 0
    return stream.getvalue()


@pytest.mark.parametrize("name", commands())
def test_help_says_what_it_is_for_and_gives_an_example_that_parses(name):
    said = helped(name)
    assert "Exit code 0, or 2" in said
    about, options = commands()[name].description, said.partition("options:")[2]
    assert about.count(". ") + about.count(".\n") <= 2
    assert about.endswith(".")
    assert "SUPPRESS" not in options
    (line,) = re.findall(r"example:\n  etch-preview (.*)\n", said)
    assert parser().parse_args(shlex.split(line)).run


def test_help_tells_the_librarys_own_usual_values():
    assert "(default 220,220,250)" in helped("dividers")
    assert re.search(r"right, left, both;\s+default right", helped("layout"))
    assert "flat, hollow, convex" in helped("trials")
    assert re.search(r"client, shop\)", helped("sheet"))
    assert "(default 1000)" in helped("budget")
    assert "(default 50)" in helped("calibrate")
    assert "(default 16)" in helped("render")
    assert "(default 70)" in helped("sketch")


def test_version(capsys):
    with pytest.raises(SystemExit) as caught:
        main(["--version"])
    assert caught.value.code == 0
    stated = tomllib.loads((DEMOS.parent / "pyproject.toml").read_text())["project"]["version"]
    assert capsys.readouterr().out == f"etch-preview {stated}\n"


@pytest.mark.parametrize("shell", ["bash", "zsh"])
def test_completion(shell, capsys):
    with pytest.raises(SystemExit) as caught:
        main(["--print-completion", shell])
    assert caught.value.code == 0
    said = capsys.readouterr().out
    assert all(name in said for name in (*commands(), "--px-per-mm", "tabloid"))
    if shutil.which(shell):
        subprocess.run([shell, "-n"], input=said, text=True, check=True)


def test_help_imports_nothing_heavy():
    code = (
        "import sys, preview.cli\n"
        "try: preview.cli.main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = 'streamlit', 'matplotlib', 'skimage', 'scipy', 'pydantic', 'numpy', 'tqdm', 'shtab'\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]")


READINGS = """thickness_before,thickness_after,bite,width_face_before,width_mid_before,width_face_after,width_mid_after
42.3,35.4,20,30.4,30.4,32.0,34.1
"""


@pytest.fixture(scope="module")
def examples(tmp_path_factory):
    """Run the example of every command's help in a folder, as it stands there."""
    folder = tmp_path_factory.mktemp("examples")
    (folder / "demo_patterns").symlink_to(DEMOS)
    (folder / "points.csv").write_text("50,18,1.5\n")
    (folder / "readings.csv").write_text(READINGS)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name, command in commands().items():
            if name == "page":  # which serves until it is stopped: tests/page/test_serving.py
                continue
            line = command.example.removeprefix("etch-preview ")
            assert run(*shlex.split(line)) == 0, line
        job = "demo_patterns/plain_start.toml"
        assert run("render", job, "--px-per-mm", "2", "--likely", "6", "--out", "likely") == 0
        assert run("budget", job, "--out", "weighed") == 0
    return folder


@pytest.mark.slow
def test_the_examples_of_the_help_work(examples):
    made = {path.name for path in examples.iterdir()}
    assert {
        "looks",
        "plain_start.npz",
        "laid",
        "walls",
        "filled",
        "planned",
        "trials",
        "sheets",
        "forge.toml",
        "plain_start.zip",
        "reed.png",
        "reed.svg",
    } <= made


UNITS = (
    "mm", "mm2", "cm3", "um", "mm_per_mm", "deg", "g", "g_per_cm3", "celsius", "min", "share", "lightness",
    "money",
)  # fmt: skip
ENDINGS = tuple(f"_{unit}" for unit in UNITS)
NO_UNIT = {
    "draws", "seed", "rungs", "open_after", "off", "axis", "number", "bites", "closings", "bites_a_heat", "heats",
    "blades", "cans", "last", "often", "parts_above", "parts_crossed", "parts_below",
}  # fmt: skip
"""Counts, and numbers of trials, of steps and of axes."""


def bare_numbers(value, name=""):
    """Yield the names of numbers that do not end in a unit; what lies below a name with a unit has that unit."""
    if isinstance(value, dict):
        for key, below in value.items():
            named = name if name.endswith(ENDINGS) else key
            yield from bare_numbers(below, named)
    elif isinstance(value, list):
        for below in value:
            yield from bare_numbers(below, name)
    elif isinstance(value, (int, float)) and not (isinstance(value, bool) or name in NO_UNIT or name.endswith(ENDINGS)):
        yield name


@pytest.mark.slow
@pytest.mark.parametrize(
    "file",
    [
        "looks/numbers.json",
        "likely/likely.json",
        "laid/agreement.json",
        "trials/trials.json",
        "weighed/budget.json",
        "planned/plan.json",
    ],
)
def test_every_number_of_a_file_names_its_unit(examples, file):
    def refuse(constant):
        raise AssertionError(constant)

    found = json.loads((examples / file).read_text(), parse_constant=refuse)
    assert not set(bare_numbers(found))
    assert found


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_long_work_shows_a_bar_on_a_terminal_only(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("preview.cli.bar.SILENT", 0.0)
    assert run("trials", JOB, "--heights", "12,16", "--out", str(tmp_path / "plain")) == 0
    assert capsys.readouterr().err == ""
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    assert run("trials", JOB, "--heights", "12,16", "--out", str(tmp_path / "shown")) == 0
    assert re.search(r"trial grinds: +\d+% \|", terminal.getvalue())
    assert "trial grinds" not in capsys.readouterr().out


@pytest.mark.slow
def test_sketch(tmp_path, capsys):
    photo, out = str(DEMOS / "reed_sketch.jpg"), tmp_path / "reed.png"
    corners = "0.1,0.06,0.91,0.12,0.93,0.93,0.05,0.92"
    arguments = ("sketch", photo, "--width", "2 in", "--swap", "--corners", corners, "--crop", "0,0,1,0.5")
    assert run(*arguments, "--out", str(out)) == 0
    said = capsys.readouterr().out
    assert "as set by hand" in said
    assert "At 50.8 x" in said
    assert [path.name for path in tmp_path.iterdir()] == ["reed.png"]
    assert run("sketch", photo, "--corners", "0,0,1", "--out", str(out)) == 2
    assert capsys.readouterr().err.startswith("sketch.corners[1]:")
    assert run("sketch", str(DEMOS / "plain_start.toml"), "--out", str(out)) == 2
    assert "not a picture" in capsys.readouterr().err
    assert run("sketch", photo, "--out", str(out)) == 2
    assert "exists already" in capsys.readouterr().err


def art(path):
    picture = np.zeros((100, 300), dtype=np.uint8)
    picture[30:70, 60:240] = 255
    Image.fromarray(picture).save(path)
    return str(path)


@pytest.mark.slow
def test_layout(tmp_path, capsys):
    wanted = art(tmp_path / "art.png")
    out = tmp_path / "out"
    place = ("--at", "90,18", "--size", "60", "--turn", "10")
    assert run("layout", JOB, "--wanted", wanted, *place, "--face", "both", "--out", str(out)) == 0
    said = capsys.readouterr().out
    assert said.count("bright areas overlap by") == 2
    assert json.loads((out / "agreement.json").read_text())["agreement"]["left"]["overlap_share"] > 0.98
    assert run("render", str(out / "job.toml"), "--out", str(tmp_path), "--px-per-mm", "2") == 0
    assert run("layout", JOB, "--wanted", wanted, "--out", str(out)) == 2
    assert "exists already" in capsys.readouterr().err
    assert run("layout", JOB, "--wanted", wanted, "--size", "wide", "--out", str(out)) == 2
    assert capsys.readouterr().err.startswith("wanted.size:")


@pytest.mark.slow
def test_dividers_out_and_in_again(tmp_path, capsys):
    out, back = tmp_path / "out", tmp_path / "back"
    assert run("dividers", JOB, "--bead", "0.6", "--bed", "120,120,60", "--out", str(out)) == 0
    assert "0.6 mm" in capsys.readouterr().out
    assert run("dividers", JOB, "--bed", "10,10,10", "--out", str(back)) == 2
    assert "printing.bed" in capsys.readouterr().err
    assert not back.exists()
    arguments = (
        "fill",
        JOB,
        "--dividers",
        str(out / "ordinary_printing" / "dividers.3mf"),
        "--powders",
        "2=nickel",
        "--cut",
        "10",
    )
    assert run(*arguments, "--out", str(back)) == 0
    assert "regions, numbered in regions.png" in capsys.readouterr().out
    assert run("budget", str(back / "job.toml"), "--bead", "0") == 0
    (tmp_path / "mess.stl").write_text("no solid at all")
    assert run("fill", JOB, "--dividers", str(tmp_path / "mess.stl"), "--out", str(tmp_path)) == 2
    assert "mess.stl" in capsys.readouterr().err


def test_budget(tmp_path, capsys):
    assert run("budget", JOB, "--margin", "5", "--read-at", "1100", "--bead", "0", "--out", str(tmp_path)) == 0
    said = capsys.readouterr().out
    for words in ("Powder in all", "read at 1100 °C", "for 5 mm of bar", "0.0% of the inside", "Cautions"):
        assert words in said
    assert json.loads((tmp_path / "budget.json").read_text())["margin_mm"] == 5
    assert run("budget", JOB, "--margin", "25.4", "--bead", "0", "--inches", "--fahrenheit") == 0
    said = capsys.readouterr().out
    for words in ("cold, in", "read at 1832 °F, in", "for 1.000 in of bar"):
        assert words in said
    assert " mm" not in said.replace("25 mm (1 inch)", "")
    assert "cm³" not in said.replace("g/cm³", "")
    assert " in²" in said
    assert " in³" in said
    assert "What costs most" not in said
    longer = without_tang(load_job(DEMOS / "marsh_moon.toml"))  # its can holds the tang too, and now for nothing
    save_packed(longer, tmp_path / "longer.zip")
    assert run("budget", str(tmp_path / "longer.zip"), "--bead", "0", "--inches") == 0
    first = capsys.readouterr().out.splitlines()[:2]
    assert first[0] == "What costs most steel as it is:"
    assert f"a can {enough(longer, 'length') / 25.4:.3f} in long inside would do" in first[1]
    with pytest.raises(SystemExit):
        run("budget", JOB, "--margin", "-5")
    assert run("budget", JOB, "--bead", "0.05") == 2
    last = capsys.readouterr().err.splitlines()[-1]
    assert last == "printing.bead: a number of at least 0.1 is needed; given 0.05"


def test_trials(tmp_path, capsys):
    assert run("trials", JOB, "--angles", "4,5.5", "--face", "left", "--out", str(tmp_path)) == 0
    assert "5.5°, then 4°" in capsys.readouterr().out
    assert json.loads((tmp_path / "trials.json").read_text())["ladder"]["rungs"] == [1, 0]
    assert run("trials", JOB, "--heights", "12,16", "--inches", "--out", str(tmp_path), "--force") == 0
    said = capsys.readouterr().out
    assert " mm" not in said
    assert " in²" in said
    assert run("trials", JOB, "--kinds", "flat,wavy", "--out", str(tmp_path), "--force") == 2
    assert capsys.readouterr().err.startswith("trials.kinds")
    with pytest.raises(SystemExit):
        run("trials", JOB, "--heights", "12", "--angles", "5", "--out", str(tmp_path))


def test_outline_of_a_photo(tmp_path, capsys):
    named = OUTLINES["spear"](shape="spear", length=110, height=28, tang=70)
    table = Table(room=(240, 110), size=(720, 330), ruler=(20.0, 6.0), finer=6)
    photo, out = tmp_path / "t.png", tmp_path / "blade.svg"
    Image.fromarray(photograph([laid(named.profile, table)], table)).save(photo)
    places = ",".join(f"{share:.4f}" for share in table.seen(np.array([[25, 84], [215, 84]])).ravel())
    assert run("outline", str(photo), "--ruler", places, "--ruler-length", "190", "--out", str(out)) == 0
    said = capsys.readouterr().out
    length = float(re.search(r"The blade is ([\d.]+) mm", said)[1])
    assert length == pytest.approx(110, abs=1.2)
    assert "by the marks 190 mm apart" in said
    assert ">spine" in out.read_text()
    for arguments, told in (
        (("--ruler", "0.1,0.1,0.9,0.1"), "outline.ruler.apart: is needed"),
        (("--ruler", "0.1", "--ruler-length", "190"), "outline.ruler"),
        (("--paper", "a4"), "no sheet of paper is seen whole"),
        ((), "nothing tells how large the template is"),
    ):
        assert run("outline", str(photo), *arguments, "--out", str(tmp_path / "a.svg")) == 2
        assert told in capsys.readouterr().err


def test_outline(tmp_path, capsys):
    named = OUTLINES["spear"](shape="spear", length=150, height=30, ricasso=20, choil=3, tang=100)
    drawing, out = tmp_path / "blade.svg", tmp_path / "shown.svg"
    drawing.write_text(outline_svg(named))
    assert run("outline", str(drawing), "--length", "6 in", "--inches", "--out", str(out)) == 0
    assert "The blade is 6.000 in from heel to tip" in capsys.readouterr().out
    words = out.read_text()
    for each in ("edge, 6.000 in", "spine", "heel", "tang, 4.000 in", "choil", "ricasso", "plunge", "tip"):
        assert f">{each}" in words or f"; here is the {each}" in words
    assert run("outline", JOB, "--out", str(tmp_path / "shown.png")) == 0
    with Image.open(tmp_path / "shown.png") as picture:
        assert picture.info["dpi"][0] == pytest.approx(150, abs=0.1)
    for arguments, told in (
        ((str(drawing), "--tang", "-5", "--out", str(tmp_path / "a.svg")), "outline.tang"),
        ((str(drawing), "--out", str(out)), "exists already"),
        ((str(drawing), "--out", str(tmp_path / "a.gif")), ".svg or .png"),
        ((str(tmp_path / "none.dxf"), "--out", str(tmp_path / "a.svg")), "no such file"),
    ):
        assert run("outline", *arguments) == 2
        error = capsys.readouterr().err
        assert told in error
        assert error.count("\n") == 1


@pytest.mark.filterwarnings("ignore::ResourceWarning")  # the reader keeps its pages until the interpreter ends
def test_sheet(tmp_path, capsys):
    told = ("--maker", "A smith", "--for", "a friend", "--story", "A story.", "--date", "today")
    units = ("--inches", "--fahrenheit")
    assert run("sheet", JOB, "--kind", "shop", "--paper", "letter", *told, *units, "--out", str(tmp_path)) == 0
    document = pypdfium2.PdfDocument(tmp_path / "shop_sheet.pdf")
    text = "".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    assert "A smith" in text
    assert "sizes in inches" in text
    assert "1832 °F" in text
    assert run("sheet", JOB, "--kind", "shop", "--out", str(tmp_path)) == 2
    assert "exists already" in capsys.readouterr().err
    assert run("sheet", JOB, "--kind", "shop", "--beside", JOB, "--out", str(tmp_path / "other")) == 2
    assert "go on the client's sheet" in capsys.readouterr().err
    assert run("sheet", JOB, "--kind", "client", "--story", "x" * 1600, "--out", str(tmp_path)) == 2
    assert capsys.readouterr().err.startswith("sheet.story")
