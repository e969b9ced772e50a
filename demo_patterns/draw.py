"""Draw the pictures of the demo patterns; every scenario is invented.

Run ``python demo_patterns/draw.py`` to draw them anew beside the job files. Each picture is drawn in millimetres
of the finished bar and squeezed to the can, by the mean stretch of the job's own forging.
"""

from __future__ import annotations

import dataclasses
import itertools
import tomllib
from math import cos, pi, sin
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

import preview

HERE = Path(__file__).parent
PX_PER_MM = 48
Point = tuple[float, float]


def mean_stretch(job: preview.Job) -> list[float]:
    """Return the bar's stretch along, across and through, over its middle half, half way to its upper face.

    A twist or tiles end the reckoning: what is drawn for them is drawn for the bar before.
    """
    whole = job.history
    drawn = itertools.takewhile(lambda step: step.step not in {"twist", "tile"}, whole.steps)
    history = dataclasses.replace(whole, steps=tuple(drawn))
    bar = history.bar
    stretches = []
    for axis, size in enumerate(bar.size):
        ends = np.zeros((2, 3))
        ends[:, 2] = bar.thickness / 4
        ends[:, axis] = -size / 4, size / 4
        start, end = history.bar_to_can(ends)[:, axis]
        stretches.append(size / 2 / (end - start))
    return stretches


class Sheet:
    """A picture of the can's floor or cross-section, drawn in millimetres of the bar from its lower left corner."""

    def __init__(self, name: str, paper: str = "black") -> None:
        self.name = name
        table = tomllib.loads((HERE / f"{name}.toml").read_text("utf-8"))
        job = preview.Job.model_validate({**table, "folder": HERE})
        stretch = mean_stretch(job)
        first = 0 if job.pattern.dividers == "through" else 1
        width, height = job.pattern_area
        self.scale = (PX_PER_MM / stretch[first], PX_PER_MM / stretch[first + 1])
        self.size = (width * stretch[first], height * stretch[first + 1])
        self.picture = Image.new("RGB", (round(width * PX_PER_MM), round(height * PX_PER_MM)), paper)
        self.draw = ImageDraw.Draw(self.picture)

    def _px(self, points: list[Point]) -> list[Point]:
        return [(x * self.scale[0], self.picture.height - y * self.scale[1]) for x, y in points]

    def shape(self, points: list[Point], colour: str = "white") -> None:
        self.draw.polygon(self._px(points), fill=colour)

    def disc(self, x: float, y: float, radius: float, colour: str = "white") -> None:
        steps = [2 * pi * k / 90 for k in range(90)]
        self.shape([(x + radius * cos(a), y + radius * sin(a)) for a in steps], colour)

    def stroke(self, points: list[Point], width: float, colour: str = "white", end: float | None = None) -> None:
        """Draw a line that runs from ``width`` to ``end`` millimetres wide."""
        end = width if end is None else end
        left, right = [], []
        for k, (x, y) in enumerate(points):
            (x0, y0), (x1, y1) = points[max(k - 1, 0)], points[min(k + 1, len(points) - 1)]
            length = max(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5, 1e-9)
            half = (width + (end - width) * k / (len(points) - 1)) / 2
            nx, ny = -(y1 - y0) / length * half, (x1 - x0) / length * half
            left.append((x + nx, y + ny))
            right.append((x - nx, y - ny))
        self.shape(left + right[::-1], colour)

    def save(self) -> None:
        self.picture.save(HERE / f"{self.name}.png")


def curve(start: Point, bend: Point, end: Point, steps: int = 40) -> list[Point]:
    """Return points of a quadratic Bezier curve."""
    points = []
    for k in range(steps + 1):
        t = k / steps
        points.append(
            tuple((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c for a, b, c in zip(start, bend, end, strict=True))
        )
    return points


def marsh_moon() -> None:
    """Reeds, a low moon and its light on the water."""
    sheet = Sheet("marsh_moon")
    width, height = sheet.size
    low = height / 2 - 22
    sheet.disc(width * 0.58, low + 34, 8)
    sheet.disc(width * 0.58 + 3.8, low + 36.2, 6.7, "black")
    for k in range(5):
        reach = 26 - 4 * k
        y = low + 21 - 2.2 * k
        x = width * 0.58 + (3 if k % 2 else -3)
        sheet.stroke([(x - reach, y), (x, y + 0.35), (x + reach, y)], 1.1)
    for k, (x, lean, tall) in enumerate(
        [(58, 9, 33), (66, -5, 38), (73, 7, 29), (82, -8, 35), (88, 4, 40), (95, 9, 27), (206, -7, 30), (214, 6, 25)]
    ):
        tip = (x + lean, low + tall)
        sheet.stroke(curve((x, 0), (x, low + tall * 0.6), tip), 2.4, end=1.6)
        if k % 2 == 0:
            sheet.stroke([(tip[0] - lean * 0.08, tip[1] - 3), (tip[0] + lean * 0.12, tip[1] + 5)], 3.4, end=2.6)
        else:
            sheet.stroke(curve((x, low + 4), (x - lean, low + 14), (x - lean * 2.4, low + 16)), 2.2, end=1.6)
    sheet.save()


def running_wave() -> None:
    """A running wave below the spine, between two rules."""
    sheet = Sheet("running_wave")
    width, height = sheet.size
    middle = height / 2 + 6.0
    period = 22.0
    for k in range(int(width / period) + 2):
        x = (k - 0.5) * period
        crest = [(x + period * t, middle + 4.6 * sin(2 * pi * t)) for t in (j / 60 for j in range(61))]
        sheet.stroke(crest, 2.6)
        sheet.disc(x + period * 0.25, middle - 2.6, 2.2)
        sheet.disc(x + period * 0.75, middle + 2.6, 2.2)
    for y in (middle - 8.4, middle + 8.4):
        sheet.stroke([(0, y), (width, y)], 1.2)
    sheet.save()


def fine_rain() -> None:
    """Slanted lines from 2 mm down to a width that does not survive."""
    sheet = Sheet("fine_rain")
    width, height = sheet.size
    x, line = 12.0, 2.0
    while x < width - 6:
        sheet.stroke([(x, height / 2 - 26), (x + 7, height / 2 + 26)], line)
        x += 2.2 * line + 0.9
        line = max(line * 0.93, 0.12)
    sheet.save()


def along_the_bar() -> None:
    """A rosette that runs along the bar: eight petals round a core, in a frame of layers."""
    sheet = Sheet("along_the_bar")
    width, height = sheet.size
    x, y = width / 2, height / 2
    flat = height / width
    for share in (0.46, 0.40, 0.34):
        for colour, inset in (("white", 0.0), ("black", 0.028)):
            half = (share - inset) * width
            sheet.shape(
                [(x - half, y - half * flat), (x + half, y - half * flat), (x + half, y + half * flat),
                 (x - half, y + half * flat)], colour,
            )  # fmt: skip
    steps = [2 * pi * k / 360 for k in range(360)]
    for colour, size in (("white", 0.27), ("black", 0.19), ("white", 0.11)):
        radii = [size * width * (0.72 + 0.28 * cos(8 * a)) for a in steps]
        sheet.shape([(x + r * cos(a), y + flat * r * sin(a)) for a, r in zip(steps, radii, strict=True)], colour)
    sheet.save()


def wrung_out() -> None:
    """Draw four vanes round a core, for a bar that is twisted."""
    sheet = Sheet("wrung_out")
    width, height = sheet.size
    x, y = width / 2, height / 2
    for quarter in range(4):
        angles = [pi / 2 * quarter + pi / 4 * k / 20 for k in range(21)]
        rim = [(x + 0.75 * width * cos(a), y + 0.75 * height * sin(a)) for a in angles]
        sheet.shape([(x, y), *rim])
    for colour, size in (("black", 0.2), ("white", 0.11)):
        steps = [2 * pi * k / 90 for k in range(90)]
        sheet.shape([(x + size * width * cos(a), y + size * height * sin(a)) for a in steps], colour)
    sheet.save()


def end_grain() -> None:
    """Draw a flower in a ring, for a bar that is cut into tiles."""
    sheet = Sheet("end_grain")
    width, height = sheet.size
    x, y = width / 2, height / 2
    steps = [2 * pi * k / 360 for k in range(360)]
    for colour, size, depth in (("white", 0.40, 0.0), ("black", 0.35, 0.0), ("white", 0.31, 0.3), ("black", 0.1, 0.0)):
        radii = [size * (1 - depth + depth * cos(6 * a)) for a in steps]
        sheet.shape(
            [(x + r * width * cos(a), y + r * height * sin(a)) for a, r in zip(steps, radii, strict=True)], colour
        )
    sheet.save()


def three_steels() -> None:
    """Leaves in a third powder on a bright vine."""
    sheet = Sheet("three_steels")
    width, height = sheet.size
    middle = height / 2
    vine = [(x, middle + 6 * sin(x / 17)) for x in (width * k / 300 for k in range(301))]
    for k in range(8, 292, 14):
        (x, y), side = vine[k], 1 if k % 28 == 8 else -1
        tip = (x + 8, y + side * 12)
        leaf = curve((x, y), (x - 1.5, y + side * 9), tip) + curve(tip, (x + 9, y + side * 4), (x, y))
        sheet.shape(leaf, "#8a8a8a")
    sheet.stroke(vine, 2.0)
    sheet.save()


def plain_start() -> None:
    """Rings and posts: the plainest thing that shows which way everything goes."""
    sheet = Sheet("plain_start")
    width, height = sheet.size
    for k in range(int(width / 30) + 1):
        x = 15 + 30 * k
        sheet.disc(x, height / 2, 11)
        sheet.disc(x, height / 2, 7.5, "black")
        sheet.disc(x, height / 2, 3)
        sheet.stroke([(x + 15, 0), (x + 15, height)], 1.5)
    sheet.save()


def reed_sketch() -> None:
    """Draw reeds with a felt pen on ruled paper, as a telephone takes it: askew on a bench, in uneven light."""
    paper = Image.new("L", (1400, 1000), 225)
    draw = ImageDraw.Draw(paper)
    for y in range(60, 1000, 48):
        draw.line([(0, y), (1400, y)], fill=196, width=2)
    draw.ellipse([(960, 120), (1240, 400)], outline=45, width=26)
    for k in range(6):
        foot, lean = 180 + 150 * k, 90 * sin(1.7 * k)
        blade = curve((foot - 26, 900), (foot - 10, 500), (foot + lean, 230 + 40 * (k % 3)))
        back = curve((foot + lean, 230 + 40 * (k % 3)), (foot + 34, 500), (foot + 26, 900))
        draw.polygon([*blade, *back], fill=45)
    water = [(x, 930 + 14 * sin(x / 45)) for x in range(90, 1320, 12)]
    draw.line(water, fill=45, width=18, joint="curve")
    bench = Image.new("L", (1200, 900), 92)
    # the sheet's point that is seen at each place of the photograph: a plane seen askew
    seen = (1.36, 0.11, -170.0, -0.08, 1.42, -70.0, -0.00006, 0.00012)
    shown = paper.transform(bench.size, Image.Transform.PERSPECTIVE, seen, Image.Resampling.BICUBIC)
    cover = Image.new("L", paper.size, 255).transform(bench.size, Image.Transform.PERSPECTIVE, seen)
    bench.paste(shown, (0, 0), cover)
    light = np.linspace(1.0, 0.6, bench.width)[None, :] * np.linspace(1.0, 0.85, bench.height)[:, None]
    noise = np.random.default_rng(1).normal(0, 2.0, light.shape)
    Image.fromarray(np.uint8(np.clip(np.asarray(bench) * light + noise, 0, 255))).save(
        HERE / "reed_sketch.jpg", quality=76
    )


if __name__ == "__main__":
    for draw in (
        marsh_moon, running_wave, fine_rain, along_the_bar, wrung_out, end_grain, three_steels, plain_start,
        reed_sketch,
    ):  # fmt: skip
        draw()
