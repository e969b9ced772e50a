"""Dividers and inserts as solids for a printer: STL and 3MF, in millimetres, standing as they stand in the can."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Mapping
from typing import Any

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
    ET.register_namespace("", CORE)
    model = ET.Element(f"{{{CORE}}}model", {"unit": "millimeter", "{http://www.w3.org/XML/1998/namespace}lang": "en"})
    resources = ET.SubElement(model, f"{{{CORE}}}resources")
    for number, (name, solid) in enumerate(shapes.items(), start=1):
        part = ET.SubElement(resources, f"{{{CORE}}}object", id=str(number), type="model", name=name)
        mesh = ET.SubElement(part, f"{{{CORE}}}mesh")
        vertices = ET.SubElement(mesh, f"{{{CORE}}}vertices")
        for x, y, z in solid.vertices.tolist():
            ET.SubElement(vertices, f"{{{CORE}}}vertex", x=f"{x:.9g}", y=f"{y:.9g}", z=f"{z:.9g}")
        triangles = ET.SubElement(mesh, f"{{{CORE}}}triangles")
        for a, b, c in solid.faces.tolist():
            ET.SubElement(triangles, f"{{{CORE}}}triangle", v1=str(a), v2=str(b), v3=str(c))
    whole = str(len(shapes) + 1)
    assembly = ET.SubElement(resources, f"{{{CORE}}}object", id=whole, type="model", name="dividers")
    parts = ET.SubElement(assembly, f"{{{CORE}}}components")
    for number in range(1, len(shapes) + 1):
        ET.SubElement(parts, f"{{{CORE}}}component", objectid=str(number))
    build = ET.SubElement(model, f"{{{CORE}}}build")
    place = f"1 0 0 0 1 0 0 0 1 {bed[0] / 2:g} {bed[1] / 2:g} 0"
    ET.SubElement(build, f"{{{CORE}}}item", objectid=whole, transform=place)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", ET.tostring(model, encoding="unicode", xml_declaration=True)),
        ):
            # a fixed day, so that the same dividers are the same bytes
            archive.writestr(zipfile.ZipInfo(name, (2000, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()
