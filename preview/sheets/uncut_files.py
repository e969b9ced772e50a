"""The bar's faces before the blade is cut: picture, numbers and words as files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Array, Bytes
from preview.base.cautions import CAUTIONS
from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.blade.grind import SIDES, Side
from preview.face.view import View
from preview.job.job import Job
from preview.job.uncut import uncut
from preview.pipeline import Preview, preview

UNCUT_FILES = ("bar_faces.png", "bar.json", "bar.txt")
"""What `render_uncut` writes: both faces with the blade's outline, the numbers as JSON, the same in words."""

MARK = (214, 58, 32)


def render_uncut(
    job: Job,
    folder: str | Path,
    *,
    after: int | None = None,
    px_per_mm: float = 16.0,
    units: Units = METRIC,
    force: bool = False,
) -> tuple[Path, ...]:
    """Preview the bar of ``job`` before the blade is cut, after step ``after``, and write it into ``folder``.

    Raises
    ------
    RequestError
        As for `preview.job.uncut.uncut`.
    """
    check_folder(Path(folder), UNCUT_FILES, force=force)
    shown = preview(uncut(job, after), px_per_mm=px_per_mm, units=units)
    whole = after is None or after == len(job.forging)
    pictures = [with_blade(shown, side, job) if whole else shown.picture_of(side) for side in SIDES]
    contents = (
        png_bytes(np.concatenate(pictures), px_per_mm),
        (json.dumps(_numbers(shown), indent=2, ensure_ascii=False) + "\n").encode(),
        _words(shown, job, units, whole=whole).encode(),
    )
    return write_into(Path(folder), dict(zip(UNCUT_FILES, contents, strict=True)), force=force)


def with_blade(shown: Preview, side: Side, job: Job) -> Bytes:
    """Return the picture of a bar's face with the outline of the blade of ``job`` on it, as it lies in the bar."""
    picture = Image.fromarray(shown.picture_of(side))
    line = [tuple(point) for point in on_bar(shown.view(side), job).tolist()]
    ImageDraw.Draw(picture).line([*line, line[0]], fill=MARK, width=max(1, round(0.25 * shown.px_per_mm)))
    return np.asarray(picture)


def on_bar(view: View, job: Job) -> Array:
    """Return where the blade's outline lies on the picture of the bar's face, (n, 2), px."""
    bar, blade = job.history.bar, job.blade
    along, across = blade.outline.profile.T
    in_plan = np.stack(blade.in_plan(along, across, bar), axis=1)
    return view.pixels(in_plan + np.array(bar.size[:2]) / 2)


def _numbers(shown: Preview) -> dict[str, Any]:
    found: dict[str, Any] = plain(shown.numbers)
    kept = ("bar_mm", "contrast_L", "softening_um", "joints_mm")
    faces: dict[str, Any] = {
        side: {name: value for name, value in found[side].items() if name.endswith("share")} for side in SIDES
    }
    return {"title": shown.job.title, **{name: found[name] for name in kept if name in found}, **faces}


def _words(shown: Preview, job: Job, units: Units, *, whole: bool) -> str:
    found, bar = shown.numbers, shown.job.history.bar
    lines = [("Bar, flat and not cut yet", units.length(*bar.size, form=".1f"))]
    for side in SIDES:
        face = found.face(side)
        lines.append((f"{side.capitalize()} face, stays bright", f"{face.bright_share:.1%}"))
        if face.shell_share > 0:
            lines.append((f"{side.capitalize()} face, still the can's shell", f"{face.shell_share:.1%}"))
        if face.lost_share > 0.001:
            lines.append((f"{side.capitalize()} face, no metal", f"{face.lost_share:.1%}"))
    if whole:
        heel, edge, _ = job.blade.corner(bar)
        lines.append(("Blade's heel from the bar's heel end", units.length(heel + bar.length / 2, form=".1f")))
        lines.append(("Blade's edge from the bar's edge side", units.length(edge + bar.width / 2, form=".1f")))
        if job.blade.placement.words:
            lines.append(("The bar for it", job.blade.placement.words))
    wide = max(len(name) for name, _ in lines)
    told = [f"{name:<{wide}}  {value}" for name, value in lines]
    look = (
        "Etch the milled bar for a moment and lay the picture beside it: outline, place and grind are still free. "
        "Beside the bar's worked sides the flow is not well known."
    )
    return "\n".join([job.title or "Preview", "", *told, "", look, "", *(f"- {each}" for each in CAUTIONS)]) + "\n"
