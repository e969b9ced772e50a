"""Trials in pictures and words: side by side, what is taken away, the ladder, and the bevel coming down."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes
from preview.base.units import METRIC, Units
from preview.trials.trials import LEGEND, Ladder, Taken, Trial

PAPER, INK = 236, 40
FRAME_MILLISECONDS, LAST_MILLISECONDS = 160, 1600


def trial_rows(trial: Trial, units: Units = METRIC) -> list[tuple[str, str]]:
    """Return a trial's numbers as pairs of a name and a value with its unit."""
    heel, middle, tip = trial.numbers.stations
    lines = units.length(heel.height, middle.height, tip.height, form=".1f", between=" / ")
    slide = trial.numbers.slide_on_blade
    rows = [
        ("angle, heel / middle / tip", f"{heel.angle:.1f} / {middle.angle:.1f} / {tip.angle:.1f} °"),
        ("grind line, heel / middle / tip", lines),
        ("bright share", f"{trial.numbers.bright_share:.1%}"),
        ("finest line", "none" if np.isnan(trial.finest) else units.length(trial.finest, form=".2f")),
        (
            "pattern slides",
            f"{units.length(abs(trial.numbers.slide), form='.2f')} in the can"
            if slide is None
            else units.length(abs(slide), form=".1f"),
        ),
        ("ground off this face", f"{trial.ground_off:.1f} g"),
    ]
    if trial.motif_off is not None:
        rows.append(("pattern not on it", f"{trial.motif_off:.0%}"))
    return rows


def trial_sheet_picture(trials: Sequence[Trial], units: Units = METRIC) -> Bytes:
    """Return the trials side by side, two in a row, each with its numbers, grey bytes ``(rows, columns)``."""
    high, wide = trials[0].picture.shape
    text = max(12, wide // 62)
    font, bold = (ImageFont.load_default(size=size) for size in (text, round(1.4 * text)))
    lines = [_lines(trial, units) for trial in trials]
    below = round((1.8 + 1.35 * max(map(len, lines))) * text)
    gap = wide // 60
    columns = 1 if len(trials) == 1 else 2
    rows = -(-len(trials) // columns)
    sheet = Image.new("L", (columns * (wide + gap) + gap, rows * (high + below + gap) + gap), PAPER)
    draw = ImageDraw.Draw(sheet)
    for number, (trial, words) in enumerate(zip(trials, lines, strict=True)):
        x = gap + number % columns * (wide + gap)
        y = gap + number // columns * (high + below + gap)
        sheet.paste(Image.fromarray(trial.picture), (x, y))
        draw.text((x, y + high + text // 3), f"{number + 1} · {trial.name.told(units)}", fill=INK, font=bold)
        for line, each in enumerate(words):
            draw.text((x, y + high + round((2.1 + 1.35 * line) * text)), each, fill=INK, font=font)
    return np.asarray(sheet)


def _lines(trial: Trial, units: Units) -> list[str]:
    """Return a trial's numbers, two to a line."""
    told = [f"{name} {value}" for name, value in trial_rows(trial, units)]
    return ["   ·   ".join(told[start : start + 2]) for start in range(0, len(told), 2)]


def ladder_lines(trials: Sequence[Trial], found: Ladder, units: Units = METRIC) -> list[str]:
    """Return the grind ladder in words."""
    names = [trial.name.told(units) for trial in trials]
    order = ", then ".join(names[rung] for rung in found.rungs)
    lines = [f"Go in this order, and look after each etch: {order}. Each leaves the later ones open."]
    for other in found.off:
        closed = [names[rung] for rung in found.rungs if rung not in found.open_after[other]]
        way = f"it closes the way to {', '.join(closed)}" if closed else "it leads the same way"
        lines.append(f"{names[other]} is off this ladder: {way}.")
    return lines


def taken_words(first: Trial, then: Trial, found: Taken, units: Units = METRIC) -> str:
    """Return what going deeper takes away, in words."""
    return (
        f"From {first.name.told(units)} to {then.name.told(units)}: {found.ground_off:.1f} g of steel off this face, "
        f"{found.lost:.0f} mm² of bright pattern goes, {found.gained:.0f} mm² comes."
    )


def taken_picture(found: Taken) -> Bytes:
    """Return the map of what goes and comes, its colours explained below it, RGB bytes."""
    high, wide = found.rgb.shape[:2]
    text = max(12, wide // 62)
    sheet = Image.new("RGB", (wide, high + 2 * text), (PAPER, PAPER, PAPER))
    sheet.paste(Image.fromarray(found.rgb))
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(size=text)
    x = text
    for name, colour in LEGEND.items():
        draw.rectangle((x, high + text // 4, x + text, high + text // 4 + text), fill=colour, outline=(90, 90, 90))
        draw.text((x + 1.4 * text, high + text // 8), name, fill=(INK, INK, INK), font=font)
        x += round(2.6 * text + draw.textlength(name, font=font))
    return np.asarray(sheet)


def animation(pictures: Sequence[Bytes], kind: str = "WEBP") -> bytes:
    """Return pictures one after the other as an endless WebP or GIF animation, the last held longer."""
    frames = [Image.fromarray(each) for each in pictures]
    times = [FRAME_MILLISECONDS] * (len(frames) - 1) + [LAST_MILLISECONDS]
    stream = io.BytesIO()
    options: dict[str, Any] = {"quality": 80, "method": 3} if kind == "WEBP" else {"optimize": True}
    frames[0].save(stream, kind, save_all=True, append_images=frames[1:], duration=times, loop=0, **options)
    return stream.getvalue()
