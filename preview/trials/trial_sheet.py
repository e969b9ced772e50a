"""Trials in pictures: side by side, and the bevel coming down."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from preview.base.arrays import Bytes
from preview.base.units import METRIC, Units
from preview.trials.apart import Rows, rows_apart
from preview.trials.trials import Trial

PAPER, INK = 236, 40
FRAME_MILLISECONDS, LAST_MILLISECONDS = 160, 1600


def trial_sheet_picture(trials: Sequence[Trial], units: Units = METRIC) -> Bytes:
    """Return the trials side by side, two in a row, each with line and numbers, RGB bytes ``(rows, columns, 3)``."""
    pictures = [trial.of_blade(lined=True) for trial in trials]
    high, wide = pictures[0].shape[:2]
    text = max(12, wide // 62)
    font, bold = (ImageFont.load_default(size=size) for size in (text, round(1.4 * text)))
    own, alike = rows_apart(trials, units)
    lines = [_lines(rows) for rows in own]
    shared = _lines(alike)
    below = round((1.8 + 1.35 * max(map(len, lines))) * text)
    gap = wide // 60
    columns = 1 if len(trials) == 1 else 2
    rows = -(-len(trials) // columns)
    foot = round(1.35 * (len(shared) + 1.5) * text) if shared else 0
    sheet = Image.new("RGB", (columns * (wide + gap) + gap, rows * (high + below + gap) + gap + foot), (PAPER,) * 3)
    draw = ImageDraw.Draw(sheet)
    for number, (trial, words) in enumerate(zip(trials, lines, strict=True)):
        x = gap + number % columns * (wide + gap)
        y = gap + number // columns * (high + below + gap)
        sheet.paste(Image.fromarray(pictures[number]), (x, y))
        draw.text((x, y + high + text // 3), f"{number + 1} · {trial.name.told(units)}", fill=(INK,) * 3, font=bold)
        for line, each in enumerate(words):
            draw.text((x, y + high + round((2.1 + 1.35 * line) * text)), each, fill=(INK,) * 3, font=font)
    for line, each in enumerate(["Alike in all:", *shared] if shared else []):
        y = sheet.height - foot + round(1.35 * line * text)
        draw.text((gap, y), each, fill=(INK,) * 3, font=font)
    return np.asarray(sheet)


def _lines(rows: Rows) -> list[str]:
    """Return numbers, two to a line."""
    told = [f"{name} {value}" for name, value in rows]
    return ["   ·   ".join(told[start : start + 2]) for start in range(0, len(told), 2)]


def animation(pictures: Sequence[Bytes], kind: str = "WEBP") -> bytes:
    """Return pictures one after the other as an endless WebP or GIF animation, the last held longer."""
    frames = [Image.fromarray(each) for each in pictures]
    times = [FRAME_MILLISECONDS] * (len(frames) - 1) + [LAST_MILLISECONDS]
    stream = io.BytesIO()
    options: dict[str, Any] = {"quality": 80, "method": 3} if kind == "WEBP" else {"optimize": True}
    frames[0].save(stream, kind, save_all=True, append_images=frames[1:], duration=times, loop=0, **options)
    return stream.getvalue()
