"""``python -m tests.hostile.uploads --cases 100 --seed 1``: hostile files on every uploader of the page.

All in one visitor's session, one after the other: what one leaves behind is there when the next one comes.
"""

from __future__ import annotations

import argparse
import faulthandler
import logging
import os
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest
from streamlit.testing.v1 import AppTest

from preview.cli import main as command_line
from preview.page.nets import LOG
from preview.page.session import FIRST
from tests.hostile.cases import DRAWN, OUTLINED, PICTURES, Maker
from tests.hostile.good import make_good
from tests.hostile.judging import NOISE, SECONDS, STRANGE
from tests.page.visiting import make_pictures_small, visit

DEMO_FILES = Path(__file__).parents[2] / "demo_patterns"
LONGEST = 1100
"""Characters of one message."""

NAMES = ("{}",) * 6 + (
    "../{}",
    "..\\{}",
    "a\nb{}",
    "\x1b[31m{}",
    "{}" + "n" * 300 + "{}",
    ".{}",
    "💥{}",
    "a/{}",
)


@dataclass(frozen=True)
class Uploader:
    """Where an uploader stands, and which files it is given.

    Parameters
    ----------
    files
        Names of the good files from which the bad ones are made.
    panel
        The tabs that have to be open.
    beside
        Uploaders that this one needs, and the file that each is given.
    then
        Key of the button that makes use of what was uploaded.
    """

    files: tuple[str, ...]
    panel: tuple[str, str] = ("Hand over", "Cautions")
    beside: tuple[tuple[str, str], ...] = ()
    then: str = ""


PACKED = ("packed.zip",) * 4
MEASURED, LOG_PANEL = ("Your forge", "Measured"), ("Your forge", "Blade log")
UPLOADERS = {
    "picture": Uploader((*PICTURES, *PACKED)),
    "job_file": Uploader(("job.toml",), beside=(("picture", "half.png"),)),
    "named_files": Uploader(("forge.toml",), beside=(("picture", "half.png"), ("job_file", "calibrated.toml"))),
    "new_upload": Uploader((*PICTURES, *PACKED)),
    "other_picture": Uploader(PICTURES),
    "wanted": Uploader(PICTURES, ("Fill the can", "Wanted picture")),
    "own_dividers": Uploader(DRAWN, ("Fill the can", "Dividers"), then="use_regions"),
    "sketch": Uploader(("photo.jpg", "half.png", "deep.tif"), ("Your drawings", "Sketch"), then="use_sketch"),
    "blade_drawing": Uploader(OUTLINED[:-1], ("Your drawings", "Blade profile"), then="use_outline"),
    "steel_photo": Uploader(("bar.jpg", "half.png"), ("Try grinds", "Look before you cut"), then="lay_photo"),
    "coupon": Uploader(PICTURES[:-3], MEASURED, then="use_forge"),
    "marks": Uploader(("marks.csv",), MEASURED, then="use_forge"),
    "ruler": Uploader(("ruler.csv",), MEASURED, (("marks", "marks.csv"),), "use_forge"),
    "open_shop": Uploader(("shop.toml",), ("The day", "")),
    "log right": Uploader(PICTURES[:-3], LOG_PANEL, then="log_write"),
    "log coupon": Uploader(PICTURES[:-3], LOG_PANEL, then="log_write"),
    "log readings": Uploader(("readings.csv",), LOG_PANEL, then="log_write"),
}  # fmt: skip


class Caught(logging.Handler):
    """What the page's last net has caught."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.texts.append(record.exc_text or record.getMessage())


class Page:
    """A visitor who uploads one hostile file after the other."""

    def __init__(self, good: dict[str, bytes]) -> None:
        self.good = good
        self.maker = Maker(good)
        self.caught = Caught()
        LOG.addHandler(self.caught)
        self.page = visit(1)

    def upload(self, seed: int, number: int) -> tuple[str, str, list[str]]:
        """Upload a file; return to which uploader, how that ended, and what is wrong with it."""
        dice = Random(f"{seed} {number}")
        where = list(UPLOADERS)[number % len(UPLOADERS)]
        uploader = UPLOADERS[where]
        self.caught.texts.clear()
        began = time.process_time()
        page = self._there(where, uploader)
        for other, file in uploader.beside:
            page.file_uploader(key=other).set_value((file, self.good[file], "")).run()
        field = next(each for each in page.file_uploader if where in (each.key or ""))
        name = dice.choice([each for each in uploader.files if each.endswith(tuple(field.proto.type))])
        content, ending = self._bad(name, dice), Path(name).suffix
        called = dice.choice(NAMES).format(Path(name).stem, "") + ending
        field.set_value((called, content, ""))
        if where == "new_upload":
            page.button(key="my_work").click()  # a dialog is there in the run that opens it
        page.run()
        if where == "blade_drawing" and ending == ".jpg" and dice.random() < 0.7:
            page.selectbox(key="template_way").set_value("The paper that it lies on").run()
        how = "told" if page.error or (where == "other_picture" and page.warning) else "taken"
        if [each for each in page.button if each.key == uploader.then]:
            page.button(key=uploader.then).click().run()
        faults = list(self._faults(page, time.process_time() - began))
        return where, how, faults

    def _bad(self, name: str, dice: Random) -> bytes:
        if name == "packed.zip":
            return self.maker.packed(dice)
        if name == "job.toml":
            return self.maker.table(self.good["plain_start.toml"], dice)
        return self.maker.bad(name, dice)

    def _there(self, where: str, uploader: Uploader) -> AppTest:
        """Return the page with the uploader in sight, of a demo as at first."""
        page = self.page
        outer, inner = uploader.panel
        page.session_state["below"] = outer
        if inner:
            page.session_state[outer] = inner
        own = where in {"picture", "job_file", "named_files"}
        page.selectbox(key="start").set_value("My own pattern" if own else FIRST).run()
        if where == "new_upload":
            page.button(key="my_work").click().run()
        return page

    def _faults(self, page: AppTest, seconds: float) -> list[str]:
        faults = [f"raised: {each.message[:160]}" for each in page.exception]
        faults += [f"caught by the last net: {text[-400:]}" for text in self.caught.texts]
        home = os.environ["XDG_CACHE_HOME"]
        for each in (*page.error, *page.warning, *page.info):
            if home in each.value:
                faults.append(f"a folder of the server: {each.value[:200]}")
            if NOISE.search(each.value):
                faults.append(f"noise: {each.value[:200]}")
            if STRANGE.search(each.value):
                faults.append(f"control characters: {each.value[:200]!a}")
            if any(len(line) > LONGEST for line in each.value.splitlines()):
                faults.append(f"message too long: {each.value[:200]}")
        if seconds > SECONDS:
            faults.append(f"{seconds:.0f} s")
        return faults


def main() -> int:
    """Upload, and print how it ended, by uploader; 1 where something is at fault."""
    asked = argparse.ArgumentParser(prog="python -m tests.hostile.uploads", description=__doc__)
    asked.add_argument("--cases", type=int, default=100, metavar="N")
    asked.add_argument("--seed", type=int, default=1, metavar="N")
    asked.add_argument("--first", type=int, default=0, metavar="N", help="number of the first case")
    options = asked.parse_args()
    faulthandler.enable()
    logging.disable(logging.WARNING)  # Streamlit's own, at each widget of a page without a server
    endings: Counter[tuple[str, str]] = Counter()
    faulty = 0
    with tempfile.TemporaryDirectory() as home, pytest.MonkeyPatch.context() as patch:
        make_pictures_small(patch)
        os.environ["XDG_CACHE_HOME"] = f"{home}/cache"
        good = make_good(Path(home) / "good", DEMO_FILES, command_line)
        good["bar.jpg"] = (DEMO_FILES / "marsh_moon_bar.jpg").read_bytes()
        good["forge.toml"] = b"version = 1\nfriction = 0.5\n"
        good["calibrated.toml"] = b'calibration = "forge.toml"\n' + good["plain_start.toml"]
        page = Page(good)
        for number in range(options.first, options.first + options.cases):
            where, how, faults = page.upload(options.seed, number)
            endings[where, how] += 1
            if faults:
                faulty += 1
                print(
                    f"case {number}, {where}:",
                    *(ascii(each)[1:-1].replace("\\n", "\n    ") for each in faults),
                    flush=True,
                )
                page = Page(good)
    for where in UPLOADERS:
        print(f"{where:<15}{endings[where, 'taken']:>6} taken{endings[where, 'told']:>6} told")
    taken, told = (sum(n for (_, each), n in endings.items() if each == how) for how in ("taken", "told"))
    print(f"{taken + told} uploads, {told} with a word on what is wrong, {faulty} at fault")
    return 1 if faulty else 0


if __name__ == "__main__":
    sys.exit(main())
