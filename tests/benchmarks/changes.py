"""Processor seconds of what takes longest: ``python tests/benchmarks/changes.py``.

For each kind of change of a job, on two demos: the quick picture, then the sharp one with its numbers, as the page
asks for them, each also as a multiple of `speed.bare_warp` for pictures of the sharp one's size. Then whole commands,
each in a process of its own, its start included. Processor time counts all threads, and hardly what else runs.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import speed

import preview
from preview.face.view import scale_for

DEMOS = Path(__file__).parents[2] / "demo_patterns"
CHANGED = ("marsh_moon", "running_wave")
QUICK, SHARP = 480, 1600
ROUNDS = 5

Table = dict[str, Any]
Change = Callable[[Table, int], None]
"""Changes a job's table; a later round changes it further."""


def _can(name: str, step: float) -> Change:
    def change(table: Table, number: int) -> None:
        table["can"][name] += step * number

    return change


def _step(kind: str, name: str, step: float) -> Change:
    def change(table: Table, number: int) -> None:
        last = [each for each in table["forging"] if each["step"] == kind][-1]
        last[name] += step * number

    return change


def _minutes(table: Table, number: int) -> None:
    table["forging"][1]["heat"]["minutes"] += 2 * number


def _ends(table: Table, number: int) -> None:
    table["forging"][-1]["ends"] = 8 - 0.1 * number


def _angle(table: Table, number: int) -> None:
    table["grind"]["right"] = {"kind": "flat", "hold": "angle", "angle": 2.2 + 0.02 * number}


def _etch(table: Table, number: int) -> None:
    table["etch"]["minutes"] += 0.2 * number


def _light(table: Table, number: int) -> None:
    table["light"]["azimuth"] += 2.0 * number


CHANGES: dict[str, Change] = {
    "can length": _can("length", 0.5),
    "can width": _can("width", 0.5),
    "can wall": _can("wall", 0.1),
    "fill density": _can("fill_density", 0.01),
    "height of the last press": _step("press", "height", 0.02),
    "trim of the ends": _ends,
    "trim of the faces": _step("trim", "faces", -0.02),
    "minutes of a heat": _minutes,
    "grind": _angle,
    "etch": _etch,
    "light": _light,
}

COMMANDS = {
    "layout": ["layout", "{job}", "--wanted", "{art}", "--out", "{out}"],
    "sheet, client": ["sheet", "{job}", "--kind", "client", "--out", "{out}"],
    "sheet, shop": ["sheet", "{job}", "--kind", "shop", "--out", "{out}"],
    "render with 64 draws": ["render", "{job}", "--likely", "64", "--out", "{out}"],
    "fields at 10 px/mm": ["fields", "{job}", "--px-per-mm", "10", "--out", "{out}.npz"],
}


def spent(work: Callable[[], object]) -> float:
    """Return the processor seconds that ``work`` takes."""
    start = time.process_time()
    work()
    return time.process_time() - start


def changed(job: preview.Job, change: Change, number: int) -> preview.Job:
    """Return ``job`` as it is in a round."""
    table = job.model_dump(exclude_none=True)
    change(table, number)
    return preview.make_job({**table, "folder": job.folder})


def quick(job: preview.Job) -> None:
    """Make the quick picture."""
    preview.jpeg_bytes(preview.preview(job, width=QUICK).picture)


def sharp(job: preview.Job) -> None:
    """Make the sharp picture and the numbers."""
    shown = preview.preview(job)
    preview.jpeg_bytes(shown.picture)
    preview.report_lines(shown)


def time_changes(name: str, kinds: list[str]) -> None:
    """Print a line for each kind of change of a demo: the median of the rounds, and the worst."""
    job = preview.load_job(DEMOS / f"{name}.toml")
    quick(job)
    sharp(job)
    warp = speed.bare_warp(job, scale_for(job.blade.outline, SHARP))
    bare = statistics.median(spent(warp) for _ in range(ROUNDS))
    print(f"{name}; bare warp {bare:.3f} s")
    print(f"{'':<26} {'quick':>7} {'sharp':>7} {'both':>7} {'worst':>7} {'/ warp':>7}")
    for kind in kinds:
        jobs = [changed(job, CHANGES[kind], number) for number in range(1, ROUNDS + 1)]
        times = [(spent(lambda each=each: quick(each)), spent(lambda each=each: sharp(each))) for each in jobs]
        first, second = (statistics.median(each) for each in zip(*times, strict=True))
        both = [sum(each) for each in times]
        middle = statistics.median(both)
        print(f"{kind:<26} {first:7.3f} {second:7.3f} {middle:7.3f} {max(both):7.3f} {middle / bare:7.1f}", flush=True)


def time_command(words: list[str]) -> float:
    """Return the processor seconds of a command on the first demo."""
    with tempfile.TemporaryDirectory() as folder:
        art = DEMOS / "running_wave.png"
        filled = [word.format(job=DEMOS / f"{CHANGED[0]}.toml", art=art, out=f"{folder}/out") for word in words]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-m", "preview", *filled], check=True, stdout=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main(kinds: list[str]) -> None:
    """Measure the kinds of change and the commands that are named, or all."""
    for name in CHANGED:
        asked = [kind for kind in CHANGES if kind in kinds or not kinds]
        if asked:
            time_changes(name, asked)
    for command, words in COMMANDS.items():
        if command in kinds or not kinds:
            print(f"{command:<26} {time_command(words):7.1f} s", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
