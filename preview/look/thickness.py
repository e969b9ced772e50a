"""How thick the ground blade is, along it and across it, as a plot."""

from __future__ import annotations

import io

import numpy as np

from preview.base.arrays import Array
from preview.base.units import METRIC, Units
from preview.blade.grind import SIDES
from preview.blade.ground import Ground

CUTS = (0.15, 0.5, 0.8)
"""Where the blade is cut across, as shares of its length."""


def thickness_plot(ground: Ground, units: Units = METRIC) -> bytes:
    """Return a PNG: thickness along the spine, half way up and just over the edge; and across at three stations."""
    from matplotlib.figure import Figure

    outline = ground.blade.outline
    unit, scale = units.name("mm"), units.shown(1.0, "mm")
    figure = Figure(figsize=(7.6, 3.0), layout="constrained")
    along_plot, across_plot = figure.subplots(1, 2)

    along = np.linspace(0, outline.length, 240)
    edge, spine = outline.edge(along), outline.spine(along)
    for name, share in (("at the spine", 1.0), ("half way up", 0.5), (f"{units.length(1.0)} over the edge", None)):
        across = edge + share * (spine - edge) if share is not None else np.minimum(edge + 1.0, spine)
        along_plot.plot(along * scale, _thickness(ground, along, across) * scale, label=name)
    along_plot.set(xlabel=f"from the heel, {unit}", ylabel=f"thickness, {unit}", ylim=(0, None))
    along_plot.legend(fontsize=8, frameon=False)

    for share in CUTS:
        place = share * outline.length
        low, high = float(outline.edge(np.array(place))), float(outline.spine(np.array(place)))
        across = np.linspace(low, high, 160)
        stations = np.full_like(across, place)
        right, left = (ground.stand(side, stations, across) * scale for side in SIDES)
        line = across_plot.plot((across - low) * scale, right, label=f"{units.length(place, form='.0f')} from the heel")
        across_plot.plot((across - low) * scale, -left, color=line[0].get_color())
    across_plot.set(xlabel=f"from the edge, {unit}", ylabel=f"each face from the blade's middle, {unit}")
    across_plot.legend(fontsize=8, frameon=False)
    for plot in (along_plot, across_plot):
        plot.spines[["top", "right"]].set_visible(False)
        plot.grid(alpha=0.3)
    stream = io.BytesIO()
    figure.savefig(stream, format="png", dpi=140)
    return stream.getvalue()


def _thickness(ground: Ground, along: Array, across: Array) -> Array:
    return ground.stand("right", along, across) + ground.stand("left", along, across)
