"""The blade as GLB: by Khronos' own validator, and read back by trimesh."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess

import numpy as np
import pytest
import trimesh

from preview.base.errors import FileError
from preview.in_hand.glb import blade_glb
from preview.in_hand.maps import sheet_scale
from preview.in_hand.page import hand_page
from preview.in_hand.page_words import Version
from preview.pipeline import find_origins, trace
from preview.sheets.view import save_view

VALIDATE = """
const { validateBytes } = require("gltf-validator"), parts = [];
process.stdin.on("data", part => parts.push(part)).on("end", () =>
  validateBytes(new Uint8Array(Buffer.concat(parts))).then(found => console.log(JSON.stringify(found.issues))));
"""


def has_validator() -> bool:
    if shutil.which("node") is None:
        return False
    asked = subprocess.run(["node", "-e", "require.resolve('gltf-validator')"], capture_output=True, check=False)
    return asked.returncode == 0


@pytest.fixture
def blade(make):
    """Return a maker of jobs with a bright and a dark half, both bevels ground."""

    def blade(outline=None, **tables):
        rows, columns = np.mgrid[0:200, 0:480]
        blade = {
            "thickness": 4.4,
            "tip_thickness": 2.2,
            "outline": {"shape": "drop point", "length": 100, "height": 30},
        }
        blade["outline"] |= outline or {}
        return make(
            (rows // 50 + columns // 60) % 2 == 0, forging=[{"step": "consolidate"}],
            can={"length": 240, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
            grind={"right": {"kind": "flat", "height": 20}, "edge": 0.3}, blade=blade | tables.pop("blade", {}),
            **tables,
        )  # fmt: skip

    return blade


def parts_of(content):
    """Return the closed bodies of a GLB, each welded by place."""
    parts = list(trimesh.load(io.BytesIO(content), file_type="glb").geometry.values())
    for part in parts:
        part.merge_vertices(merge_tex=True, merge_norm=True)
    return parts


@pytest.mark.parametrize(
    ("outline", "handle", "bodies"),
    [
        ({}, "plain", 1),
        ({"ricasso": 16, "tang": 70}, "plain", 3),  # blade, handle, collar
        ({"ricasso": 16, "choil": 5, "tang": 90, "tang_height": 30}, "plain", 3),
        ({"tang": 70}, "none", 2),
    ],
)
def test_its_bodies_are_closed_and_as_large_as_the_blade(blade, outline, handle, bodies):
    """Metres by the standard; within a hundredth of a millimetre."""
    job = blade(outline, blade={"handle": handle})
    parts = parts_of(blade_glb(job, px_per_mm=2))
    assert len(parts) == bodies
    for part in parts:
        assert part.is_watertight
        assert part.is_winding_consistent
        assert part.volume > 0
    steel = parts[0]
    assert 1000 * steel.bounds[0] == pytest.approx([0, 0, -2.2], abs=0.01)
    assert 1000 * steel.bounds[1] == pytest.approx([100, 30, 2.2], abs=0.01)


@pytest.mark.skipif(not has_validator(), reason="no gltf-validator for node on this machine")
@pytest.mark.parametrize("outline", [{}, {"ricasso": 16, "choil": 5, "tang": 90, "tang_height": 30}])
def test_khronos_validator_finds_no_fault(blade, outline):
    content = blade_glb(blade(outline), px_per_mm=2)
    asked = subprocess.run(["node", "-e", VALIDATE], input=content, capture_output=True, check=True, env=os.environ)
    found = json.loads(asked.stdout)
    assert (found["numErrors"], found["numWarnings"], found["numHints"]) == (0, 0, 0), found
    assert {each["code"] for each in found["messages"]} <= {"IMAGE_NPOT_DIMENSIONS"}


def test_it_holds_as_much_steel_as_thickness_summed_over_the_blade(blade):
    """Within 1 per cent: half a millimetre's squares, the triangle that the stones take off the edge left out."""
    job = blade()
    steel = parts_of(blade_glb(job, px_per_mm=2))[0]
    along, across = (np.arange(0.25, size, 0.5) for size in (100, 30))
    inside = job.blade.outline.contains(along[None, :], across[:, None])
    thick = sum(job.ground.stand(side, along[None, :], across[:, None]) for side in ("right", "left"))
    assert 1e9 * steel.volume == pytest.approx(0.25 * thick[inside].sum(), rel=0.01)


def test_its_steel_is_what_the_trace_says(blade):
    """At 1000 places of faces and spine, away from lines and the bare edge: the powder that the direct map leads to."""
    job = blade(etch={"minutes": 600})
    part = next(iter(trimesh.load(io.BytesIO(blade_glb(job)), file_type="glb", process=False).geometry.values()))
    rng = np.random.default_rng(0)
    outwards = part.vertex_normals[part.faces[:, 0]]
    shown = np.abs(outwards[:, 2]) > 0.5
    seen = 0
    for where, wanted in ((shown, 800), (outwards[:, 1] > 0.5, 200)):
        places, faces = trimesh.sample.sample_surface(part, 4 * wanted, face_weight=part.area_faces * where, seed=rng)
        share = trimesh.triangles.points_to_barycentric(1000 * part.triangles[faces], 1000 * places)
        on_sheet = np.einsum("ij,ijk->ik", share, part.visual.uv[part.faces[faces]])
        picture = np.asarray(part.visual.material.baseColorTexture.convert("L"), dtype=float)
        high, wide = picture.shape
        rows, columns = (1 - on_sheet[:, 1]) * high - 0.5, on_sheet[:, 0] * wide - 0.5
        bright = picture[np.rint(rows).astype(int).clip(0, high - 1), np.rint(columns).astype(int).clip(0, wide - 1)]
        points = 1000 * places * (1, 1, 1 - 1e-4)  # a hair below the surface, so that rounding leaves no metal
        points[:, 1] -= 1e-3
        shares = find_origins(job).shares(*trace(job, points).T)
        truth = np.array([each.nickel > 1 for each in job.powders])[shares.argmax(axis=0)]
        bare = job.blade.outline.edge_distance(points[:, 0], points[:, 1]) < 1.5
        use = np.flatnonzero((shares.max(axis=0) > 0.98) & ~bare)[:wanted]
        seen += len(use)
        assert (truth[use] == (bright[use] > 128)).mean() > 0.995
    assert seen == 1000


def test_a_large_blade_has_fewer_pixels_in_a_millimetre(blade):
    outline = blade().blade.outline
    assert sheet_scale(outline) == 10
    assert sheet_scale(outline.model_copy(update={"length": 300.0, "height": 60.0})) == pytest.approx(4.714, abs=0.001)


def test_another_ending_is_refused(blade, tmp_path):
    with pytest.raises(FileError, match=r"is .html, .png or .glb; given .obj"):
        save_view(blade(), tmp_path / "blade.obj")


def test_a_page_stays_small_enough_to_be_sent(make):
    """Under 3 MB on a large blade whose pattern is as fine as powder can be filled: lines of 0.4 mm all over."""
    rows, columns = np.mgrid[0:400, 0:2400]
    job = make(
        ((rows // 4 + columns // 4) % 2 == 0), forging=[{"step": "consolidate"}],
        can={"length": 240, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6},
        blade={"thickness": 4.4, "outline": {"shape": "drop point", "length": 200, "height": 44}},
        grind={"right": {"kind": "flat"}, "edge": 0.3},
    )  # fmt: skip
    assert 2_000_000 < len(hand_page((Version(job),))) < 3_000_000
