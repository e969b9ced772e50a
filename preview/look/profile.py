"""What is understood of a blade's outline, as a picture with words and sizes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any, Literal

import numpy as np
import shapely

from preview.base.arrays import Array
from preview.base.settings import MM_PER_INCH
from preview.base.units import METRIC, Units
from preview.blade.outlines import Outline

_RIM, _BELOW = 14.0, 34.0
"""Paper left round the profile, and under it for the words, mm."""

_COLOURS = {
    "edge": "#c43e1e",
    "spine": "#23507a",
    "tang": "#7a6a52",
    "ricasso": "#8a5a9c",
    "choil": "#2f7d4f",
    "tip": "#222222",
}


def profile_picture(outline: Outline, kind: Literal["svg", "png"] = "svg", units: Units = METRIC) -> bytes:
    """Return a drawing at true size: edge, spine, heel, ricasso, choil, plunge, tang and tip, each a line of its own.

    The notes of the outline stand below it. ``kind`` is the format, SVG or PNG at 150 dots to the inch.
    """
    import matplotlib
    from matplotlib.figure import Figure

    profile = outline.profile
    low, high = profile.min(axis=0) - (_RIM, _RIM + _BELOW), profile.max(axis=0) + _RIM
    high[0] = max(high[0] + _RIM, low[0] + 150)  # room for the words
    width, height = high - low
    figure = Figure(figsize=(width / MM_PER_INCH, height / MM_PER_INCH))
    sheet: Any = figure.add_axes((0, 0, 1, 1))
    sheet.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal")
    sheet.axis("off")
    sheet.fill(*profile.T, facecolor="#f2efe9", edgecolor="none")
    for name, dash, line in _lines(outline):
        sheet.plot(*line.T, color=_COLOURS[name], linestyle=dash, linewidth=1.2)
    for name, (x, y), text, side in _words(outline, units):
        held = {"above": ("center", "bottom"), "below": ("center", "top"), "right": ("left", "center")}[side]
        sheet.text(x, y, text, color=_COLOURS[name], fontsize=7, ha=held[0], va=held[1])
    notes = "\n".join(note.told(units) for note in outline.notes)
    sheet.text(low[0] + 3, low[1] + _BELOW - 4, notes, fontsize=6, va="top", color="#333333", wrap=True)
    stream = io.BytesIO()
    with matplotlib.rc_context({"svg.hashsalt": "outline", "svg.fonttype": "none"}):
        known = {"metadata": {"Date": None}} if kind == "svg" else {"dpi": 150}
        figure.savefig(stream, format=kind, **known)
    return stream.getvalue()


def _lines(outline: Outline) -> Iterator[tuple[str, Any, Array]]:
    """Yield each line with its name and how it is dashed."""
    edge, spine, _ = outline.traced()
    yield "edge", "-", edge
    yield "spine", "-", spine
    if outline.tang_polygon.size:
        yield "tang", "-", np.concatenate([spine[:1], outline.tang_polygon, edge[:1]])
    yield "tip", (0, (4, 2)), np.array([edge[0] - (0, 3), spine[0] + (0, 3)])  # the heel
    if outline.choil_span is not None:
        begin, end = outline.choil_span
        yield "choil", "-", edge[(edge[:, 0] >= begin) & (edge[:, 0] <= end)]
    if outline.ricasso_length:
        yield "ricasso", (0, (1, 1.5)), _upright(outline, outline.ricasso_length)


def _upright(outline: Outline, along: float) -> Array:
    at = np.array([along, along])
    return np.array([at, [float(outline.bevel_edge(at)[0]), float(outline.spine(at)[0])]]).T


def _words(outline: Outline, units: Units) -> Iterator[tuple[str, tuple[float, float], str, str]]:
    """Yield words with the name of what they are about, their place, and on which side of it they stand."""

    def size(value: float) -> str:
        return units.length(value, form=".1f")

    length, height, ricasso = outline.length, outline.height, outline.ricasso_length
    middle, tip = 0.5 * length, outline.tip
    low = float(outline.edge(np.array(middle)))
    yield "edge", (middle, low - 2), f"edge, {size(length)} from heel to tip", "below"
    yield "spine", (middle, height + 1.5), f"spine, {size(height)} high", "above"
    yield "tip", (length + 2, tip[1] - 1), f"tip, {size(tip[1])} up", "right"
    yield "tip", (0, float(outline.spine(np.zeros(1))[0]) + 4), "heel", "above"
    if outline.tang_polygon.size:
        centre = shapely.Polygon(outline.tang_polygon).centroid
        yield "tang", (centre.x, centre.y), f"tang, {size(outline.tang_length)} long", "below"
    if ricasso:
        yield "ricasso", (ricasso + 1.5, height * 0.55), f"ricasso, {size(ricasso)}; here is the plunge", "right"
    if outline.choil_span is not None:
        begin, end = outline.choil_span
        yield "choil", ((begin + end) / 2, -7), f"choil, {size(end - begin)} wide", "below"
