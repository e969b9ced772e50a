"""Plots of what was fitted."""

from __future__ import annotations

import io

from preview.forge.fitting import BAD_RESIDUAL, Fit

MARKERS = {"length": "s", "width_face": "v", "width_mid": "o"}


def residual_plot(fit: Fit) -> bytes:
    """Return a PNG of each reading's residual (mm) by row, bad ones ringed."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 2.8), dpi=120, layout="constrained")
    axes = figure.add_subplot()
    for name, marker in MARKERS.items():
        points = [(each.row, each.off) for each in fit.residuals if each.quantity == name]
        if points:
            axes.plot(*zip(*points, strict=True), marker, label=name.replace("_", " "), ms=6)
    bad = [(each.row, each.off) for each in fit.residuals if abs(each.deviations) > BAD_RESIDUAL]
    if bad:
        axes.plot(*zip(*bad, strict=True), "o", ms=14, mfc="none", mec="black", label="does not fit")
    axes.axhline(0, color="0.6", lw=1)
    axes.set_xticks(sorted({each.row for each in fit.residuals}))
    axes.set_xlabel("row")
    axes.set_ylabel("measured less fitted, mm")
    axes.legend(loc="best", fontsize=8, frameon=False)
    stream = io.BytesIO()
    figure.savefig(stream, format="png")
    return stream.getvalue()
