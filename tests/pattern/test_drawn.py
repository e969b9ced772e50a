"""Patterns drawn as shapes, SVG and DXF: areas against closed forms, and everything that can be wrong with a file."""

from __future__ import annotations

from math import pi

import ezdxf
import numpy as np
import pytest
import shapely
from PIL import Image
from shapely import affinity

from preview.base.errors import FileError, JobError
from preview.base.units import Units
from preview.filling.layout import lay_out
from preview.filling.wanted import Wanted
from preview.job.file import load_job, parse_job
from preview.pattern.coverage import covered
from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN, Powder
from preview.pattern.raster import read_raster
from preview.pipeline import preview
from tests.conftest import DEMOS

POWDERS = (PLAIN, NICKEL)
ROOM = (60.0, 40.0)
F = ((0, 0), (24, 0), (24, 6), (7, 6), (7, 14), (18, 14), (18, 20), (7, 20), (7, 34), (0, 34))
"""An F, from its upper left corner rightwards and downwards, mm."""


def svg(path, body, size='width="60mm" height="40mm" viewBox="0 0 60 40"', more=""):
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{more}{body}</svg>')
    return path


def read(path, room=ROOM, powders=POWDERS, **pattern):
    return read_raster(path, Pattern(picture=path.name, **pattern), powders, room)


def area(raster, name):
    """Area of a powder (mm2) on the page, the rim that the raster has round it left out."""
    share = raster.shares[raster.classes.index(name)][1:-1, 1:-1]
    return float(share.sum(dtype=float)) * raster.cell[0] * raster.cell[1]


@pytest.mark.parametrize("seed", range(4))
def test_cells_are_covered_exactly(seed):
    """Each cell against its intersection with the area by shapely."""
    rng = np.random.default_rng(seed)
    shape = shapely.union_all([shapely.Point(*rng.uniform(-1, 9, 2)).buffer(rng.uniform(0.3, 3), 5) for _ in range(6)])
    shape = shape.difference(shapely.Point(4, 4).buffer(1.1))
    found = covered(shape, (7, 9), (0.9, 1.1), (0.5, 8.2))
    for row in range(7):
        for column in range(9):
            x, y = 0.5 + column * 0.9, 8.2 - row * 1.1
            cell = shapely.box(x, y - 1.1, x + 0.9, y)
            assert found[row, column] == pytest.approx(shape.intersection(cell).area / cell.area, abs=1e-6)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<circle cx="30" cy="20" r="7.3"/>', pi * 7.3**2),
        ('<rect x="3.37" y="5.11" width="20.5" height="11.7"/>', 20.5 * 11.7),
        ('<ellipse cx="30" cy="20" rx="12" ry="2.5"/>', pi * 30),
        ('<g transform="rotate(30 30 20) scale(0.5)"><rect x="40" y="20" width="30" height="20"/></g>', 150),
        ('<path fill-rule="evenodd" d="M10 10h20v20h-20z M15 15h10v10h-10z"/>', 300),
        ('<path d="M10 10h20v20h-20z M15 15v10h10v-10z"/>', 300),  # nonzero: the hole runs the other way
        ('<path d="M10 10h20v20h-20z M15 15h10v10h-10z"/>', 400),  # nonzero: it runs the same way
        ('<circle cx="30" cy="20" r="8"/><circle cx="30" cy="20" r="3" fill="white"/>', pi * 55),
        ('<rect x="-20" y="10" width="30" height="10"/>', 100),  # what lies off the page does not count
        ('<path d="M10 10 L20 10 L20 30 L10 30"/>', 200),  # a fill closes its outline
        ('<rect x="5" y="5" width="9" height="9"/><rect x="7" y="1" width="1" height="1" display="none"/>', 81),
    ],
)
def test_areas_of_an_svg(tmp_path, body, expected):
    found = read(svg(tmp_path / "d.svg", body))
    assert area(found, "plain") == pytest.approx(expected, rel=1e-3)
    assert area(found, "plain") + area(found, "nickel") == pytest.approx(2400, rel=1e-5)


@pytest.mark.parametrize("units", [4, 1])
def test_areas_of_a_dxf(tmp_path, units):
    """A plate with two holes, one of them filled again; the second powder on the first."""
    document, scale = ezdxf.new("R2010"), 1.0 if units == 4 else 1 / 25.4
    document.header["$INSUNITS"] = units
    sheet = document.modelspace()
    sheet.add_lwpolyline([(x * scale, y * scale) for x, y in ((0, 0), (40, 0), (40, 24), (0, 24))], close=True)
    sheet.add_circle((10 * scale, 12 * scale), 6 * scale)
    sheet.add_circle((10 * scale, 12 * scale), 3 * scale)
    for start, end in (((25, 5), (35, 5)), ((35, 15), (35, 5)), ((35, 15), (25, 15)), ((25, 15), (25, 5))):
        sheet.add_line([v * scale for v in start], [v * scale for v in end])
    document.saveas(tmp_path / "d.dxf")
    found = read(tmp_path / "d.dxf")
    assert area(found, "nickel") == pytest.approx(40 * 24 - pi * 27 - 100, rel=1e-3)
    assert np.array(found.shares.shape[1:][::-1]) * found.cell == pytest.approx([40, 24], abs=0.1)


def test_a_dxf_names_powders_by_layer_and_by_colour(tmp_path):
    powders = (
        *POWDERS,
        Powder(name="third", colours=("red",), nickel=1.0),
        Powder(name="Bright", colours=("lime",), nickel=8),
    )
    document = ezdxf.new("R2010", units=4)
    sheet = document.modelspace()
    sheet.add_lwpolyline([(-30, -20), (30, -20), (30, 20), (-30, 20)], close=True)  # the can's own outline
    sheet.add_circle((-15, 0), 5)
    sheet.add_circle((0, 0), 6, dxfattribs={"color": 1})
    sheet.add_circle((15, 0), 7, dxfattribs={"layer": "bright"})
    sheet.add_line((0, 0), (3, 3))
    document.saveas(tmp_path / "d.dxf")
    found = read(tmp_path / "d.dxf", powders=powders)
    for name, radius in (("nickel", 5), ("third", 6), ("Bright", 7)):
        assert area(found, name) == pytest.approx(pi * radius**2, rel=1e-3)
    assert area(found, "plain") == pytest.approx(2400 - pi * 110, rel=1e-3)
    assert "1 open lines are left out" in " ".join(map(str, found.notes))


@pytest.mark.parametrize("dividers", ["through", "along"])
def test_an_f_is_the_same_drawn_and_painted(tmp_path, dividers):
    """The same F as SVG and as PNG, its edges on the PNG's own pixels."""
    per_mm, (x, y) = 36, (4, 3)
    picture = Image.new("L", (60 * per_mm, 40 * per_mm), 255)
    pixels = np.asarray(picture).copy()
    for left, top, right, bottom in ((0, 0, 24, 6), (0, 0, 7, 34), (0, 14, 18, 20)):
        pixels[(y + top) * per_mm : (y + bottom) * per_mm, (x + left) * per_mm : (x + right) * per_mm] = 0
    Image.fromarray(pixels).save(tmp_path / "f.png")
    points = " ".join(f"{x + a},{y + b}" for a, b in F)
    drawn = read(svg(tmp_path / "f.svg", f'<polygon points="{points}"/>'), dividers=dividers)
    painted = read(tmp_path / "f.png", dividers=dividers)
    assert drawn.shares.shape == pytest.approx(painted.shares.shape, rel=0.05)
    for name in drawn.classes:
        assert area(drawn, name) == pytest.approx(area(painted, name), rel=1e-3)
    finer = np.asarray(Image.fromarray(drawn.shares[0, 1:-1, 1:-1]).resize(picture.size, Image.Resampling.BILINEAR))
    off = np.abs(finer - painted.shares[0, 1:-1, 1:-1])
    assert off.mean() < 0.002
    assert ((finer > 0.5) == (painted.shares[0, 1:-1, 1:-1] > 0.5)).mean() > 0.9995


def test_own_size_counts_and_the_rest_is_surround(tmp_path):
    path = svg(
        tmp_path / "d.svg", '<rect width="2" height="1" fill="white"/>', 'width="2cm" height="1cm" viewBox="0 0 2 1"'
    )
    found = read(path)
    assert found.shares[:, 0, 0].tolist() == [1, 0]
    assert area(found, "nickel") == pytest.approx(200, rel=1e-5)
    assert area(read(path, size=(40, 10)), "nickel") == pytest.approx(400, rel=1e-5)
    with pytest.raises(JobError, match=r"20 x 10 mm, and the can's inside has only 15 x 12 mm") as caught:
        read(path, (15.0, 12.0))
    assert "0.787 x 0.394 in" in caught.value.told(Units(sizes="inch"))


@pytest.mark.parametrize("suffix", ["svg", "dxf"])
@pytest.mark.parametrize(("at", "turn"), [((5.5, -3.25), 0.0), ((-7.0, 2.0), 30.0), ((0.0, 0.0), -115.0)])
def test_a_placed_drawing_is_drawn_where_it_lies(tmp_path, suffix, at, turn):
    """Single cells against shapely's intersection with an F carried there by shapely: drawn anew, not blurred."""
    if suffix == "svg":
        points = " ".join(f"{x},{y}" for x, y in F)
        path = svg(
            tmp_path / "f.svg", f'<polygon points="{points}"/>', 'width="24mm" height="34mm" viewBox="0 0 24 34"'
        )
    else:
        document = ezdxf.new("R2010", units=4)
        document.modelspace().add_lwpolyline([(x, -y) for x, y in F], close=True)
        path = tmp_path / "f.dxf"
        document.saveas(path)
    ink, paper = ("plain", "nickel") if suffix == "svg" else ("nickel", "plain")
    found = read(path, size=(12, 20), at=at, turn=turn, surround=paper)
    share = found.share_of((ink,))[1:-1, 1:-1]
    rows, columns = share.shape
    assert (columns * found.cell[0], rows * found.cell[1]) == pytest.approx(ROOM)
    upright = shapely.Polygon([(x * 12 / 24 - 6, 10 - y * 20 / 34) for x, y in F])
    there = affinity.translate(affinity.rotate(upright, turn, origin=(0, 0)), *at)
    assert area(found, ink) == pytest.approx(there.area, rel=1e-5)
    np.testing.assert_allclose(found.shares.sum(axis=0), 1, atol=1e-5)
    rng = np.random.default_rng(7)
    edge = np.argwhere((share > 0.01) & (share < 0.99))
    for row, column in [*rng.choice(edge, 40), *rng.integers((0, 0), share.shape, (20, 2))]:
        x, y = column * found.cell[0] - 30, 20 - row * found.cell[1]
        cell = shapely.box(x, y - found.cell[1], x + found.cell[0], y)
        assert share[row, column] == pytest.approx(there.intersection(cell).area / cell.area, abs=2e-4)


def test_colours_stand_for_powders_as_in_pictures(tmp_path):
    body = '<rect width="30" height="40" fill="#808080"/><rect x="30" width="30" height="40" fill="red"/>'
    found = read(svg(tmp_path / "d.svg", body))
    assert area(found, "plain") == pytest.approx(600 + 1200, rel=0.01)  # grey is a mix, red strays to the nearest
    assert found.stray == pytest.approx(0.5, abs=1e-3)
    assert any("matches none" in str(note) for note in found.notes)
    bare = read(svg(tmp_path / "e.svg", '<rect width="30" height="40"/>'), transparent="plain")
    assert area(bare, "plain") == pytest.approx(2400, rel=1e-5)


def test_a_job_takes_a_drawing(tmp_path):
    text = (DEMOS / "plain_start.toml").read_text("utf-8").replace("plain_start.png", "leaf.svg")
    job = parse_job(text, tmp_path)
    width, height = job.pattern_area
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    svg(tmp_path / "leaf.svg", f'<circle cx="{width / 2}" cy="{height / 2}" r="8"/>', size)
    assert 0.3 < preview(job, px_per_mm=2).numbers.right.bright_share < 0.999


def an_empty_dxf(path, *, text=False, lines=False):
    document = ezdxf.new("R2010")
    if text:
        document.modelspace().add_text("a leaf")
    if lines:
        document.modelspace().add_lwpolyline([(0, 0), (9, 0), (9, 9)])
    document.saveas(path)
    return path


def a_million_points(path):
    rng = np.random.default_rng(0)
    points = "L".join(f"{x:.3f} {y:.3f}" for x, y in rng.uniform(0, 40, (1_000_000, 2)))
    return svg(path, f'<path d="M{points}Z"/>')


BAD = {
    "empty file": (lambda p: svg_of(p / "d.svg", ""), "file is empty"),
    "nothing drawn": (lambda p: svg(p / "d.svg", ""), "nothing is drawn"),
    "text only": (lambda p: svg(p / "d.svg", '<text x="3" y="9">leaf</text>'), "only text"),
    "no fills": (lambda p: svg(p / "d.svg", '<circle r="9" fill="none"/>'), "none of its shapes is filled"),
    "lines only": (lambda p: svg(p / "d.svg", '<line x1="0" y1="0" x2="9" y2="9"/>'), "none of its shapes is filled"),
    "entities": (lambda p: svg_of(p / "d.svg", '<!DOCTYPE s [<!ENTITY a "b">]><svg/>'), "entities"),
    "script": (lambda p: svg(p / "d.svg", '<script>alert(1)</script><rect width="9" height="9"/>'), "script"),
    "broken": (lambda p: svg_of(p / "d.svg", "<svg><rect"), "cannot be read as SVG"),
    "a picture": (lambda p: svg_of(p / "d.dxf", "\x89PNG\r\n"), "cannot be read as DXF"),
    "a million points": (lambda p: a_million_points(p / "d.svg"), "points are too many"),
    "empty dxf": (lambda p: an_empty_dxf(p / "d.dxf"), "nothing is drawn"),
    "dxf of text": (lambda p: an_empty_dxf(p / "d.dxf", text=True), "only text"),
    "open dxf": (lambda p: an_empty_dxf(p / "d.dxf", lines=True), "none of its lines closes"),
    "missing": (lambda p: p / "none.svg", "no such file"),
}  # fmt: skip


def svg_of(path, text):
    path.write_text(text)
    return path


@pytest.mark.parametrize("case", BAD)
def test_bad_drawings_are_refused_in_one_line(case, tmp_path):
    make, words = BAD[case]
    with pytest.raises(FileError, match=words) as caught:
        read(make(tmp_path))
    assert "\n" not in str(caught.value)


def test_a_wanted_drawing_may_be_larger_than_the_can(tmp_path):
    """A page as wide as the blade, and wider than the can, goes back to the can."""
    path = svg(tmp_path / "d.svg", '<rect width="60" height="40"/><circle cx="30" cy="20" r="9" fill="white"/>')
    laid = lay_out(load_job(DEMOS / "plain_start.toml"), Wanted(picture=path, size=40.0))
    assert 0.005 < laid.powders["nickel"] < 0.2
