"""Dividers as solids for a printer: STL and 3MF, in millimetres, standing as they stand in the can."""

from __future__ import annotations

import io
from typing import Any

from preview.filling.dividers import Dividers


def solids(found: Dividers) -> dict[str, Any]:
    """Return a closed `trimesh.Trimesh` for each part, by its name, from the can's floor up."""
    from trimesh.creation import extrude_polygon

    return {
        f"part {number}": extrude_polygon(part, found.height, engine="manifold")
        for number, part in enumerate(found.parts, start=1)
    }


def stl_bytes(found: Dividers) -> bytes:
    """Return all parts, in their places, as one binary STL."""
    import trimesh

    return bytes(trimesh.util.concatenate([*solids(found).values()]).export(file_type="stl"))


def mf3_bytes(found: Dividers) -> bytes:
    """Return the parts as named objects of a 3MF file (3MF Core Specification), its unit millimetres."""
    import trimesh

    stream = io.BytesIO()
    trimesh.Scene(solids(found)).export(stream, file_type="3mf")
    return stream.getvalue()
