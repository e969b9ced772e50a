"""Make the gallery's pictures: each demo's blade, and one blade's way from pencil sketch to both sheets.

Run ``python demo_patterns/gallery.py``, with ``--out`` to make them elsewhere and look at them first. All are made from
the job files and `reed_sketch.jpg`; nothing is retouched.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

import preview

HERE = Path(__file__).parent
DEMOS = (
    "marsh_moon", "running_wave", "three_steels", "along_the_bar", "wrung_out", "end_grain", "plain_start", "fine_rain",
)  # fmt: skip
WIDE = 1600
"""Pixels across a picture."""

SKETCH = preview.Sketch(width=200.0, swap=True, smooth=0.6, crop=(0.0, 0.27, 1.0, 0.70))
"""The sheet is 200 mm wide on the blade; what is drawn lies in this part of it."""

MIDDLE = (100.0, 23.9)
"""Where on the blade the middle of that part goes, mm."""

HELD = [14.0 * np.sin(2 * np.pi * k / 24) for k in range(24)]
"""How the blade is tilted in the hand, degrees, round and back."""


def write(path: Path, picture: np.ndarray, wide: int = WIDE) -> None:
    """Write a picture, no wider than ``wide`` pixels."""
    image = Image.fromarray(picture)
    if image.width > wide:
        image = image.resize((wide, round(image.height * wide / image.width)), Image.Resampling.LANCZOS)
    image.save(path, quality=88)


def write_portfolio(out: Path) -> None:
    """Write each demo's two faces."""
    for name in DEMOS:
        write(out / f"{name}.jpg", preview.preview(preview.load_job(HERE / f"{name}.toml"), width=WIDE).picture)


def write_hero(out: Path, job: preview.Job) -> None:
    """Write what the README opens with: both faces over a section through the moon, and the blade turning."""
    shown = preview.preview(job, width=WIDE)
    faces, section = shown.picture, shown.section(119.0, px_per_mm=30.0).rgb
    under = np.full((section.shape[0], faces.shape[1], 3), section[0, 0], dtype=np.uint8)
    left = (under.shape[1] - section.shape[1]) // 2
    under[:, left : left + section.shape[1]] = section
    write(out / "marsh_moon_etched.png", np.concatenate([faces, under]))
    frames = []
    for angle in HELD:
        held = job.model_copy(update={"light": job.light.model_copy(update={"tilt": float(angle)})})
        frames.append(preview.preview(held, width=800).pictures[0])
    (out / "marsh_moon_turn.webp").write_bytes(preview.animation(frames))


def write_way(out: Path, job: preview.Job) -> None:
    """Write the way of one blade; its first picture is the sketch itself."""
    sketch = preview.clean_sketch(HERE / "reed_sketch.jpg", SKETCH, job.powders)
    write(out / "2_clean.png", sketch.picture)
    with tempfile.TemporaryDirectory() as place:
        art = Path(place) / "art.png"
        preview.save_sketch(sketch, art)
        wanted = preview.Wanted(picture=art, face="both", at=MIDDLE, size=sketch.size)
        layout = preview.lay_out(job, wanted)
        write(out / "3_in_the_can.png", layout.picture)
        laid = preview.laid_out(layout, Path(place))
        made = preview.insert_of(laid)
        (out / "4_insert.svg").write_bytes(preview.insert_picture(made, preview.can_plan(laid, made), laid.powders))
        shown = preview.preview(laid, width=WIDE)
        write(out / "5_forging.png", shown.steps())
        write(out / "6_section.png", shown.section(119.0).rgb)
        grinds = preview.TrialGrinds(heights=(16.0, 22.0, 28.0, 34.0))
        write(out / "7_grinds.jpg", preview.trial_sheet_picture(preview.try_grinds(laid, grinds, width=900).trials))
        write(out / "8_blade.jpg", shown.picture)
        write(out / "8_views.jpg", preview.views(laid))
        told = preview.SheetWords(maker="Reed & Anvil (invented)", story="Cattails by the water, and a young moon.")
        for name, kind in (("9_client", "client"), ("10_shop", "shop")):
            page = preview.page_pictures(preview.sheet_pdf(laid, kind, told), dots_per_inch=110.0)[0]
            (out / f"{name}.png").write_bytes(page)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--out", type=Path, default=HERE, help="the folder they go into (default: beside the demos)")
    beside = asked.parse_args().out
    gallery = beside / "gallery"
    gallery.mkdir(parents=True, exist_ok=True)
    marsh = preview.load_job(HERE / "marsh_moon.toml")
    write_portfolio(gallery)
    write_hero(beside, marsh)
    write_way(gallery, marsh)
