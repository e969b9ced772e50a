"""Draw the pictures of the demo patterns; every scenario is invented.

Run ``python demo_patterns/draw.py`` to draw them anew beside the job files, or name those to draw. Each picture is
drawn in millimetres of the finished blade, as it is to show, and squeezed to the can by the mean stretch of the job's
own forging; what is laid along the bar is drawn in millimetres of the bar's section.
"""

from __future__ import annotations

import dataclasses
import itertools
import sys
import tomllib
from math import atan2, cos, hypot, pi, sin, tanh
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


class Drawing:
    """A picture drawn in millimetres, upwards and rightwards from the place of its lower left corner."""

    def __init__(self, picture: Image.Image, corner: Point, scale: Point, inks: dict[str, str]) -> None:
        self.picture, self.corner, self.scale, self.inks = picture, corner, scale, inks
        self.draw = ImageDraw.Draw(picture)

    def shape(self, points: list[Point], colour: str = "white") -> None:
        """Fill a shape."""
        (left, low), (wide, tall), high = self.corner, self.scale, self.picture.height
        self.draw.polygon(
            [((x - left) * wide, high - (y - low) * tall) for x, y in points], fill=self.inks.get(colour, colour)
        )

    def disc(self, x: float, y: float, radius: float, colour: str = "white") -> None:
        """Fill a disc."""
        self.shape(ring(x, y, radius), colour)

    def stroke(self, points: list[Point], widths: list[float], colour: str = "white") -> None:
        """Draw a line with round ends, as wide as ``widths`` says at even shares of its points."""
        shares = np.linspace(0, 1, len(points))
        halves = np.interp(shares, np.linspace(0, 1, len(widths)), widths) / 2
        left, right = [], []
        for k, ((x, y), half) in enumerate(zip(points, halves, strict=True)):
            (x0, y0), (x1, y1) = points[max(k - 1, 0)], points[min(k + 1, len(points) - 1)]
            length = max(hypot(x1 - x0, y1 - y0), 1e-9)
            nx, ny = -(y1 - y0) / length * half, (x1 - x0) / length * half
            left.append((x + nx, y + ny))
            right.append((x - nx, y - ny))
        self.shape(left + right[::-1], colour)
        for (x, y), half in ((points[0], halves[0]), (points[-1], halves[-1])):
            self.disc(x, y, half, colour)

    def leaf(
        self, foot: Point, tip: Point, width: float, colour: str = "white", *, bow: float = 0.0, half: int = 1
    ) -> list[Point]:
        """Draw the left (1) or right (-1) half of a leaf that is bent leftwards by ``bow``; return its middle line."""
        turn, long = atan2(tip[1] - foot[1], tip[0] - foot[0]), hypot(tip[0] - foot[0], tip[1] - foot[1])

        def place(along: float, off: float) -> Point:
            return (foot[0] + along * cos(turn) - off * sin(turn), foot[1] + along * sin(turn) + off * cos(turn))

        shares = [k / 60 for k in range(61)]
        middle = [place(t * long, bow * sin(pi * t)) for t in shares]
        margin = [place(t * long, bow * sin(pi * t) + half * width / 2 * sin(pi * t**0.75) ** 0.9) for t in shares]
        self.shape(middle + margin[::-1], colour)
        return middle


class Sheet(Drawing):
    """A demo's pattern: the can's floor or cross-section, drawn in millimetres of the bar.

    Where the dividers run through the blade, places are those of the blade: from its heel towards the tip, from the
    edge's baseline towards the spine. Where they run along it, they are those of the bar's section, from its middle.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        table = tomllib.loads((HERE / f"{name}.toml").read_text("utf-8"))
        job = preview.Job.model_validate({**table, "folder": HERE})
        through = job.pattern.dividers == "through"
        stretch = mean_stretch(job)[0 if through else 1 :][:2]
        sides = job.pattern_area
        self.size = [side * each for side, each in zip(sides, stretch, strict=True)]
        middle = job.blade.bar_to_blade(0.0, 0.0, 0.0, job.history.bar)[:2] if through else (0.0, 0.0)
        super().__init__(
            Image.new("RGB", tuple(round(side * PX_PER_MM) for side in sides)),
            tuple(place - side / 2 for place, side in zip(middle, self.size, strict=True)),
            tuple(PX_PER_MM / each for each in stretch),
            {},
        )

    def save(self) -> None:
        """Write the picture beside its job file."""
        self.picture.save(HERE / f"{self.name}.png")


def ring(x: float, y: float, radius: float) -> list[Point]:
    """Return points round a circle."""
    return [(x + radius * cos(2 * pi * k / 90), y + radius * sin(2 * pi * k / 90)) for k in range(90)]


def curve(start: Point, bend: Point, end: Point, steps: int = 40) -> list[Point]:
    """Return points of a quadratic Bezier curve."""
    points = []
    for k in range(steps + 1):
        t = k / steps
        points.append(
            tuple((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c for a, b, c in zip(start, bend, end, strict=True))
        )
    return points


def cattail(sheet: Drawing, x: float, tip: Point, left: Point, right: Point) -> None:
    """Draw a cattail that grows out of the edge, and a leaf to either side; their tips lie so far off, so high."""
    lean, tall = tip[0] - x, tip[1]
    for side, (off, high) in ((-1, left), (1, right)):
        foot, end = (x + side * 1.1, -4.0), (x + off, high)
        sheet.stroke(curve(foot, (x + side * 1.6 + 0.22 * off, 0.95 * high), end), [2.4, 2.8, 2.9, 2.6, 1.9, 0.9])
    stem = curve((x, -4.0), (x + 0.1 * lean, 0.6 * tall), tip)
    sheet.stroke(stem, [2.2, 2.1, 1.9])
    sheet.stroke(stem[26:36], [4.4, 5.0, 4.8])


def marsh(sheet: Drawing) -> None:
    """Draw cattails in the wind, a crescent moon, its light on the water, three geese."""
    for x, tip, left, right in (
        (25, (31, 29), (-7, 19), (12, 17)), (43, (52, 41), (-7, 26), (15, 31)), (63, (71, 34), (-5, 15), (17, 22)),
        (83, (87, 21), (-5, 10), (10, 12)), (158, (165, 34), (-3, 20), (15, 26)),
    ):  # fmt: skip
        cattail(sheet, x, tip, left, right)
    x, y = 125.0, 31.5
    sheet.disc(x, y, 7.8)
    sheet.disc(x + 3.9, y + 1.9, 6.4, "black")
    for k, (off, half) in enumerate(((1.0, 22.0), (-3.0, 16.0), (3.5, 11.5), (-1.0, 7.0))):
        level = 17.8 - 3.8 * k
        water = [(x + off + half * t, level + 0.5 * sin(6 * t + k)) for t in (j / 20 - 1 for j in range(41))]
        sheet.stroke(water, [0.9, 1.7, 2.0, 1.7, 0.9])
    for x, y, size in ((99, 33.5, 1.0), (89, 37.8, 0.85), (107, 38.8, 0.8)):
        for side in (-1, 1):
            end = (x + side * 6.6 * size, y + 1.7 * size)
            sheet.stroke(
                curve((x, y - 0.4), (x + side * 2.2 * size, y + 3.2 * size), end), [2.0 * size, 1.6 * size, 0.9]
            )


def marsh_moon() -> None:
    """The marsh, for the blade that it is drawn for."""
    sheet = Sheet("marsh_moon")
    marsh(sheet)
    sheet.save()


def running_wave() -> None:
    """A running wave between two rules: each crest rolls over towards the tip, into its eye, each a little lower."""
    sheet = Sheet("running_wave")
    low, first = 8.6, 22.0

    def swell(x: float) -> float:
        return low + 3.0 * ((x - first) / 90) ** 2

    x = first
    for k in range(5):
        radius = 6.4 - 0.25 * k
        x += 1.25 * radius + radius
        y = swell(x) + radius
        rise = curve((x - 2.25 * radius, swell(x - 2.25 * radius) - 0.6), (x - radius - 0.4, y - 0.9 * radius),
                     (x - radius, y), 24)  # fmt: skip
        roll = []
        for j in range(1, 91):
            turn, r = pi * (1 - 2.15 * j / 90), radius * (1 - 0.66 * (j / 90) ** 1.1)
            roll.append((x + r * cos(turn), y + r * sin(turn)))
        sheet.stroke(rise + roll, [1.4, 3.2, 3.3, 3.0, 2.6, 2.2, 1.9])
        sheet.disc(*roll[-1], 1.5)
        x += 0.95 * radius
    rule = [first + (118 - first) * j / 60 for j in range(61)]
    sheet.stroke([(x, swell(x) - 1.2) for x in rule], [1.9, 1.9, 1.5])
    sheet.stroke([(x, low + 16.6) for x in rule], [1.5, 1.5])
    sheet.save()


def fine_rain() -> None:
    """Rain in the wind, from 2 mm down to a width that does not survive."""
    sheet = Sheet("fine_rain")
    x, line = 18.0, 2.0
    while x < 198:
        sheet.stroke(curve((x - 4, -6.0), (x - 2, 16.0), (x + 6, 44.0)), [line, line])
        x += 2.5 * line + 0.3
        line = max(line * 0.93, 0.12)
    sheet.save()


def along_the_bar() -> None:
    """Lay bowed sheets over one another: the bevel cuts them open as tide lines, the blade's taper as feathers."""
    sheet = Sheet("along_the_bar")
    width, _ = sheet.size
    across = [width * (k / 240 - 0.5) for k in range(241)]
    for side in (-1, 1):
        for level in (0.1, 0.7, 1.3, 1.9):
            # level at the can's sides, which they would else meet too flat to be printed
            bowed = [level + 1.3 * tanh(((x - 5.0) / 17.0) ** 2) for x in across]
            lower, upper = (
                [(x, side * (y + half)) for x, y in zip(across, bowed, strict=True)] for half in (-0.15, 0.15)
            )
            sheet.shape(lower + upper[::-1])
    sheet.save()


def wrung_out() -> None:
    """Draw vanes round a ringed core, each with a dark vein, for a bar that is twisted."""
    sheet = Sheet("wrung_out")
    width, height = sheet.size

    def place(share: float, turn: float) -> Point:
        return (share * width * cos(turn), share * height * sin(turn))

    for k in range(5):
        for colour, foot, wide in (("white", 0.17, 0.31), ("black", 0.24, 0.085)):
            reach = [foot + (0.75 - foot) * j / 30 for j in range(31)]
            sheet.shape(
                [place(r, 0.25 + 2 * pi * k / 5 + 0.9 * r - wide) for r in reach]
                + [place(r, 0.25 + 2 * pi * k / 5 + 0.9 * r + wide) for r in reach[::-1]], colour,
            )  # fmt: skip
    for colour, size in (("black", 0.155), ("white", 0.1)):
        sheet.shape([place(size, 2 * pi * k / 90) for k in range(90)], colour)
    sheet.save()


def end_grain() -> None:
    """Draw a flower in a ring, with a bud at each corner, for a bar that is cut into tiles."""
    sheet = Sheet("end_grain")
    width, height = sheet.size
    turns = [2 * pi * k / 720 for k in range(720)]
    for x in (-0.5, 0.5):
        for y in (-0.5, 0.5):
            sheet.shape([((x + 0.2 * cos(a)) * width, (y + 0.2 * sin(a)) * height) for a in turns])
    for colour, core, petal in (
        ("white", 0.44, 0.0), ("black", 0.4, 0.0), ("white", 0.165, 0.19), ("black", 0.12, 0.0), ("white", 0.07, 0.0)
    ):  # fmt: skip
        radii = [core + petal * abs(cos(4 * a)) ** 0.6 for a in turns]
        sheet.shape([(r * width * cos(a), r * height * sin(a)) for a, r in zip(turns, radii, strict=True)], colour)
    sheet.save()


def three_steels() -> None:
    """Leaves on a bright vine, one half in light and one in a third powder's shade, the vein between them left dark."""
    sheet = Sheet("three_steels")

    def vine(x: float) -> Point:
        return (x, 16.6 + 4.2 * sin(x / 18 + 0.5))

    for k in range(8):
        side = 1 if k % 2 else -1
        (x, y), size = vine(22.0 + 13.2 * k), (1.0 if side > 0 else 0.93) - 0.03 * k
        tip, wide = (x + 20.0 * size, y + side * 12.0 * size), 10.5 * size
        sheet.leaf((x, y), tip, wide, "#8a8a8a", bow=-side * 1.4, half=side)
        middle = sheet.leaf((x, y), tip, wide, bow=-side * 1.4, half=-side)
        sheet.stroke([*middle[6:], (2 * tip[0] - middle[-3][0], 2 * tip[1] - middle[-3][1])], [1.3, 1.9, 1.9], "black")
    sheet.stroke([vine(x) for x in range(-6, 139)], [2.6, 2.6, 2.0])
    sheet.save()


def plain_start() -> None:
    """A shoal under way to the tip: the plainest thing that shows which way everything goes."""
    sheet = Sheet("plain_start")

    def fish(x: float, y: float, size: float, tilt: float) -> None:
        def placed(points: list[Point]) -> list[Point]:
            turned = ((a * cos(tilt) - b * sin(tilt), a * sin(tilt) + b * cos(tilt)) for a, b in points)
            return [(x + size * a, y + size * b) for a, b in turned]

        back = curve((-12, 0), (3, 10.6), (13, 0))
        fin = curve((-8, 0), (-14, 1.4), (-17.5, 5.8))
        for half, sides in ((back, (1, -1)), (fin + curve((-17.5, 5.8), (-15.0, 3), (-15.0, 0)), (1, -1))):
            upper, lower = ([(a, side * b) for a, b in half] for side in sides)
            sheet.shape(placed(upper + lower[::-1]))
        sheet.stroke(placed(curve((4.5, 5.4), (1.6, 2.4), (3.0, -2.2))), [1.9, 1.9, 1.5], "black")
        sheet.disc(*placed([(8.2, 0.9)])[0], 1.55, "black")

    for place in (
        (38, 20, 1.05, 0.05), (67, 11, 0.95, -0.03), (78, 27, 0.95, 0.04), (106, 17, 1.15, 0.06), (136, 25, 0.9, 0.0),
    ):  # fmt: skip
        fish(*place)
    sheet.save()


def reed_sketch() -> None:
    """Draw the marsh with a soft pencil on ruled paper, as a telephone takes it: askew on a bench, in uneven light."""
    paper = Image.new("L", (1400, 1000), 225)
    draw = ImageDraw.Draw(paper)
    for y in range(60, 1000, 48):
        draw.line([(0, y), (1400, y)], fill=196, width=2)
    marsh(Drawing(paper, (0.0, -50.0), (7.0, 7.0), {"white": 52, "black": 225}))
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


DRAWN = (
    marsh_moon, running_wave, fine_rain, along_the_bar, wrung_out, end_grain, three_steels, plain_start, reed_sketch,
)  # fmt: skip

if __name__ == "__main__":
    for draw in DRAWN:
        if draw.__name__ in (sys.argv[1:] or draw.__name__):
            draw()
