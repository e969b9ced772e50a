"""Dividers drawn elsewhere: four kinds of file, and everything that can be wrong with one."""

from __future__ import annotations

import io
import zipfile

import ezdxf
import numpy as np
import pytest
import trimesh

from preview.base.errors import FileError, RequestError
from preview.filling.filled import parse_fill, save_filled
from preview.filling.regions import read_regions
from preview.job.file import load_job, parse_job
from preview.pattern.powders import NICKEL, PLAIN
from preview.pipeline import preview
from tests.conftest import DEMOS

ROOM = (60.0, 40.0)
POWDERS = (PLAIN, NICKEL)


def dxf(path, units=4, scale=1.0):
    """A line across the can and a circle on its left, drawn by their middles."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = units
    sheet = document.modelspace()
    sheet.add_line((0, -20 * scale), (0, 20 * scale))
    sheet.add_circle((-15 * scale, 5 * scale), radius=6 * scale)
    sheet.add_text("a note", height=2)
    document.saveas(path)
    return path


def wall_solid(scale=1.0, height=30.0):
    """A wall across the can and a ring, as solids."""
    wall = trimesh.creation.box((0.4, 40, height))
    wall.apply_translation((0, 0, height / 2))
    ring = trimesh.creation.annulus(r_min=5.8, r_max=6.2, height=height, sections=256)
    ring.apply_translation((-15, 5, height / 2))
    both = trimesh.util.concatenate([wall, ring])
    both.apply_scale(scale)
    return both


def check(regions):
    """Right half, left half round the ring, and the inside of the ring: 1200, 1200 less the disc, the disc."""
    assert len(regions.polygons) == 3
    labels = regions._map(20.0)
    areas = sorted(np.bincount(labels.ravel()) / 400)
    assert areas == pytest.approx([36 * np.pi, 1200 - 36 * np.pi, 1200], rel=0.01)
    disc = regions.at(-15, 5)
    assert regions.at(20, 0) != disc != regions.at(-25, -15)
    assert regions.at(40, 0) is None


def test_dxf_of_lines(tmp_path):
    check(read_regions(dxf(tmp_path / "d.dxf"), ROOM))


def test_dxf_in_inches_by_its_own_word_and_by_ours(tmp_path):
    check(read_regions(dxf(tmp_path / "d.dxf", units=1, scale=1 / 25.4), ROOM))
    found = read_regions(dxf(tmp_path / "e.dxf", units=0, scale=1 / 25.4), ROOM, unit="inch")
    check(found)
    assert any("states no unit" in str(note) for note in found.notes)


def test_svg_with_shapes_transforms_and_units(tmp_path):
    path = tmp_path / "d.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="6cm" height="4cm" viewBox="0 0 600 400">'
        '<rect x="0" y="0" width="600" height="400" fill="none" stroke="black"/>'
        '<g transform="translate(300 0)"><line x1="0" y1="0" x2="0" y2="400" stroke="black"/></g>'
        '<circle cx="150" cy="150" r="60" fill="none" stroke="black"/></svg>'
    )
    found = read_regions(path, ROOM)
    check(found)
    assert any("outline in the drawing" in str(note) for note in found.notes)


@pytest.mark.parametrize(("kind", "unit", "scale"), [("stl", "mm", 1.0), ("stl", "inch", 1 / 25.4), ("3mf", "mm", 1.0)])
def test_solids(tmp_path, kind, unit, scale):
    path = tmp_path / f"d.{kind}"
    path.write_bytes(trimesh.Scene(wall_solid(scale)).export(file_type=kind))
    check(read_regions(path, ROOM, unit=unit))


def test_a_3mf_in_inches(tmp_path):
    plain = trimesh.Scene(wall_solid(1 / 25.4)).export(file_type="3mf")
    changed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(plain)) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b'unit="millimeter"', b'unit="inch"'))
    (tmp_path / "d.3mf").write_bytes(changed.getvalue())
    check(read_regions(tmp_path / "d.3mf", ROOM))


def test_the_height_of_the_cut(tmp_path):
    """A base plate under the walls: cut through the plate nothing is free, over it three regions are."""
    plate = trimesh.creation.box((60, 40, 1))
    plate.apply_translation((0, 0, -0.5))
    path = tmp_path / "d.stl"
    path.write_bytes(trimesh.util.concatenate([wall_solid(), plate]).export(file_type="stl"))
    check(read_regions(path, ROOM, height=5))
    with pytest.raises(FileError, match="hold nothing apart"):
        read_regions(path, ROOM, height=0.5)
    with pytest.raises(FileError, match="31 mm tall"):
        read_regions(path, ROOM, height=40)


def test_walls_that_cross_each_other_are_still_walls(tmp_path):
    cross = trimesh.creation.box((60, 0.4, 30))
    path = tmp_path / "d.stl"
    path.write_bytes(trimesh.util.concatenate([wall_solid(), cross]).export(file_type="stl"))
    assert len(read_regions(path, ROOM).polygons) == 6  # the cross runs through the ring as well


def test_filling_by_number(tmp_path):
    regions = read_regions(dxf(tmp_path / "d.dxf"), ROOM)
    disc = regions.at(-15, 5)
    picture = regions.filled(POWDERS, {disc: "nickel"})
    white = (picture == 255).all(axis=2)
    assert white.mean() * 2400 == pytest.approx(36 * np.pi, rel=0.01)
    assert white[: white.shape[0] // 2].sum() > 0.7 * white.sum()  # row 0 is the upper side
    assert regions.numbered(POWDERS, {disc: "nickel"}, 8.0).shape == (320, 480, 3)
    with pytest.raises(RequestError, match="fill: there are regions 1 to 3; given 4"):
        regions.filled(POWDERS, {4: "nickel"})
    with pytest.raises(RequestError, match="region 1 has to hold one of plain, nickel; given 'gold'"):
        regions.filled(POWDERS, {1: "gold"})
    for text in ("1", "x=nickel", "1=", "=plain"):
        with pytest.raises(RequestError, match="number = powder"):
            parse_fill(text)


def test_the_filled_job_previews(tmp_path):
    job = load_job(DEMOS / "plain_start.toml")
    document = ezdxf.new("R2010", units=4)
    half = job.pattern_area[0] / 2
    document.modelspace().add_line((-half, 0), (half, 0))
    document.saveas(tmp_path / "d.dxf")
    regions = read_regions(tmp_path / "d.dxf", job.pattern_area)
    out = tmp_path / "out"
    out.mkdir()
    save_filled(job, regions, {1: "nickel"}, out)
    shown = preview(parse_job((out / "job.toml").read_text(), out), px_per_mm=2)
    assert 0.3 < shown.numbers.right.bright_share < 0.7


def box_stl(path, size, content=None):
    path.write_bytes(content or trimesh.creation.box(size).export(file_type="stl"))
    return path


def a_bomb(path):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * 450_000_000)
    return path


def open_mesh():
    solid = trimesh.creation.box((10, 10, 10))
    return trimesh.Trimesh(solid.vertices, solid.faces[:-1], process=False).export(file_type="stl")


def crossing_lines(path):
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_lwpolyline([(-20, -10), (20, 10), (20, -10), (-20, 10)], close=True)
    document.saveas(path)
    return path


def test_a_line_that_crosses_itself_parts_what_it_parts(tmp_path):
    assert len(read_regions(crossing_lines(tmp_path / "d.dxf"), ROOM).polygons) == 3


BAD = {
    "no ending": (lambda p: box_stl(p / "d", (1, 1, 1)), "name without ending"),
    "other ending": (lambda p: box_stl(p / "d.obj", (1, 1, 1)), r"\.stl, \.3mf, \.svg, \.dxf"),
    "missing": (lambda p: p / "none.stl", "no such file"),
    "empty": (lambda p: _written(p / "d.stl", b""), "is empty"),
    "text as STL": (lambda p: _written(p / "d.stl", b"a letter to the smith\n" * 40), "STL|no triangles"),
    "text as 3MF": (lambda p: _written(p / "d.3mf", b"a letter"), "not a 3MF file"),
    "text as DXF": (lambda p: _written(p / "d.dxf", b"a letter"), "cannot be read as DXF"),
    "text as SVG": (lambda p: _written(p / "d.svg", b"a letter"), "cannot be read as SVG"),
    "empty SVG": (lambda p: _written(p / "d.svg", b'<svg xmlns="http://www.w3.org/2000/svg"/>'), "no lines"),
    "SVG with entities": (
        lambda p: _written(p / "d.svg", b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg"/>'),
        "entities of its own",
    ),
    "zip bomb": (lambda p: a_bomb(p / "d.3mf"), "450 MB are packed"),
    "open mesh": (lambda p: _written(p / "d.stl", open_mesh()), "open .3 edges"),
    "no region": (lambda p: box_stl(p / "d.stl", (0.4, 20, 30)), "hold nothing apart"),
    "inches": (lambda p: box_stl(p / "d.stl", (2.0, 1.5, 1)), "drawn in inches"),
    "too large": (lambda p: box_stl(p / "d.stl", (90, 0.4, 30)), r"90 x 0\.4 mm"),
}  # fmt: skip


def _written(path, content):
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("case", BAD)
def test_bad_files_are_refused_in_words(case, tmp_path):
    make, words = BAD[case]
    with pytest.raises(FileError, match=words):
        read_regions(make(tmp_path), ROOM)


@pytest.mark.slow
def test_a_fine_mesh_is_read_and_too_fine_a_one_refused(tmp_path):
    """A sphere of eighty thousand faces is cut all the same; two million are refused."""
    ball = trimesh.creation.icosphere(subdivisions=6, radius=12.0)
    assert len(ball.faces) == 81_920
    path = box_stl(tmp_path / "d.stl", None, ball.export(file_type="stl"))
    assert len(read_regions(path, ROOM).polygons) == 2  # the bead round its section
    path.write_bytes(b"\0" * 80 + np.uint32(2_100_000).tobytes() + b"\0" * (50 * 2_100_000))
    with pytest.raises(FileError, match="2100000 triangles are too many"):
        read_regions(path, ROOM)


@pytest.mark.parametrize(
    ("thick", "count", "words"), [(1.1, 2, "outlines of walls"), (1.4, 3, "middles of thin walls")]
)
def test_two_closed_lines_near_each_other_are_a_wall(tmp_path, thick, count, words):
    """Two circles up to 1.2 mm apart draw one ring wall; further apart two rings, with powder between."""
    document = ezdxf.new("R2010", units=4)
    for radius in (10 - thick / 2, 10 + thick / 2):
        document.modelspace().add_circle((0, 0), radius=radius)
    document.saveas(tmp_path / "d.dxf")
    found = read_regions(tmp_path / "d.dxf", ROOM)
    assert any(words in str(note) for note in found.notes)
    assert len(found.polygons) == count


def written(path, shapes, width="60mm", height="40mm", box="0 0 60 40"):
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="{box}">{shapes}</svg>'
    path.write_text(text)
    return path


def test_a_page_as_large_as_the_can_is_laid_on_it(tmp_path):
    """A circle in the page's lower left quarter stays there, though nothing else of the page is drawn."""
    circle = '<circle cx="15" cy="30" r="6" fill="none" stroke="black"/>'
    found = read_regions(written(tmp_path / "d.svg", circle), ROOM)
    assert len(found.polygons) == 2
    disc = found.polygons[found.at(-15, -10) - 1]
    assert disc.area == pytest.approx(36 * np.pi, rel=0.01)
    assert any("as large as the can" in str(note) for note in found.notes)


def test_blocks_of_a_dxf_are_read_where_they_are_inserted(tmp_path):
    document = ezdxf.new("R2010", units=4)
    block = document.blocks.new("ring")
    block.add_circle((0, 0), radius=6)
    sheet = document.modelspace()
    sheet.add_line((0, -20), (0, 20))
    sheet.add_blockref("ring", (-15, 5))
    document.saveas(tmp_path / "d.dxf")
    check(read_regions(tmp_path / "d.dxf", ROOM))


def test_a_body_to_print_round_gives_its_bead(tmp_path):
    disc = trimesh.creation.cylinder(radius=6.2, height=30, sections=256)
    disc.apply_translation((-15, 5, 15))
    disc.export(tmp_path / "d.stl")
    found = read_regions(tmp_path / "d.stl", ROOM)
    assert len(found.polygons) == 2
    assert found.polygons[found.at(-15, 5) - 1].area == pytest.approx(np.pi * 5.8**2, rel=0.01)
    assert any("a bead of 0.4 mm along its outline" in str(note) for note in found.notes)


def test_what_ends_free_is_named_and_a_small_gap_is_closed(tmp_path):
    """A wall from the can's side to 0.02 mm before the other parts nothing, unless such gaps are closed."""
    shapes = (
        '<path d="M 10 0 L 10 40" fill="none" stroke="black"/>'
        '<path d="M 10 20 L 40 20" fill="none" stroke="black"/>'
        '<path d="M 40 20.02 L 40 40" fill="none" stroke="black"/>'
        '<text x="1" y="1">a note</text>'
    )
    path = written(tmp_path / "d.svg", shapes)
    found = read_regions(path, ROOM)
    told = " ".join(map(str, found.notes))
    assert len(found.polygons) == 2
    assert "ends free at +10.00, -0.02 mm" in told
    assert "ends free at +10.00, +0.00 mm" in told
    assert "Text is left out (1, the first at +1.0, -1.0 mm in the drawing)." in told
    mended = read_regions(path, ROOM, close=0.05)
    assert len(mended.polygons) == 3
    assert "gaps of up to 0.02 mm are closed" in " ".join(map(str, mended.notes))
    assert "ends free" not in " ".join(map(str, mended.notes))


def test_a_drawing_in_pixels_is_read_at_96_to_the_inch(tmp_path):
    """CSS Values and Units, 6.2: 1in = 96px; a drawing that names no unit is read in the one given."""
    side = 96 / 25.4
    shapes = f'<circle cx="{15 * side}" cy="{15 * side}" r="{6 * side}" fill="none" stroke="black"/>'
    shapes += f'<line x1="{30 * side}" y1="0" x2="{30 * side}" y2="{40 * side}" stroke="black"/>'
    wide, high = 60 * side, 40 * side
    path = written(tmp_path / "d.svg", shapes, f"{wide}px", f"{high}px", f"0 0 {wide} {high}")
    found = read_regions(path, ROOM)
    check(found)
    assert any("px, of which 96 are an inch" in str(note) for note in found.notes)
    path = written(tmp_path / "e.svg", shapes, f"{wide}", f"{high}", f"0 0 {wide} {high}")
    with pytest.raises(FileError, match="read in mm"):
        read_regions(path, ROOM)
    found = read_regions(path, ROOM, unit="px")
    check(found)
    assert any("states no unit of length; its numbers are read as px" in str(note) for note in found.notes)


def test_a_solid_may_be_said_to_be_the_walls_themselves(tmp_path):
    """A wall across the can with a post in it: judged by its uneven thickness it is a body to print round."""
    wall = trimesh.creation.box((0.4, 40, 30))
    post = trimesh.creation.cylinder(radius=5, height=30, sections=256)
    path = tmp_path / "d.stl"
    path.write_bytes(trimesh.boolean.union([wall, post], engine="manifold").export(file_type="stl"))
    assert len(read_regions(path, ROOM).polygons) == 3  # the inside of the post is one
    found = read_regions(path, ROOM, solid="walls")
    assert len(found.polygons) == 2
    assert not any("to print round" in str(note) for note in found.notes)
    path.write_bytes(wall_solid().export(file_type="stl"))
    assert any("to print round" in str(note) for note in read_regions(path, ROOM, solid="body", bead=0.1).notes)


def test_what_is_no_line_is_named_with_its_place(tmp_path):
    document = ezdxf.new("R2010", units=1)  # inches
    sheet = document.modelspace()
    sheet.add_line((0, -20 / 25.4), (0, 20 / 25.4))
    sheet.add_solid([(0, 0), (1, 0), (0, 1), (1, 1)])
    document.saveas(tmp_path / "d.dxf")
    told = " ".join(map(str, read_regions(tmp_path / "d.dxf", ROOM).notes))
    assert "Solid is left out (1, the first at +12.7, +12.7 mm in the drawing)." in told
