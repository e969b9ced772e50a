"""Dividers and inserts as solids for a printer: STL and 3MF, in millimetres, standing as they stand in the can."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import quoteattr

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preview.base.arrays import Array
from preview.filling.dividers import Dividers
from preview.filling.insert import Insert


@dataclass(frozen=True, eq=False)
class Solid:
    """A closed body.

    Parameters
    ----------
    vertices
        Its corners ``(n, 3)``, mm.
    faces
        Its triangles ``(m, 3)``, by the numbers of their corners, anticlockwise as seen from outside.
    """

    vertices: Array
    faces: NDArray[np.int64]


Solids = Mapping[str, Solid]
"""Bodies by their names."""

STL_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""A triangle of a binary STL, which has 80 bytes of any kind and their count before them."""

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


def solids(found: Dividers) -> dict[str, Solid]:
    """Return the solid of each part, by its name, from the can's floor up."""
    return {f"part {number}": _solid(_upright(part, found.height)) for number, part in enumerate(found.parts, start=1)}


def insert_solids(made: Insert) -> dict[str, Solid]:
    """Return the solid body that each line of an insert is printed round, by its name; the first has the base."""
    bodies = [_upright(body, made.height) for body in made.bodies]
    if made.base:
        bodies[0] += _upright(made.plate, made.base)
    if len(bodies) == 1:
        return {"insert": _solid(bodies[0])}
    return {f"insert {number}": _solid(body) for number, body in enumerate(bodies, start=1)}


def _upright(area: Polygon, height: float) -> Any:
    """Return a body so high (mm) over an area, as a `manifold3d.Manifold`."""
    from manifold3d import CrossSection, FillRule, Manifold

    rings = [np.array(ring.coords)[:-1] for ring in (area.exterior, *area.interiors)]
    return Manifold.extrude(CrossSection(rings, FillRule.EvenOdd), height)


def _solid(body: Any) -> Solid:
    mesh = body.to_mesh64()
    return Solid(np.asarray(mesh.vert_properties), mesh.tri_verts.astype(np.int64))


def stl_bytes(shapes: Solids) -> bytes:
    """Return solids, in their places, as one binary STL."""
    corners = np.concatenate([solid.vertices[solid.faces] for solid in shapes.values()])
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    triangles = np.zeros(len(corners), dtype=STL_TRIANGLE)
    triangles["normal"] = across / np.linalg.norm(across, axis=1, keepdims=True).clip(min=1e-12)
    triangles["corners"] = corners
    return bytes(80) + len(corners).to_bytes(4, "little") + triangles.tobytes()


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
