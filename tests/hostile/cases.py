"""A case: a command, its options, and the folder that it finds."""

from __future__ import annotations

import argparse
import io
import os
import tomllib
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any, get_args

import tomli_w

from preview import STEPS, Job, Settings
from preview.blade.grinds import GRIND_KINDS
from preview.blade.outlines import OUTLINES
from preview.cli.grammar import parser
from tests.hostile import mutating
from tests.hostile.good import DEMOS

PICTURES = (
    "plain_start.png", "half.png", "half.tif", "half.gif", "half.bmp", "half.webp", "half.jpg", "grey.png", "deep.tif",
    "palette.png", "photo.jpg", "drawing.svg", "dividers.svg", "dividers.dxf",
)  # fmt: skip
DRAWN = ("dividers.stl", "dividers.3mf", "dividers.svg", "dividers.dxf", "drawing.svg")
OUTLINED = ("profile.svg", "drawing.svg", "dividers.dxf", "photo.jpg", "half.png")
LOG_FORMS = ("--add", "--name", "--compare")
LOGS = ("in", "in/job.toml", "no/such/out", "n" * 300, "a\0b", "", "/proc/x")
QUICK = ("plan", "trace", "pack", "outline", "calibrate", "fill", "fields")
"""Commands that take little time, and so are tried more often."""

PACKED = (".3mf", ".ods", ".xlsx")
TEXTS = (".toml", ".csv", ".svg", ".dxf")

USUAL: dict[str, tuple[str, ...]] = {
    "--px-per-mm": ("0.5", "1", "0.5", "1", "2", "4"), "--likely": ("6", "8"), "--bead": ("0.4", "0.8", "100"),
    "--margin": ("5",),
    "--tolerance": ("0.05",), "--height": ("20", "1/2 in"), "--bed": ("220,220,250",), "--clearance": ("0.2",),
    "--layer": ("0.2",), "--base": ("0", "0.6"), "--at": ("80,15",), "--size": ("40", "40,15"), "--turn": ("10",),
    "--powders": ("1=nickel", "2=nickel,3=plain", "9" * 30 + "=nickel"), "--cut": ("5",), "--close": ("0.5",),
    "--heights": ("12,16", "20"), "--angles": ("4,5",), "--maker": ("Reed & Anvil",), "--for": ("A & B",),
    "--story": ("Reeds <b>by</b> the water",), "--date": ("today",), "--read-at": ("900",), "--width": ("60",),
    "--smallest": ("0.5",), "--smooth": ("0.3",), "--pale": ("0.5",), "--corners": ("0,0,1,0,1,1,0,1",),
    "--crop": ("0.1,0.1,0.9,0.9",), "--length": ("120",), "--ricasso": ("10",), "--tang": ("50",),
    "--ruler-length": ("150",), "--bright": ("0.6,0.2,0.9,0.8",), "--dark": ("0.1,0.2,0.4,0.8",),
    "--card": ("0,0,0.1,0.1", "0.1,0.1,0.3,0.1,0.3,0.2,0.1,0.2", "none"),
    "--card-lightness": ("50",), "--port": ("8600",), "--sharpened": ("2",),
    "--keep": ("1", "2=0.5", "20,5,30,12=2", "20,5,30,12"), "--along": ("-10,10", "0,0"), "--across": ("-1,1",),
    "--after": ("1",), "--beside": ("in/plain_start.toml",), "--blades": ("3", "12"),
    "--day": ("2026-03-21",), "--bar": ("200,40,5", "317,49.4"),
    "--dips": ("ferric, 12", "strong, 45, coffee"), "--result": ("Fair",), "--photos": ("in/plain_start.png",),
    "--compare": ("first", "second"), "--name": ("First knife",), "--add": ("in/plain_start.toml",),
    "--past": ("in/log/second",), "--forge": ("forge.toml",), "--card-size": ("85.6,53.98",),
    "--mark": ("900,500=85,20", "900,500=85,20", "5,5=85,20"),
}  # fmt: skip
FILES = {
    "--points": ("points.csv",), "--readings": ("readings.csv", "readings.ods", "readings.xlsx"),
    "--marks": ("marks.csv",), "--ruler": ("ruler.csv",), "--coupon": PICTURES, "--wanted": PICTURES,
    "--dividers": DRAWN, "--shop": ("shop.toml",), "--right": PICTURES, "--left": PICTURES,
    "--photo": ("bar.jpg",) * 20 + PICTURES,
}  # fmt: skip
SEEN = """bar = [206.7, 30.0]
start = [0.0, 0.0]
spacing = [103.3, 30.0]
along = [[0.5, 0.2, 0.1], [0.5, 0.2, 0.1]]
across = [[0.0, 0.1, 0.0], [0.0, 0.1, 0.0]]
left = [{along = [[1.0, 1.0, 1.0], [1.0, 1.0, 1.0]], across = [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0]]}]
"""
ENDINGS = {"fields": "out.npz", "calibrate": "out.toml", "trace": "out.csv", "outline": "out.svg", "pack": "out.zip",
           "sketch": "out.png", "view": "out.html"}  # fmt: skip


@dataclass
class Case:
    """What is typed, and the files that lie there, by their paths."""

    command: str
    arguments: list[str]
    files: dict[str, bytes] = field(default_factory=dict)
    folders: list[str] = field(default_factory=list)

    def lay(self, folder: Path) -> None:
        """Put the files where the command finds them."""
        for name in self.folders:
            (folder / name).mkdir(parents=True, exist_ok=True)
        for name, content in self.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)


def _keys(model: type[Settings], path: tuple[str, ...] = (), seen: tuple[Any, ...] = ()) -> Iterator[tuple[str, ...]]:
    for name, each in model.model_fields.items():
        yield (*path, name)
        kinds: list[Any] = [each.annotation]
        while kinds:
            kind = kinds.pop()
            kinds += get_args(kind)
            if isinstance(kind, type) and issubclass(kind, Settings) and kind not in seen:
                yield from _keys(kind, (*path, name), (*seen, kind))


KEYS = tuple(
    dict.fromkeys(
        [
            *(key for key in _keys(Job) if key[0] not in {"folder", "forge", "found"}),
            *(("forging", *key) for step in STEPS for key in _keys(step)),
            *(("grind", "right", *key) for kind in GRIND_KINDS.values() for key in _keys(kind)),
            *(("blade", "outline", *key) for kind in OUTLINES.values() for key in _keys(kind)),
            ("unknown",), ("pattern", "along"), ("folder",), ("forge",), ("found",),
        ]
    )
)  # fmt: skip


def commands() -> dict[str, argparse.ArgumentParser]:
    """Return the parsers of all commands but that of the page, which serves until it is stopped."""
    (found,) = (each for each in parser()._actions if isinstance(each, argparse._SubParsersAction))
    return {name: each for name, each in found.choices.items() if name != "page"}


class Maker:
    """Makes cases: the same of the same seed and number."""

    def __init__(self, good: dict[str, bytes]) -> None:
        self.good = good
        self.commands = commands()

    def case(self, seed: int, number: int, command: str | None = None) -> Case:
        """Return a case."""
        dice = Random(f"{seed} {number}")
        chosen = dice.choice([*self.commands, *QUICK, *QUICK])
        name = command or chosen
        case = Case(name, [name])
        bad = dice.choice(("job", "job", "job", "file", "file", "file", "option", "option", "out"))
        given = "photo" if name == "sketch" else "of" if name == "outline" else "job"
        if name == "log":
            case.arguments += self._log(case, dice, bad)
        elif given == "job":
            case.arguments.append(self._job(case, dice, hostile=bad == "job"))
        elif name == "outline" and dice.random() < 0.3:
            case.arguments.append(self._job(case, dice, hostile=bad in {"job", "file"}))
        else:
            which = PICTURES if name == "sketch" else OUTLINED
            case.arguments.append(self._file(case, which, dice, hostile=bad in {"job", "file"}))
        self._options(case, dice, bad)
        if dice.random() < 0.3:
            case.arguments.append("--force")
        return case

    def _job(self, case: Case, dice: Random, *, hostile: bool) -> str:
        demo = dice.choice(DEMOS)
        content = self.good[f"{demo}.toml"]
        case.files[f"in/{demo}.png"] = self.good[f"{demo}.png"]
        chance = dice.random()
        if not hostile:
            if dice.random() < 0.1:
                self._beside(case, dice, content)
                return "in/job.toml"
        elif chance < 0.6:
            content = self.table(content, dice)
        elif chance < 0.75:
            content = mutating.text(content.decode(), dice).encode("utf-8", "surrogatepass")
        elif chance < 0.8:
            content = mutating.content(content, dice)
        elif chance < 0.9:
            self._beside(case, dice, content)
            return "in/job.toml"
        else:
            case.files["in/job.zip"] = self.packed(dice)
            return "in/job.zip"
        case.files["in/job.toml"] = content
        return dice.choice(("in/job.toml",) * 30 + ("in", "in/none.toml", "in/\0", "n" * 300, "/dev/null"))

    def _log(self, case: Case, dice: Random, bad: str) -> list[str]:
        """Return what is asked of a log: to add a blade, or to list those that are there, where a file may be bad."""
        if dice.random() < 0.5:
            into = dice.choice(LOGS) if bad == "out" else "out"
            name = self._spoilt("First knife", dice) if bad == "option" else "First knife"
            return [into, f"--add={self._job(case, dice, hostile=bad == 'job')}", f"--name={name}"]
        case.files |= {f"in/{path}": content for path, content in self.good.items() if path.startswith("log/")}
        if bad in {"job", "file"}:
            path = dice.choice([path for path in self.good if path.startswith("log/")])
            case.files[f"in/{path}"] = self.bad(path, dice)
        return ["in/log", "--compare", "first", "second"] if dice.random() < 0.3 else ["in/log"]

    def table(self, content: bytes, dice: Random) -> bytes:
        changed = mutating.table(tomllib.loads(content.decode()), KEYS, dice)
        try:
            return tomli_w.dumps(changed).encode("utf-8", "surrogatepass")
        except (TypeError, ValueError, AttributeError):
            return content

    def _beside(self, case: Case, dice: Random, content: bytes) -> None:
        """Let the job name another picture, outline, calibration or what was seen, which may be bad."""
        table = tomllib.loads(content.decode())
        match dice.randrange(5):
            case 0 | 1:
                name = dice.choice(PICTURES)
                case.files[f"in/{name}"] = self.bad(name, dice)
                table["pattern"] = {"picture": name}
            case 2:
                name = dice.choice(OUTLINED)
                case.files[f"in/{name}"] = self.bad(name, dice)
                table["blade"] = {"outline": {"drawing": name, "length": 150}}
            case 3:
                table["seen"] = dice.choice(("seen.toml",) * 5 + (".", "a\0b", "..", "/etc/hostname"))
                case.files["in/seen.toml"] = mutating.numbers_in(SEEN, dice).encode()
            case _:
                forge = dice.choice((b"spread_factor = 1.1\n", b"version = 1\nfriction = 0.5\n"))
                case.files["in/forge.toml"] = mutating.text(forge.decode(), dice).encode("utf-8", "surrogatepass")
                table["calibration"] = dice.choice(
                    ("forge.toml",) * 5 + (".", "a\0b", "n" * 300, "..", "/etc/hostname")
                )
        case.files["in/job.toml"] = tomli_w.dumps(table).encode("utf-8", "surrogatepass")

    def packed(self, dice: Random) -> bytes:
        good = self.good["packed.zip"]
        if dice.random() < 0.5:
            return mutating.content(good, dice)
        stream = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(good)) as archive, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
            for name in archive.namelist():
                inside = archive.read(name)
                if name == "job.toml":
                    inside = self.table(inside, dice)
                elif dice.random() < 0.3:
                    inside = mutating.content(inside, dice)
                made.writestr(dice.choice((name,) * 12 + ("../" + name, "a/" + name, name.upper())), inside)
            if dice.random() < 0.2:
                made.writestr("bomb.bin", bytes(5_000_000))
        return stream.getvalue()

    def bad(self, name: str, dice: Random) -> bytes:
        good = self.good[name]
        ending = os.path.splitext(name)[1]  # noqa: PTH122
        chance = dice.random()
        if chance < 0.15:
            return good
        if ending in TEXTS and chance < 0.55:
            return mutating.numbers_in(good.decode(), dice).encode()
        if ending in TEXTS and chance < 0.85:
            return mutating.text(good.decode(), dice).encode("utf-8", "surrogatepass")
        if ending in PACKED and chance < 0.7:
            return self._in_pack(good, dice)
        if chance > 0.97:
            return dice.choice(
                (b"", b"\0" * 5000, b"\xff\xfe", b"PK\x03\x04", b"<svg/>", b"solid x\nendsolid x\n", os.urandom(0))
            )
        return mutating.content(good, dice)

    def _in_pack(self, good: bytes, dice: Random) -> bytes:
        stream = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(good)) as archive, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
            for name in archive.namelist():
                inside = archive.read(name)
                if name.endswith((".model", "content.xml", "sheet1.xml")) or dice.random() < 0.2:
                    change = mutating.numbers_in if dice.random() < 0.6 else mutating.text
                    inside = change(inside.decode(), dice).encode("utf-8", "surrogatepass")
                made.writestr(name, inside)
        return stream.getvalue()

    def _file(self, case: Case, names: tuple[str, ...], dice: Random, *, hostile: bool) -> str:
        name = dice.choice(names)
        case.files[f"in/{name}"] = self.bad(name, dice) if hostile else self.good[name]
        return f"in/{name}"

    def _options(self, case: Case, dice: Random, bad: str) -> None:
        known = [each for each in self.commands[case.command]._actions if each.option_strings]
        one_of = dice.choice(("--heights", "--angles", "--kinds"))
        measured = dice.choice(("--readings", "--readings", "--marks", "--coupon"))
        spoilt = dice.choice(known).option_strings[-1] if bad == "option" else ""
        for action in known:
            option = action.option_strings[-1]
            needed = action.required or option in {one_of, "--px-per-mm"} or (
                case.command == "calibrate" and option == measured
            )  # fmt: skip
            if option in {"--help", "--force", "--out"} or not (needed or option == spoilt or dice.random() < 0.12):
                continue
            if case.command == "log" and (option in LOG_FORMS or "in/log" in case.arguments):
                continue  # what is asked of a log is settled
            if option in {"--readings", "--marks", "--coupon"} - {measured} and dice.random() < 0.9:
                continue
            if option in {"--heights", "--angles", "--kinds"} and option != one_of and option != spoilt:
                continue
            if action.nargs == 0:
                case.arguments.append(option)
                continue
            if option in FILES and case.command != "outline":
                value = self._file(case, FILES[option], dice, hostile=bad == "file")
            elif option == "--ruler":
                value = "0.1,0.9,0.9,0.9"
            elif action.choices is not None:
                value = dice.choice(list(action.choices))
            elif option == "--kinds":
                value = "flat,convex"
            else:
                value = dice.choice(USUAL[option])
            if option == spoilt:
                value = self._spoilt(value, dice)
            case.arguments.append(f"{option}={value}")
        self._out(case, dice, hostile=bad == "out")

    def _spoilt(self, value: str, dice: Random) -> str:
        chance = dice.random()
        if chance < 0.35:
            return str(dice.choice(mutating.NUMBERS))
        if chance < 0.6:
            return str(dice.choice(mutating.WORDS))[:100_000]
        if chance < 0.8:
            return mutating.numbers_in(value, dice)
        return ",".join(str(dice.choice((*mutating.NUMBERS, value))) for _ in range(dice.choice((2, 3, 4, 8, 13, 200))))

    def _out(self, case: Case, dice: Random, *, hostile: bool) -> None:
        ending = ENDINGS.get(case.command)
        if case.command in {"budget", "trace"} and dice.random() < 0.3:
            return
        if case.command == "log" and case.arguments[1:] != ["in/log"]:
            return
        out = ending or "out"
        if hostile:
            many = (
                "no/such/" + out, "in", "in/job.toml", "n" * 300, "n" * 5000, "a\0b", "", ".", "/dev/null", "/proc/x",
                os.fsdecode(b"out\xff") + Path(out).suffix, "a\nb", "\x1b[31m", "out/" + out, "in/x/" + out,
            )  # fmt: skip
            if dice.random() < 0.5:
                out = dice.choice(many)
            elif ending:
                case.folders.append(out)
            else:
                for name in dice.sample(NAMES, 8):
                    (
                        case.folders.append(f"out/{name}")
                        if dice.random() < 0.5
                        else case.files.update({f"out/{name}": b"mine"})
                    )
        case.arguments.append(f"--out={out}")


NAMES = (
    "faces.png", "spine.png", "section.png", "numbers.json", "report.txt", "spiral_printing/insert.stl",
    "spiral_printing/insert.3mf", "spiral_printing/insert.svg", "spiral_printing/insert.dxf",
    "spiral_printing/insert.txt", "ordinary_printing/dividers.stl", "ordinary_printing/dividers.3mf",
    "ordinary_printing/dividers.svg", "ordinary_printing/dividers.dxf", "ordinary_printing/dividers.txt",
    "can_plan.svg", "spiral_printing/insert_preview.png", "budget.txt", "budget.json", "trials.png", "trials.txt",
    "trials.json", "layout.txt", "job.toml", "pattern.png", "regions.png", "sheet.pdf", "client_sheet.pdf",
    "shop_sheet.pdf", "place.png", "place.toml",
)  # fmt: skip
