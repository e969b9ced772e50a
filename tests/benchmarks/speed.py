"""Speed and memory, as ratios in one run: ``python tests/benchmarks/speed.py``.

The yardstick is `skimage.transform.warp` with a callable inverse map, for the bare map-and-sample of both faces:
no etch, no light, no averaging of fine lines, no file. The callable is the plain composition of the project's own
stages on whole float64 arrays, for pictures of the same size, with the distance to the edge and the forging's table
ready beforehand on both sides. Each is run in turn with what it is compared to; ratios are medians of paired runs.
Beside them stand ratios of processor time, which a busy machine changes little: the work of both threads added up, so
at most twice the ratio of an idle machine's clock.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import preview  # before numpy: it asks for one thread inside a matrix product, as a page or a command has it

import numpy as np  # isort: skip
from skimage.transform import warp

from preview.face.view import RIM, scale_for
from preview.forging.history import pull_back
from preview.pipeline import find_origins

DEMO = Path(__file__).parents[2] / "demo_patterns" / "plain_start.toml"
ROUNDS = 9


def paired(one: Callable[[], object], other: Callable[[], object]) -> tuple[float, float, float, float]:
    """Return median milliseconds of both, and the medians of their ratios by the clock and by the processor."""
    one()
    other()
    times = []
    for _ in range(ROUNDS):
        stops = [(time.perf_counter(), time.process_time())]
        for run in (one, other):
            run()
            stops.append((time.perf_counter(), time.process_time()))
        times.append(np.diff(stops, axis=0))  # of each, by each
    taken, against = np.median(np.array(times)[:, :, 0], axis=0) * 1e3
    by_clock, by_processor = np.median([each[0] / each[1] for each in times], axis=0)
    return taken, against, by_clock, by_processor


def grinds(job: preview.Job) -> Callable[[], preview.Job]:
    """Return a maker of jobs that differ from ``job``, and from each other, in the grind alone."""
    heights = iter(np.linspace(18.0, 30.0, 1000))

    def moved() -> preview.Job:
        bevel = job.grind.right.model_copy(update={"height": float(next(heights))})
        return job.model_copy(update={"grind": job.grind.model_copy(update={"right": bevel})})

    return moved


def bare_warp(job: preview.Job, px_per_mm: float) -> Callable[[], None]:
    """Return the yardstick for ``job``: two pictures of the same size, mapped and sampled by scikit-image."""
    origins = find_origins(job)
    share = origins.sampler.raster.shares[1].astype(float)
    outline = job.blade.outline
    rows, columns = preview.preview(job, px_per_mm=px_per_mm).pictures[0].shape[:2]
    along = ((np.arange(columns) + 0.5) / px_per_mm - RIM)[None, :]
    across = (outline.height + RIM - (np.arange(rows) + 0.5) / px_per_mm)[:, None]
    held = np.clip(along, 0, outline.length)
    distance = outline.edge_distance(held, np.clip(across, outline.edge(held), outline.spine(held)))
    level = np.clip(across, 0, outline.height)  # off the bar the forging's table ends, and there is nothing to see

    def run() -> None:
        for side in ("right", "left"):

            def pixel_to_cell(_: np.ndarray, side=side) -> np.ndarray:
                x, y, z, _ = origins.of_face(side, held, level, distance)
                column, row = np.broadcast_arrays(*origins.in_picture(x, y, z))
                return np.stack([column.ravel(), row.ravel()], axis=1)

            warp(share, pixel_to_cell, output_shape=(rows, columns), order=1)

    return run


def faces(make_job: Callable[[], preview.Job], px_per_mm: float) -> Callable[[], None]:
    """Return the whole way from a changed job to JPEG bytes of both faces."""

    def run() -> None:
        preview.jpeg_bytes(preview.preview(make_job(), px_per_mm=px_per_mm).picture)

    return run


def lit_anew(job: preview.Job) -> Callable[[], None]:
    """Return an etch and light change of a blade whose grind stays, to JPEG bytes of both faces."""
    turns = iter(np.linspace(60.0, 120.0, 1000))

    def run() -> None:
        turn = float(next(turns))
        changed = {
            "light": job.light.model_copy(update={"azimuth": turn}),
            "etch": job.etch.model_copy(update={"minutes": turn / 10}),
        }
        preview.jpeg_bytes(preview.preview(job.model_copy(update=changed)).picture)

    return run


def draws(job: preview.Job) -> Callable[[], None]:
    """Return 64 draws of a blade whose grind has changed, its faces mapped beforehand."""
    moved = grinds(job)

    def run() -> None:
        preview.likely(moved(), draws=64, looks=False)

    return run


def new_history(job: preview.Job) -> float:
    """Return seconds to tabulate eight presses, four of them turned, from nothing."""
    steps = [
        {"step": "consolidate"},
        {"step": "press", "height": 26, "bite": 22, "repeat": 4, "turn_between": True},
        {"step": "press", "height": 6.5, "bite": 20, "repeat": 4},
        {"step": "trim", "faces": 0.8, "sides": 1, "ends": 8},
    ]
    times = []
    for number in range(3):
        steps[1] = {**steps[1], "height": 26 + 0.01 * number}  # else its table is kept from the round before
        again = preview.make_job({**job.model_dump(), "forging": steps, "folder": job.folder})
        start = time.perf_counter()
        pull_back.__wrapped__(again.history)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def memory() -> float:
    """Return megabytes that a 300 mm blade at 24 px/mm needs above the imports, in a process of its own."""
    code = f"""
import preview, skimage.transform, scipy.interpolate, scipy.ndimage
from preview import pipeline
def peak():
    status = dict(line.split(":", 1) for line in open("/proc/self/status"))
    return int(status["VmHWM"].split()[0]) / 1024
before = peak()
job = preview.load_job({str(DEMO)!r})
can = {{"length": 120, "width": 26, "height": 44, "wall": 2.5}}
blade = {{"thickness": 4.5, "outline": {{"length": 300, "height": 36}}}}
job = preview.make_job({{**job.model_dump(), "can": can, "blade": blade, "folder": job.folder}})
preview.jpeg_bytes(preview.preview(job, px_per_mm=24).picture)
print(peak() - before)
"""
    return float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)


def help_over_numpy() -> tuple[float, float]:
    """Return median seconds of ``python -m preview --help`` and of ``import numpy``."""
    commands = ([sys.executable, "-m", "preview", "--help"], [sys.executable, "-c", "import numpy"])
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(7):
        for command, taken in zip(commands, times, strict=True):
            start = time.perf_counter()
            subprocess.run(command, capture_output=True, check=True)
            taken.append(time.perf_counter() - start)
    return statistics.median(times[0]), statistics.median(times[1])


def trials(job: preview.Job) -> Callable[[], None]:
    """Return twelve trials, each with its numbers."""
    heights = iter(np.linspace(0.0, 1.0, 1000))

    def run() -> None:
        least = 8.0 + float(next(heights))
        preview.try_grinds(job, preview.TrialGrinds(heights=tuple(least + 2.0 * n for n in range(12))))

    return run


def main() -> None:
    """Measure, and print a line for each bar: multiples of the bare warp, each run in turn with it."""
    job = preview.load_job(DEMO)
    screen = scale_for(job.blade.outline, 1600)
    warp = bare_warp(job, screen)
    print(f"{'what':<52} {'ms':>8} {'warp, ms':>12} {'ratio':>7} {'of processor':>12}  bar")
    for words, ours, theirs, bar in (
        ("grind change, both faces 1600 px wide", faces(grinds(job), screen), warp, 0.28),
        ("etch and light change, the same", lit_anew(job), warp, 0.05),
        ("64 draws of what is not sure", draws(job), warp, 2.5),
        ("twelve trials with their numbers", trials(job), warp, 1.5),
        ("both faces at 20 px/mm, beside their own warp", faces(grinds(job), 20.0), bare_warp(job, 20.0), 0.13),
    ):
        taken, against, ratio, worked = paired(ours, theirs)
        print(f"{words:<52} {taken:8.1f} {against:12.1f} {ratio:7.3f} {worked:12.3f}  {bar}", flush=True)
    print(f"{'new history of eight presses, s':<52} {new_history(job):8.2f} {'':>12} {'':>7} {'':>12}  1.5")
    print(f"{'memory, 300 mm blade at 24 px/mm, MB':<52} {memory():8.0f} {'':>12} {'':>7} {'':>12}  1000")
    with_help, numpy = help_over_numpy()
    print(f"{'--help beyond import numpy, s':<52} {with_help - numpy:8.2f} {'':>12} {'':>7} {'':>12}  0.5")


if __name__ == "__main__":
    main()
