"""Dividers as solids, read back by readers of our own."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
import zipfile

import numpy as np
import pytest
import trimesh

from preview.filling.printing import dividers_of
from preview.filling.solids import mf3_bytes, solids, stl_bytes


def stl_volume(content: bytes) -> float:
    """Return the volume of a binary STL, read by its published layout: 80 bytes, a count, 50 bytes a triangle."""
    count = int(np.frombuffer(content[80:84], dtype="<u4")[0])
    kind = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    assert len(content) == 84 + 50 * count
    corners = np.frombuffer(content[84:], dtype=kind)["corners"].astype(float)
    return float(np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6)


def mf3_volume(content: bytes) -> tuple[float, list[str]]:
    """Return volume and object names of a 3MF, read by its core specification."""
    space = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        model = ET.fromstring(archive.read("3D/3dmodel.model"))
    assert model.get("unit") == "millimeter"
    volume, names = 0.0, []
    for each in model.iter(f"{space}object"):
        if each.find(f"{space}mesh") is None:
            continue
        names.append(each.get("name"))
        points = np.array([[float(v.get(a)) for a in "xyz"] for v in each.iter(f"{space}vertex")])
        faces = np.array([[int(t.get(a)) for a in ("v1", "v2", "v3")] for t in each.iter(f"{space}triangle")])
        a, b, c = (points[faces[:, k]] for k in range(3))
        volume += float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
    return volume, names


def test_solids_are_closed_and_as_large_as_their_outlines(demo):
    found = dividers_of(demo)
    expected = sum(part.area for part in found.parts) * found.height
    assert expected > 0
    made = solids(found)
    assert len(made) == len(found.parts)
    read = [trimesh.Trimesh(solid.vertices, solid.faces, process=False) for solid in made.values()]
    assert all(solid.is_watertight and solid.is_winding_consistent for solid in read)
    for part, solid in zip(found.parts, read, strict=True):
        assert solid.volume == pytest.approx(part.area * found.height, rel=1e-6)
    assert stl_volume(stl_bytes(made)) == pytest.approx(expected, rel=1e-3)
    volume, names = mf3_volume(mf3_bytes(made, found.bed))
    assert volume == pytest.approx(expected, rel=1e-3)
    assert names == [f"part {number}" for number in range(1, len(found.parts) + 1)]
