"""An outline as a drawing at true size: SVG and DXF, in millimetres."""

from __future__ import annotations

import io

from preview.base.arrays import Array
from preview.blade.outlines.base import Outline

_RIM = 5.0


def outline_svg(outline: Outline) -> str:
    """Return the whole profile, with its tang, as SVG: one closed line, one user unit a millimetre, edge down."""
    profile = outline.profile
    low, high = profile.min(axis=0) - _RIM, profile.max(axis=0) + _RIM
    width, height = high - low
    places = " L ".join(f"{x - low[0]:.5f} {high[1] - y:.5f}" for x, y in profile)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.5f}mm" height="{height:.5f}mm" '
        f'viewBox="0 0 {width:.5f} {height:.5f}">\n'
        f'<path id="outline" fill="none" stroke="#000000" stroke-width="0.1" d="M {places} Z"/>\n</svg>\n'
    )


def outline_dxf(outline: Outline) -> bytes:
    """Return the whole profile, with its tang, as DXF (R2010): one closed line, its unit millimetres, edge down."""
    import ezdxf

    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    document.layers.add("OUTLINE", color=7)
    line: Array = outline.profile
    document.modelspace().add_lwpolyline(line.tolist(), close=True, dxfattribs={"layer": "OUTLINE"})
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")
