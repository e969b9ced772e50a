"""Shapes of a DXF file, its blocks in the places where they are inserted."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from preview.base.drawing import MM_OF, Colour, Counted, Drawing, LeftOut, Shape, TooMuch, Unit, check_reach, counts
from preview.base.settings import MM_PER_INCH
from preview.base.units import say

MOST_ENTITIES = 50_000
"""Entities of a DXF that are taken, each as often as it is inserted."""

DEEPEST = 20
"""How deep blocks may lie within each other."""


def read_dxf(path: Path, stray: float, unit: Unit) -> Drawing:
    """Read what stands in a DXF file; see `read_shapes`."""
    import ezdxf
    from ezdxf import path as paths

    document = ezdxf.readfile(path)  # which finds out the encoding
    stated = {1: MM_PER_INCH, 2: 12 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}.get(document.header.get("$INSUNITS", 0))
    factor = stated or MM_OF[unit]
    shapes: list[Shape] = []
    left_out: list[LeftOut] = []
    counted = Counted()
    for entity in islice(_unpacked(document.modelspace()), MOST_ENTITIES + 1):
        if len(shapes) + len(left_out) == MOST_ENTITIES:
            msg = f"over {MOST_ENTITIES} entities are too many, each as often as it is inserted; simplify the drawing"
            raise TooMuch(msg)
        if entity.dxftype() in {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            lines = []
            for drawn in paths.make_path(entity).sub_paths():
                check_reach(*(each * factor for point in drawn.control_vertices() for each in (point.x, point.y)))
                line = counted.line((p.x * factor, p.y * factor) for p in drawn.flattening(stray / factor))
                lines.append(np.concatenate([line, line[:1]]) if drawn.is_closed else line)
            found = tuple(line for line in lines if counts(line))
            shapes.append(Shape(found, layer=str(entity.dxf.layer), colour=_dxf_colour(document, entity)))
        else:
            left_out.append(_dxf_left_out(entity, factor))
    notes = () if stated else (say("The drawing states no unit; it is read in {}.", unit),)
    return Drawing(tuple(shapes), None, tuple(left_out), notes)


def _dxf_left_out(entity: Any, factor: float) -> LeftOut:
    from ezdxf import bbox

    kind = str(entity.dxftype())
    if entity.dxf.hasattr("insert"):
        place = entity.dxf.insert
    else:
        extent = bbox.extents([entity])
        place = extent.center if extent.has_data else (0.0, 0.0)
    at = (float(place[0]) * factor, float(place[1]) * factor)
    return LeftOut("text" if kind in {"TEXT", "MTEXT"} else kind.lower(), at)


def _unpacked(entities: Any, depth: int = 0) -> Iterator[Any]:
    """Yield entities, those of blocks in the places where the blocks are inserted."""
    for entity in entities:
        if entity.dxftype() == "INSERT":
            if depth == DEEPEST:
                msg = f"blocks lie over {DEEPEST} deep within each other"
                raise TooMuch(msg)
            yield from _unpacked(entity.virtual_entities(), depth + 1)
        else:
            yield entity


def _dxf_colour(document: Any, entity: Any) -> Colour | None:
    """Return an entity's colour, its layer's where it has none; None for the usual one, which is black on white."""
    from ezdxf.colors import aci2rgb

    if entity.rgb is not None:
        return tuple(entity.rgb)
    number = entity.dxf.color
    if number == 256 and entity.dxf.layer in document.layers:
        layer = document.layers.get(entity.dxf.layer)
        if layer.rgb is not None:
            return tuple(layer.rgb)
        number = layer.color
    return tuple(aci2rgb(number)) if 0 < number < 256 and number != 7 else None
