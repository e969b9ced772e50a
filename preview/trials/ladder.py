"""In which order to go, and what going deeper takes away. Steel never comes back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes
from preview.base.units import METRIC, Sentence, Units
from preview.face.face_map import FaceMap
from preview.face.view import RIM
from preview.trials.grind_line import COLOUR, draw_line
from preview.trials.trials import Trial

TOUCH = 1e-4
"""Metal (mm) by which a grind may stand proud of an earlier one and still follow it: nothing a hand can tell."""

PAPER, INK = 236, 40

LEGEND = {
    "stays dark": (58, 58, 62),
    "stays bright": (222, 222, 218),
    "bright that goes": (213, 94, 0),
    "bright that comes": (86, 180, 233),
}
"""Colours of the map, told apart without red and green (Okabe and Ito's set, quoted from memory)."""

BEFORE, AFTER = COLOUR, (204, 121, 167)
"""Of the grind lines before and after, of the same set."""


@dataclass(frozen=True)
class Ladder:
    """The order in which to go.

    Parameters
    ----------
    names
        What each trial is called.
    rungs
        Numbers of the trials, from 0, shallowest first: the longest way on which each can follow the one before.
    open_after
        For each trial, those that can still follow it.
    off
        Trials that are not on the ladder: going there closes the way to some of its rungs.
    """

    names: tuple[Sentence, ...]
    rungs: tuple[int, ...]
    open_after: tuple[tuple[int, ...], ...]
    off: tuple[int, ...]

    def lines(self, units: Units = METRIC) -> list[str]:
        """Return it in words."""
        names = [name.told(units) for name in self.names]
        order = ", then ".join(names[rung] for rung in self.rungs)
        lines = [f"Go in this order, and look after each etch: {order}. Each leaves the later ones open."]
        for other in self.off:
            closed = [names[rung] for rung in self.rungs if rung not in self.open_after[other]]
            way = f"it closes the way to {', '.join(closed)}" if closed else "it leads the same way"
            lines.append(f"{names[other]} is off this ladder: {way}.")
        return lines


def find_ladder(trials: tuple[Trial, ...]) -> Ladder:
    """Return the grind ladder of ``trials``."""
    order = sorted(range(len(trials)), key=lambda number: trials[number].ground_off)
    follows = {
        (one, other): one != other and _can_follow(trials[one].face, trials[other].face)
        for one in order
        for other in order
    }
    # the longest chain, counted from its deepest end
    best: dict[int, list[int]] = {}
    for one in reversed(order):
        after = [best[other] for other in order if other in best and follows[one, other]]
        best[one] = [one, *max(after, key=len, default=[])]
    rungs = max((best[one] for one in order), key=len, default=[])
    open_after = tuple(tuple(o for o in order if follows[n, o]) for n in range(len(trials)))
    names = tuple(trial.name for trial in trials)
    return Ladder(names, tuple(rungs), open_after, tuple(number for number in order if number not in rungs))


def _can_follow(first: FaceMap, then: FaceMap) -> bool:
    """Say whether ``then`` can be ground from ``first``: it stands proud of it nowhere, and deeper somewhere."""
    proud = np.where(first.grid.mask, then.stand - first.stand, 0)
    return bool(proud.max() <= TOUCH and proud.min() < -TOUCH)


@dataclass(frozen=True, eq=False)
class Taken:
    """What going from one grind to a deeper one changes.

    Parameters
    ----------
    first, then
        What both grinds are called.
    rgb
        A map of the face as the viewer sees it, ``(rows, columns, 3)`` bytes, in `LEGEND`'s colours.
    lost, gained
        Bright areas that go, and that come, mm2.
    ground_off
        Steel ground off on the way, grams.
    """

    first: Sentence
    then: Sentence
    rgb: Bytes
    lost: float
    gained: float
    ground_off: float

    def words(self, units: Units = METRIC) -> str:
        """Return it in words."""
        return (
            f"From {self.first.told(units)} to {self.then.told(units)}: {self.ground_off:.1f} g of steel off this "
            f"face, {units.area(self.lost)} of bright pattern goes, {units.area(self.gained)} comes."
        )

    def picture(self, units: Units = METRIC) -> Bytes:
        """Return the map of what goes and comes, its colours explained below it, RGB bytes."""
        high, wide = self.rgb.shape[:2]
        text = max(12, wide // 30)  # to be read on a phone
        named = {
            **LEGEND,
            f"grind line, {self.first.told(units)}": BEFORE,
            f"grind line, {self.then.told(units)}": AFTER,
        }
        row = round(1.6 * text)
        sheet = Image.new("RGB", (wide, high + row * -(-len(named) // 2) + text // 2), (PAPER, PAPER, PAPER))
        sheet.paste(Image.fromarray(self.rgb))
        draw = ImageDraw.Draw(sheet)
        font = ImageFont.load_default(size=text)
        for number, (name, colour) in enumerate(named.items()):
            x, y = text + number % 2 * wide // 2, high + number // 2 * row
            draw.rectangle((x, y, x + text, y + text), fill=colour, outline=(90, 90, 90))
            draw.text((x + 1.5 * text, y + text // 2), name, fill=(INK,) * 3, font=font, anchor="lm")
        return np.asarray(sheet)


def find_taken(first: Trial, then: Trial) -> Taken:
    """Return what going from ``first`` to ``then`` changes on the face."""
    grid = first.face.grid
    before, after = (each.face.share_of(each.job.bright_powders) >= 0.5 for each in (first, then))
    mask = grid.mask
    colours = np.array([*LEGEND.values()], dtype=np.float32)
    which = np.where(before & after, 1, np.where(before, 2, np.where(after, 3, 0)))
    ground = np.float32(236)
    cover = grid.shown[..., None]
    rgb = np.rint(ground + (colours[which] - ground) * cover).astype(np.uint8)
    rim = round(RIM * grid.px_per_mm)
    rgb = np.pad(first.face.view.seen(rgb), ((rim, rim), (rim, rim), (0, 0)), constant_values=236)
    inside = rgb[rim:-rim, rim:-rim]
    for trial, colour in ((first, BEFORE), (then, AFTER)):
        inside[:] = draw_line(inside, trial.job.ground, trial.face, colour)
    area = grid.px_per_mm**2
    return Taken(
        first.name,
        then.name,
        rgb,
        float((before & ~after & mask).sum()) / area,
        float((after & ~before & mask).sum()) / area,
        then.ground_off - first.ground_off,
    )
