"""Dividers and inserts as solids for a printer: STL and 3MF, in millimetres, standing as they stand in the can."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from typing import Any
from xml.sax.saxutils import quoteattr

from preview.filling.dividers import Dividers
from preview.filling.insert import Insert

Solids = Mapping[str, Any]
"""Closed `trimesh.Trimesh` by their names."""

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rel0" '
    'Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


def solids(found: Dividers) -> dict[str, Any]:
    """Return a closed `trimesh.Trimesh` for each part, by its name, from the can's floor up."""
    from trimesh.creation import extrude_polygon

    return {
        f"part {number}": extrude_polygon(part, found.height, engine="manifold")
        for number, part in enumerate(found.parts, start=1)
    }


def insert_solids(made: Insert) -> dict[str, Any]:
    """Return the solid body that each line of an insert is printed round, by its name; the first has the base."""
    from trimesh.boolean import union
    from trimesh.creation import extrude_polygon

    bodies = [extrude_polygon(body, made.height, engine="manifold") for body in made.bodies]
    if made.base:
        plate = extrude_polygon(made.plate, made.base, engine="manifold")
        bodies[0] = union([bodies[0], plate], engine="manifold")
    if len(bodies) == 1:
        return {"insert": bodies[0]}
    return {f"insert {number}": body for number, body in enumerate(bodies, start=1)}


def stl_bytes(shapes: Solids) -> bytes:
    """Return solids, in their places, as one binary STL."""
    import trimesh

    return bytes(trimesh.util.concatenate([*shapes.values()]).export(file_type="stl"))


def mf3_bytes(shapes: Solids, bed: tuple[float, float, float]) -> bytes:
    """Return solids as the named parts of one assembly on the bed's middle (3MF Core Specification), mm."""
    # written as text: a tree of a hundred thousand nodes takes three times as long
    lines = ['<?xml version="1.0" encoding="UTF-8"?>']
    lines.append(f'<model xmlns="{CORE}" unit="millimeter" xml:lang="en"><resources>')
    for number, (name, solid) in enumerate(shapes.items(), start=1):
        lines.append(f'<object id="{number}" type="model" name={quoteattr(name)}><mesh><vertices>')
        lines += [f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}" />' for x, y, z in solid.vertices.tolist()]
        lines.append("</vertices><triangles>")
        lines += [f'<triangle v1="{a}" v2="{b}" v3="{c}" />' for a, b, c in solid.faces.tolist()]
        lines.append("</triangles></mesh></object>")
    whole = len(shapes) + 1
    lines.append(f'<object id="{whole}" type="model" name="dividers"><components>')
    lines += [f'<component objectid="{number}" />' for number in range(1, whole)]
    place = f"1 0 0 0 1 0 0 0 1 {bed[0] / 2:g} {bed[1] / 2:g} 0"
    lines.append("</components></object></resources>")
    lines.append(f'<build><item objectid="{whole}" transform="{place}" /></build></model>')
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", "\n".join(lines)),
        ):
            # a fixed day, so that the same dividers are the same bytes
            archive.writestr(zipfile.ZipInfo(name, (2000, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()
