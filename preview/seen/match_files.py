"""A match as pictures, words and files: what was seen, what is left, and the job of this very bar."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from preview.base.arrays import Array, Bytes, Mask
from preview.base.errors import Fault, RequestError
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.units import METRIC, Units
from preview.job.file import JOB, job_files
from preview.job.job import Job
from preview.job.seen import MOSTLY
from preview.seen.match import Match
from preview.seen.ways import PX_PER_MM

SEEN = "seen.toml"

MATCH_FILES = ("overlay.png", "strips.png", "still_unsure.png", "match.txt")
"""What `save_match` writes of every photograph; of one that is taken the job and `SEEN` as well."""

NOT_TAKEN = "This is not taken for your work; nothing is changed."

LARGER = 3
"""Pixels of the overlay for one of the grid's."""

STRIP = 12.0
"""Width of a strip of photograph or preview, mm."""

BEFORE, AFTER = (70, 130, 235), (225, 60, 35)


def seen_job(job: Job, found: Match) -> Job:
    """Return ``job`` with what the photograph showed of its bar or blade.

    Raises
    ------
    RequestError
        If the photograph is not taken.
    """
    if found.seen is None:
        raise RequestError.at("photo", found.verdict.words[0])
    return job.model_copy(update={"seen": SEEN, "found": found.seen})


def overlay(found: Match) -> Bytes:
    """Return the face as photographed, laid straight, RGB bytes; outlines of the pattern before (blue) and after."""
    size, picture = _photographed(found)
    shown = np.repeat(np.rint(255 * picture).astype(np.uint8)[..., None], 3, axis=2)
    hidden = _larger((found.face.on_face & ~found.laid.seen).astype(np.float32), size) > 0.5
    shown[hidden] = shown[hidden] // 2 + 60
    for field, colour in ((None, BEFORE), (found.field, AFTER)):
        shown[_lines(_larger(found.shown(field), size))] = colour
    return shown[:, ::-1] if found.side == "left" else shown


def strips(found: Match) -> Bytes:
    """Return photograph and preview (as it was put right) in strips beside one another, grey bytes."""
    size, picture = _photographed(found)
    preview = np.clip(_larger(found.shown(found.field), size), 0, 1)
    on_face = _larger(found.face.on_face.astype(np.float32), size) > 0.5
    previewed = np.arange(size[0]) // round(STRIP * PX_PER_MM * LARGER) % 2 == 1
    shown = np.rint(255 * np.where(previewed & on_face, 0.15 + 0.7 * preview, picture)).astype(np.uint8)
    return np.asarray(shown[:, ::-1] if found.side == "left" else shown)


def laid_beside(found: Match) -> tuple[Bytes, Bytes, Bytes]:
    """Return the face as photographed, as it was shown before, and as it was put right: grey bytes of one size."""
    size, picture = _photographed(found)
    off_face = _larger(found.face.on_face.astype(np.float32), size) < 0.5
    shown = [picture]
    for field in (None, found.field):
        tone = 0.15 + 0.7 * np.clip(_larger(found.shown(field), size), 0, 1)
        shown.append(np.where(off_face, picture, tone))
    flip = -1 if found.side == "left" else 1
    photo, before, after = (np.rint(255 * each[:, ::flip]).astype(np.uint8) for each in shown)
    return photo, before, after


def left_over(found: Match, units: Units = METRIC) -> bytes:
    """Return a map of how far the pattern may still lie off, four times of five, as PNG."""
    import matplotlib
    from matplotlib.figure import Figure

    flip = -1 if found.side == "left" else 1
    scale = MOSTLY * units.shown(1.0, "mm")
    error = np.where(found.face.on_face, np.hypot(*found.error) * scale, np.nan)[:, ::flip]
    rows, columns = error.shape
    wide = columns / PX_PER_MM * scale
    figure = Figure(figsize=(9, 9 * rows / columns + 1.3))
    axes: Any = figure.add_subplot()
    drawn = axes.imshow(error, extent=(0, wide, 0, rows / PX_PER_MM * scale), cmap="viridis", vmin=0)
    axes.set(title=f"How far the pattern may still lie off, {units.name('mm')} (four times of five)")
    where = np.where(found.face.on_face, found.shown(found.field), 0)[:, ::flip]
    axes.contour(where[::-1], [0.5], colors="white", linewidths=0.5, extent=drawn.get_extent())
    figure.colorbar(drawn, ax=axes, orientation="horizontal", shrink=0.5, pad=0.2)
    stream = io.BytesIO()
    with matplotlib.rc_context():
        figure.savefig(stream, format="png", dpi=110, bbox_inches="tight")
    return stream.getvalue()


def match_text(found: Match, units: Units = METRIC) -> str:
    """Return in words what was seen and learnt."""
    fit = found.fit
    head = "This is taken for your work." if found.verdict.taken else NOT_TAKEN
    lines = [
        f"{head} The pattern explains {max(fit.explained, 0):.0%} of what is seen beside uneven light.",
        *(word.told(units) for word in found.verdict.words),
        *(word.told(units) for word in (found.beside,) if word is not None),
        found.camera.told(units),
        *(word.told(units) for word in found.learnt),
    ]
    if found.verdict.taken:
        far = np.hypot(*found.error)[found.face.on_face]
        lines.append(
            f"It may still lie {units.length(MOSTLY * float(np.sqrt((far**2).mean())), form='.1f')} off, four times of "
            "five and over the whole face (still_unsure.png shows where); most of that is where the camera stood: take "
            "the picture squarely, from 60 cm or more."
        )
        if found.of == "bar":
            lines.append("Give the bar's size to `place` (--bar), with the job.toml that lies here.")
    return "\n".join(lines) + "\n"


def save_refusal(
    error: RequestError, folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Write into ``folder`` why a photograph is refused and what to do, and nothing else.

    Of what is asked wrongly, and not of the photograph, nothing is written.
    """
    folder, words = Path(folder), [fault for fault in error.faults if fault.where == "photo"]
    if not words:
        return ()
    told = [Fault("", each.problem).told(units) for each in words]
    text = f"{NOT_TAKEN}\n" + "".join(
        f"{each[0].upper()}{each[1:]}{'' if each[-1] in '.?' else '.'}\n" for each in told
    )
    return write_into(folder, {MATCH_FILES[-1]: text.encode()}, force=force)


def save_match(
    job: Job, found: Match | Sequence[Match], folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Write a match into ``folder``: overlay, what is left, words; of one that is taken also the job of this bar.

    ``job`` is the one that was matched, with its blade. That of this bar is ``job.toml``, which refers to `SEEN`. Of
    both faces (see `match_both`) each has its own pictures and words, their names with ``_right`` or ``_left``.
    """
    folder, faces = Path(folder), [found] if isinstance(found, Match) else list(found)
    first, ending = faces[0], "" if len(faces) == 1 else "_{side}"
    names = {each: [f"{Path(name).stem}{ending}{Path(name).suffix}".format(side=each.side) for name in MATCH_FILES]
             for each in faces}  # fmt: skip
    kept = (JOB, SEEN) if first.seen is not None else ()
    check_folder(folder, [*(name for each in faces for name in names[each]), *kept], force=force)
    files: dict[str, bytes] = {}
    for each in faces:
        contents = (
            png_bytes(overlay(each), PX_PER_MM * LARGER),
            png_bytes(strips(each), PX_PER_MM * LARGER),
            left_over(each, units),
            match_text(each, units).encode(),
        )
        files |= dict(zip(names[each], contents, strict=True))
    if first.seen is not None:
        files |= job_files(seen_job(job, first))
    return write_into(folder, files, force=force)


def _photographed(found: Match) -> tuple[tuple[int, int], Array]:
    """Return the face as photographed, laid straight and enlarged: its size, and its light from 0 to 1."""
    light = found.laid.light
    low, high = np.quantile(light[found.face.on_face], [0.005, 0.995])
    size = (light.shape[1] * LARGER, light.shape[0] * LARGER)
    return size, np.clip(_larger(np.clip((light - low) / max(high - low, 1e-6), 0, 1), size), 0, 1)


def _larger(values: Array, size: tuple[int, int]) -> Array:
    picture = Image.fromarray(np.asarray(values, dtype=np.float32))
    return np.asarray(picture.resize(size, Image.Resampling.BICUBIC))


def _lines(tone: Array) -> Mask:
    """Return where the tone passes the middle, as a mask a pixel or two wide."""
    bright = tone > 0.5
    edge = np.zeros_like(bright)
    edge[:, 1:] |= bright[:, 1:] != bright[:, :-1]
    edge[1:] |= bright[1:] != bright[:-1]
    return edge
