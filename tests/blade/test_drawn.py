"""Drawn outlines: named ones got back from their drawings, drawings of our own understood, bad ones refused."""

from __future__ import annotations

import ezdxf
import numpy as np
import pytest
import shapely
from shapely import affinity

from preview.base.errors import FileError, JobError
from preview.base.units import Units
from preview.blade.outlines import DrawnOutline, NamedOutline
from preview.blade.outlines.named import FORMS
from preview.blade.outlines.reading import closed_lines
from preview.blade.outlines.writing import outline_dxf, outline_svg
from preview.job.file import dump_job, job_files, load_job, make_job, parse_job, save_job
from preview.job.shelf import Shelf
from preview.pipeline import preview


def svg(*rings, head='width="400mm" height="400mm" viewBox="0 0 400 400"', inside=""):
    """Return an SVG of closed rings, y up, as millimetres from its lower left corner."""
    lines = "".join(f'<path d="M {" L ".join(f"{x} {400 - y}" for x, y in ring)} Z"/>' for ring in rings)
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{lines}{inside}</svg>'


def drawn(folder, ring, **stated):
    """Return the outline that a ring (n, 2) in mm is understood as."""
    (folder / "blade.svg").write_text(svg(np.asarray(ring)))
    return DrawnOutline(drawing="blade.svg", **stated).in_folder(folder)


def notes(outline):
    return " ".join(map(str, outline.notes))


KITCHEN = shapely.Polygon([
    *[(200 * t, 22 * t**4) for t in np.linspace(0, 1, 200)],
    *[(x, 48 - 26 * (x / 200) ** 3) for x in np.linspace(200, 0, 200)[1:]],
    (0, 40), (-110, 36), (-112, 22), (-3, 22), (0, 20),
])  # fmt: skip
"""A kitchen knife: deep heel, hidden tang near the spine."""

HUNTER = shapely.Polygon([
    (0, 0), (8, 0), *[(11 + 3 * np.cos(a), 3 * np.sin(a)) for a in np.linspace(np.pi, 0, 60)[1:-1]], (14, 0),
    *[(14 + 86 * t, 16 * t**3) for t in np.linspace(0, 1, 200)],
    *[(x, 26 - 10 * (x / 100) ** 4) for x in np.linspace(100, 0, 200)[1:]],
    *[(x, 26) for x in np.linspace(0, -100, 30)[1:]], (-104, 4),
    *[(x, 5 - 3 * np.sin(np.pi * x / 50) ** 2) for x in np.linspace(-100, -2, 99)], (0, 4),
])  # fmt: skip
"""A hunting knife: ricasso, round choil, full tang that swells twice."""


@pytest.mark.parametrize("form", ["svg", "dxf"])
@pytest.mark.parametrize("extra", [{}, {"tang": 100}, {"ricasso": 18, "choil": 3, "tang": 95, "tang_height": 20}])
@pytest.mark.parametrize("shape", FORMS)
def test_a_named_outline_comes_back_from_its_drawing(shape, extra, form, tmp_path):
    named = NamedOutline(shape=shape, length=150, height=32, **extra)
    content = outline_svg(named).encode() if form == "svg" else outline_dxf(named)
    (tmp_path / f"o.{form}").write_bytes(content)
    back = DrawnOutline(drawing=f"o.{form}").in_folder(tmp_path)
    along, across = np.broadcast_arrays(np.linspace(0, 150, 500)[None], np.linspace(0, 32, 120)[:, None])
    across = np.clip(across, named.edge(along), named.spine(along))
    for found, meant in ((back.edge, named.edge), (back.spine, named.spine), (back.bevel_edge, named.bevel_edge)):
        np.testing.assert_allclose(found(along[0]), meant(along[0]), atol=1e-3)
    np.testing.assert_allclose(back.edge_distance(along, across), named.edge_distance(along, across), atol=1e-3)
    assert (back.length, back.height) == pytest.approx((150, 32), abs=1e-3)
    assert back.ricasso_length == pytest.approx(named.ricasso_length, abs=1e-3)
    assert (back.choil_span is None) == (named.choil_span is None)
    whole, meant = shapely.Polygon(back.profile), shapely.Polygon(named.profile)
    assert whole.is_valid
    assert whole.symmetric_difference(meant).area < 0.05


@pytest.mark.parametrize("angle", [0, 33, 90, 140, 180, -90, -60])
@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("ring", "length"), [(KITCHEN, 200), (HUNTER, 100)], ids=["kitchen", "hunter"])
def test_it_is_understood_however_it_is_drawn(ring, length, angle, mirrored, tmp_path):
    turned = affinity.rotate(affinity.scale(ring, -1 if mirrored else 1, 1), angle)
    found = drawn(tmp_path, affinity.translate(turned, 200, 200).exterior.coords)
    plain = drawn(tmp_path, affinity.translate(ring, 200, 200).exterior.coords)
    assert found.length == pytest.approx(length, abs=0.4)
    assert found.height == pytest.approx(plain.height, abs=0.8)
    assert found.ricasso_length == pytest.approx(plain.ricasso_length, abs=0.4)
    along = np.linspace(5, 0.9 * length, 50)
    np.testing.assert_allclose(found.edge(along), plain.edge(along), atol=0.8)
    np.testing.assert_allclose(found.spine(along), plain.spine(along), atol=0.8)


def test_what_is_understood_of_drawings_of_our_own(tmp_path):
    kitchen = drawn(tmp_path, affinity.translate(KITCHEN, 150, 200).exterior.coords)
    assert kitchen.length == pytest.approx(200, abs=0.01)
    assert kitchen.height == pytest.approx(48, abs=0.01)
    assert kitchen.choil_span is None
    assert kitchen.tang_polygon[:, 0].min() == pytest.approx(-112, abs=0.01)
    for words in ("hidden tang, 112.0 mm long", "200.0 mm from heel to tip", "state ricasso"):
        assert words in notes(kitchen)
    hunter = drawn(tmp_path, affinity.translate(HUNTER, 150, 200).exterior.coords)
    assert hunter.choil_span == pytest.approx((8, 14), abs=0.05)
    assert hunter.ricasso_length == pytest.approx(14, abs=0.05)
    assert hunter.edge(np.array(11.0)) == pytest.approx(3, abs=0.01)
    assert hunter.bevel_edge(np.array(11.0)) == pytest.approx(0, abs=0.01)
    for words in ("full tang, 104.0 mm long", "choil 6.0 mm wide and 3.0 mm deep", "front end, 14.0 mm"):
        assert words in notes(hunter)
    assert "0.551 in from the heel" in " ".join(note.told(Units(sizes="inch")) for note in hunter.notes)


@pytest.mark.parametrize("ring", [KITCHEN, HUNTER], ids=["kitchen", "hunter"])
def test_what_is_stated_goes_before_what_is_seen(ring, tmp_path):
    coords = affinity.translate(ring, 150, 200).exterior.coords
    plain = drawn(tmp_path, coords)
    larger = drawn(tmp_path, coords, length=2 * plain.length)
    assert larger.height == pytest.approx(2 * plain.height)
    assert larger.ricasso_length == pytest.approx(2 * plain.ricasso_length)
    all_blade = drawn(tmp_path, coords, tang=0)
    assert all_blade.length == pytest.approx(plain.length - plain.tang_polygon[:, 0].min())
    assert not all_blade.tang_polygon.size
    both = drawn(tmp_path, coords, tang=50, length=150, ricasso=22)
    assert both.length == pytest.approx(150)
    assert both.tang_polygon[:, 0].min() == pytest.approx(-50)
    assert both.ricasso_length == 22
    askew = affinity.rotate(shapely.Polygon(coords), 5)  # nearly level, so taken as it is drawn
    assert drawn(tmp_path, askew.exterior.coords, turn=-5).height == pytest.approx(plain.height, abs=1e-3)
    over = drawn(tmp_path, coords, turn=180, tip_at="left", edge_at="top")
    assert over.edge(np.array(60.0)) == pytest.approx(plain.edge(np.array(60.0)), abs=1e-6)


def test_where_it_cannot_tell_it_says_what_to_state(tmp_path):
    lens = [(100 + 80 * np.cos(a), 200 + 15 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 200, endpoint=False)]
    said = notes(drawn(tmp_path, lens))
    for words in ("state tip_at", "state edge_at", "state the tang's length as tang", "state ricasso"):
        assert words in said
    said = notes(drawn(tmp_path, np.array(lens) / 25.4))
    assert "drawn in inches, it would be 160.0 mm: state length" in said
    assert "state turn" in notes(drawn(tmp_path, np.array(lens) * (0.25, 1)))


def wavy(x):
    return 3 + 3 * np.cos(x / 18) + 1.2 * np.sin(x / 3)


def test_distance_to_any_edge_against_shapely(tmp_path):
    x = np.linspace(0, 160, 1500)
    ring = np.concatenate([
        np.stack([x, wavy(x)], axis=1),
        np.stack([x[::-1], 40 - 30 * (x[::-1] / 160) ** 6], axis=1),
    ])  # fmt: skip
    found = drawn(tmp_path, np.add(ring, (20, 50)), tang=0, edge_at="bottom", tip_at="right")
    rng = np.random.default_rng(4)
    spots = rng.random((20_000, 2)) * (found.length + 8, found.height + 8) - 4
    spots = np.concatenate([spots, rng.random((200, 2)) * 400 - 100])
    truth = shapely.distance(shapely.LineString(found.understood.bevel_edge), shapely.points(spots))
    np.testing.assert_allclose(found.edge_distance(*spots.T), truth, atol=1e-4)


def write_dxf(path, *, units=4, pieces=(), closed=None, text=False):
    document = ezdxf.new("R2010", units=units)
    sheet = document.modelspace()
    for piece in pieces:
        sheet.add_lwpolyline(piece)
    if closed is not None:
        sheet.add_lwpolyline(closed, close=True)
    if text:
        sheet.add_text("a blade")
    document.saveas(path)


SQUARE = [(0, 0), (150, 0), (150, 30), (0, 30)]


def test_pieces_are_put_together_and_units_are_kept(tmp_path):
    path = tmp_path / "b.dxf"
    write_dxf(path, pieces=[[(0, 0), (150, 0)], [(0, 30), (150, 30)], [(150, 0), (150.01, 30)], [(0, 30), (0, 0.01)]])
    (ring,) = closed_lines(path, path.read_bytes())
    assert np.ptp(ring, axis=0) == pytest.approx((150, 30), abs=0.02)
    write_dxf(path, units=1, closed=[(x / 25.4, y / 25.4) for x, y in SQUARE])
    assert np.ptp(closed_lines(path, path.read_bytes())[0], axis=0) == pytest.approx((150, 30))
    inches = 'width="4in" height="4in" viewBox="0 0 400 400"'
    ring = closed_lines(tmp_path / "b.svg", svg(SQUARE, head=inches).encode())[0]
    assert np.ptp(ring, axis=0) == pytest.approx((38.1, 7.62), rel=1e-5)


def bad(tmp_path):
    """Yield names of bad drawings with what their message says."""
    knot, other = [(0, 0), (150, 30), (150, 0), (0, 30)], [(x, y + 100) for x, y in SQUARE]
    texts = {
        "open.svg": (
            '<svg xmlns="http://www.w3.org/2000/svg"><path d="M 0 0 L 150 0 L 150 30 L 0 30"/></svg>',
            "30 mm",
        ),
        "crossing.svg": (svg(knot), "crosses or touches itself"),
        "two.svg": (svg(SQUARE, other), "2 outlines"),
        "words.svg": (svg(inside="<text>a blade</text>"), "nothing but text"),
        "nothing.svg": (svg(), "no line in it"),
        "empty.svg": ("", "is empty"),
        "broken.svg": ("<svg", "cannot be read as SVG"),
        "broken.dxf": ("no drawing", "cannot be read as DXF"),
        "script.svg": (svg(SQUARE, inside="<script>alert(1)</script>"), "holds a script"),
        "entity.svg": ('<!DOCTYPE svg [<!ENTITY a "b">]>' + svg(SQUARE), "defines entities"),
        "blade.txt": ("0 0", "is read from .svg or .dxf"),
        "many.svg": (svg([(n % 1000, n // 1000) for n in range(110_000)]), "points are too many"),
        "million.svg": ("x" * 6_000_000, "over 5 MB"),
    }
    for name, (text, words) in texts.items():
        (tmp_path / name).write_text(text)
        yield name, words
    write_dxf(tmp_path / "words.dxf", text=True)
    yield "words.dxf", "nothing but text"
    write_dxf(tmp_path / "open.dxf", pieces=[SQUARE])
    yield "open.dxf", "is open"
    yield "missing.svg", "no such file"


@pytest.mark.slow
def test_bad_drawings_give_one_clear_line(tmp_path, make):
    for name, words in bad(tmp_path):
        with pytest.raises(JobError, match=words) as error:
            make(blade={"outline": {"shape": "drawn", "drawing": name}})
        assert str(error.value).startswith("blade.outline.drawing: "), name
        assert str(error.value).count("\n") == 0, name
    with pytest.raises(FileError, match="is open"):
        DrawnOutline(drawing="open.dxf").in_folder(tmp_path)


def test_bad_values_give_their_key(make):
    for drawing in ("../b.svg", "/b.svg", ""):
        with pytest.raises(JobError, match=r"blade\.outline\.drawing: has to be a path inside"):
            make(blade={"outline": {"shape": "drawn", "drawing": drawing}})
    with pytest.raises(JobError, match=r"blade\.outline\.drawing: is needed"):
        make(blade={"outline": {"shape": "drawn"}})
    with pytest.raises(JobError, match=r"blade\.outline\.drawing: has to be read first"):
        DrawnOutline(drawing="b.svg").edge(np.zeros(1))


@pytest.fixture
def job(tmp_path, make):
    (tmp_path / "my").mkdir()
    small = affinity.scale(HUNTER, 1.2, 1, origin=(0, 0))
    (tmp_path / "my" / "blade.svg").write_text(svg(affinity.translate(small, 200, 200).exterior.coords))
    return make(blade={"outline": {"shape": "drawn", "drawing": "my/blade.svg"}, "thickness": 4})


def test_a_job_with_a_drawn_outline_survives(job, tmp_path):
    text = dump_job(job)
    assert "length" not in text.partition("[blade.outline]")[2].partition("[")[0]
    again = parse_job(text, tmp_path)
    assert again == job
    assert hash(again) == hash(job)
    assert again.blade.outline.length == pytest.approx(120, abs=0.01)
    save_job(job, tmp_path / "job.toml")
    assert load_job(tmp_path / "job.toml") == job
    longer = parse_job(text.replace('drawing = "my/blade.svg"', 'drawing = "my/blade.svg"\nlength = 100'), tmp_path)
    assert longer.blade.outline.length == pytest.approx(100)
    assert parse_job(dump_job(longer), tmp_path) == longer
    assert longer != job


def test_its_drawing_goes_where_the_job_goes(job, tmp_path):
    shelf = Shelf(tmp_path / "kept")
    id = shelf.keep(job, name="mine")
    found = shelf.open(id)
    assert found == job.model_copy(update={"folder": found.folder})
    assert found.folder != job.folder
    assert set(job_files(job)) == {"job.toml", "my/blade.svg", job.pattern.picture}
    shelf.keep(found, id)  # in its own place


def test_the_grind_begins_at_the_ricasso_and_says_so_where_it_was_asked_to_elsewhere(job):
    ricasso = job.blade.outline.ricasso_length
    assert job.ground.heel_flat == ricasso > 10
    shown = preview(job, px_per_mm=2)
    assert not any("ricasso" in str(note) for note in shown.numbers.notes)
    said = make_job({**job.model_dump(), "folder": job.folder, "grind": {"heel_flat": 5}})
    assert said.ground.heel_flat == ricasso
    told = [str(note) for note in preview(said, px_per_mm=2).numbers.notes]
    assert any(f"ricasso's end, {ricasso:.3g} mm from the heel, not after the flat of 5 mm" in note for note in told)
    along, across = np.array([[4.0]]), np.array([[10.0]])
    assert job.ground.stand("right", along, across) == pytest.approx(2.0)
    assert shown.picture.any()
    with pytest.raises(JobError, match=r"blade\.outline\.ricasso.*some of the blade"):
        make_job({**job.model_dump(), "folder": job.folder, "grind": {"plunge": 110}})
