"""Inserts in one line: hand-worked shapes, and what a slicing program of others makes of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh
from PIL import Image, ImageDraw, ImageFont
from shapely.geometry import box as rectangle

from preview.base.errors import RequestError
from preview.filling.can_plan import can_plan, plan_lines
from preview.filling.dividers import Printing
from preview.filling.fill import fill
from preview.filling.insert import insert, insert_notes, insert_of, placing
from preview.filling.one_line import GAP
from preview.filling.printing import insert_files
from preview.filling.regions import read_regions
from preview.filling.showing import Showing, everywhere
from preview.filling.solids import insert_solids
from preview.filling.walls import polygons_of
from preview.job.file import load_job
from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN, Powder
from preview.pattern.raster import read_raster
from tests.conftest import DEMOS
from tests.support.laid import PX, ROOM, box, raster
from tests.support.slicing import needs_slicer, sliced


def letters(on):
    """An O inside a ring, and two letters beside it."""
    on.ellipse(box(-24, -13, 2, 13), fill=255)
    on.ellipse(box(-21.5, -10.5, -0.5, 10.5), fill=0)
    on.text((19 * PX, 20 * PX), "O", fill=255, font=ImageFont.load_default(size=14 * PX), anchor="mm")
    on.text((45 * PX, 20 * PX), "Be", fill=255, font=ImageFont.load_default(size=20 * PX), anchor="mm")


def waves(on):
    """Six long thin waves from side to side."""
    along = np.arange(-1, 61, 0.1)
    for number in range(6):
        up = 5 + 6 * number + 1.6 * np.sin(along / 5 + number)
        on.line([(x * PX, y * PX) for x, y in zip(along, up, strict=True)], fill=255, width=28, joint="curve")


DRAWN = {"letters": letters, "waves": waves}


def made_of(tmp_path, draw, shown=None, **printing):
    return insert(raster(tmp_path, draw), ROOM, 30.0, Printing(**printing), shown or everywhere(ROOM))


def test_a_disc_is_its_own_line(tmp_path):
    made = made_of(tmp_path, lambda on: on.ellipse(box(-12, -8, 4, 8), fill=255))
    (line,) = made.found.lines
    assert line.area == pytest.approx(np.pi * 64, rel=0.005)
    assert made.bodies[0].area == pytest.approx(np.pi * 8.2**2, rel=0.005)  # the bead's middle runs on the wall
    assert made.beads.area == pytest.approx(2 * np.pi * 8 * 0.4, rel=0.005)
    assert len(made.rooms) == 2
    assert not made.found.bridges
    assert made.found.harm == 0


def test_two_discs_are_joined_by_a_bridge_two_beads_wide(tmp_path):
    def draw(on):
        on.ellipse(box(-15, -5, -5, 5), fill=255)
        on.ellipse(box(5, -5, 15, 5), fill=255)

    made = made_of(tmp_path, draw)
    (bridge,) = made.found.bridges
    assert bridge.length == pytest.approx(10, abs=0.3)
    assert len(made.rooms) == 3
    # two beads of 0.4 mm over 10 mm less the walls' own halves and the margin of a slit
    assert made.found.harm == pytest.approx(0.8 * (10 - 0.4 - 2 * GAP), rel=0.06)
    across = made.beads.intersection(rectangle(-0.01, -5, 0.01, 5))
    assert across.area / 0.02 == pytest.approx(0.8, abs=0.02)
    assert len(polygons_of(across)) == 1  # no gap between them


def test_a_ring_is_opened_by_a_slit_whose_gap_slicing_keeps(tmp_path):
    def draw(on):
        on.ellipse(box(-10, -10, 10, 10), fill=255)
        on.ellipse(box(-7, -7, 7, 7), fill=0)

    made = made_of(tmp_path, draw)
    (line,) = made.found.lines
    assert not line.interiors
    assert line.exterior.length == pytest.approx(2 * np.pi * 17 + 2 * 3 - 2 * (0.4 + GAP), rel=0.005)
    assert len(made.rooms) == 3  # powder does not pass the slit


def test_bridges_keep_off_what_shows(tmp_path):
    def draw(on):
        on.ellipse(box(-15, -5, -5, 5), fill=255)
        on.ellipse(box(5, -5, 15, 5), fill=255)

    density = np.zeros((40, 60))
    density[13:27, 28:32] = 10  # the short way between the discs shows tenfold
    made = made_of(tmp_path, draw, Showing(ROOM, density))
    assert made.found.harm < 1
    assert made.found.bridge_length > 10.5


def test_stripes_across_the_can_are_joined_along_its_side_and_part_nothing(tmp_path):
    def draw(on):
        for left in (-20, -5, 10):
            on.rectangle(box(left, -20, left + 3, 20), fill=255)

    made = made_of(tmp_path, draw)
    assert len(made.found.lines) == 1
    assert len(made.rooms) == 7
    _, low, _, top = made.beads.bounds
    assert (low, top) == pytest.approx((-20 + 0.15, 20 - 0.15), abs=0.01)  # the clearance
    for bridge in made.found.bridges:
        assert abs(abs(bridge.centroid.y) - (20 - 0.35)) < 0.01
    wide = made_of(tmp_path, draw, clearance=1.0).beads.bounds
    assert (wide[1], wide[3]) == pytest.approx((-19, 19), abs=0.01)


def test_where_three_powders_meet_a_wall_takes_two_beads(tmp_path):
    sheet = Image.new("RGB", (1200, 800))
    on = ImageDraw.Draw(sheet)
    on.rectangle((300, 200, 600, 600), fill="white")
    on.rectangle((600, 200, 900, 600), fill="#808080")
    sheet.save(tmp_path / "p.png")
    middle = Powder(name="middle", colours=("#808080",), nickel=1.0)
    read = read_raster(tmp_path / "p.png", Pattern(picture="p.png"), (PLAIN, NICKEL, middle), ROOM)
    made = insert(read, ROOM, 30.0, Printing(), everywhere(ROOM))
    assert len(made.found.lines) == 1
    assert made.found.doubled.length == pytest.approx(20, abs=0.2)  # the shortest of the three walls
    assert len(made.rooms) == 3
    assert any("two beads" in str(note) for note in insert_notes(made))


@pytest.mark.parametrize(
    ("printing", "words"),
    [
        ({"bead": 3.0}, r"printing\.bead: 1 of 1 pieces .* narrower than a bead of 3 mm"),
        ({"clearance": 25.0}, r"printing\.clearance: leaves no room in a can of 60 x 40 mm; given 25 mm"),
        ({"bed": (20.0, 20.0, 100.0)}, r"printing\.bed: a bed of 20 x 20 x 100 mm is too small"),
        ({"height": 31}, r"printing\.height: .*30 mm deep; given 31"),
        ({"base": 30}, r"printing\.base: has to be thinner"),
    ],
)
def test_bad_wishes_are_refused_in_one_line(tmp_path, printing, words):
    with pytest.raises(RequestError, match=words):
        made_of(tmp_path, lambda on: on.rectangle(box(-20, -1, 20, 1), fill=255), **printing)


def test_bad_patterns_are_refused_in_one_line(tmp_path):
    with pytest.raises(RequestError, match="all one powder"):
        made_of(tmp_path, lambda _: None)
    rng = np.random.default_rng(1)

    def specks(on):
        on.point([tuple(each) for each in rng.integers(2, (1198, 798), (10_000, 2))], fill=255)

    with pytest.raises(RequestError, match="walls; at most 600 are joined"):
        made_of(tmp_path, specks, tolerance=0.02)


def test_files_of_an_insert_give_its_rooms_back(tmp_path):
    made = made_of(tmp_path, DRAWN["letters"], base=0.6)
    found = insert_solids(made)["insert"]
    solid = trimesh.Trimesh(found.vertices, found.faces, process=False)
    assert solid.is_watertight
    walls = made.bodies[0].area * (30 - 0.6)
    assert solid.volume == pytest.approx(walls + made.plate.area * 0.6, rel=0.001)
    files = insert_files(replace(made, base=0.0), ())
    text = files["insert.txt"].decode()
    assert "spiral printing" in text
    assert "no bottom, a bead 0.4 mm wide, layers 0.2 mm high" in text
    assert "a bottom 0.6 mm thick, which burns out" in insert_files(made, ())["insert.txt"].decode()
    for kind in ("svg", "dxf", "stl", "3mf"):
        (tmp_path / f"d.{kind}").write_bytes(files[f"insert.{kind}"])
        read = read_regions(tmp_path / f"d.{kind}", ROOM)
        rooms = [each for each in read.polygons if each.buffer(-0.1).area > 0.15]
        assert len(rooms) == len(made.rooms)
        for room in made.rooms:
            (same,) = [each for each in rooms if each.contains(room.representative_point())]
            assert same.symmetric_difference(room).area < 0.4 * room.length  # within a bead


@needs_slicer
@pytest.mark.slow
@pytest.mark.parametrize("name", [*DRAWN, *(path.stem for path in sorted(DEMOS.glob("*.toml")))])
def test_sliced_it_is_one_line_round_every_room(tmp_path, name):
    """Spiral printing of a solid 3 mm tall: no jump, as long as the wall, and rooms as the pattern has them."""
    if name in DRAWN:
        made = made_of(tmp_path, DRAWN[name], height=3.0)
    elif name == "fine_rain":  # finer than a bead
        with pytest.raises(RequestError, match="narrower than a bead"):
            insert_of(load_job(DEMOS / f"{name}.toml"))
        return
    else:
        made = insert_of(load_job(DEMOS / f"{name}.toml"), Printing(height=3.0))
    found = sliced(tmp_path / "d.stl", insert_solids(made), made.bead, made.layer, spiral=True)
    turns = 3.0 / made.layer
    assert found.length / turns == pytest.approx(made.found.length, rel=0.03)
    # in the first turn the feed rises from nothing, and its first millimetres round to none
    assert (found.jumps[:, 0] < 2 * made.layer).all()
    assert found.jumps[:, 1].sum() < 0.03 * made.found.length
    laid = found.beads(1.4, 1.8, made.bead)  # a turn and more
    assert len(polygons_of(laid)) == 1
    # beads as they were laid lie where the insert has them, bridges and all
    assert laid.difference(made.beads.buffer(0.1)).area < 0.2
    assert made.beads.difference(laid.buffer(0.1)).area < 0.2
    free = made.plate.difference(laid).buffer(-0.08).buffer(0.08)
    rooms = [room for room in polygons_of(free) if room.area > 0.15]
    held = [made.pieces.polygons[k] for k in range(len(made.pieces.polygons)) if k not in made.unheld]
    shared = np.array(
        [[room.intersection(each).area > 0.3 * min(room.area, each.area) for room in rooms] for each in held]
    )
    assert (shared.sum(axis=0) <= 1).all()  # no room lies in two pieces
    assert shared.any(axis=1).sum() >= len(held) - 1  # a corner at the can's side may be closed off
    # the first turn's plastic rises from nothing to all
    assert found.volume == pytest.approx(made.plastic / 1.24 * 1000 * (turns - 0.5) / turns, rel=0.05)


def test_an_insert_that_does_not_fill_the_can_is_set_down_by_two_numbers(tmp_path):
    """A disc of 10 mm with its middle 10 mm left of the can's: a bead of 0.4 mm round it, half of it outside."""
    disc = raster(tmp_path, lambda on: on.ellipse(box(-15, -5, -5, 5), fill=255))
    made = insert(disc, ROOM, 30.0, Printing(), everywhere(ROOM))
    (words,) = placing(made)
    left, low = (float(each.split(" mm")[0]) for each in str(words).split("stands ")[1].split(" and "))
    assert left == pytest.approx(ROOM[0] / 2 - 15.2, abs=0.11)
    assert low == pytest.approx(ROOM[1] / 2 - 5.2, abs=0.11)
    assert words in insert_notes(made)


def test_the_plan_fills_every_room_and_counts_the_beads_out():
    job = load_job(DEMOS / "running_wave.toml")
    made = insert_of(job)
    plan = can_plan(job, made)
    assert sorted(room.number for room in plan) == list(range(1, len(made.rooms) + 1))
    powders = [room.powder for room in plan]
    assert powders == sorted(powders, key=lambda name: name != "nickel")  # of which there is less
    floor = sum(room.area for room in plan)
    # up to the can's side where no bead runs along it: all but what is told to be too thin for powder, and a clearance
    # of 0.15 mm beside some of the beads
    assert made.plate.area - 1 - made.empty < floor + made.beads.area < 95 * 24
    tapped = {each.powder: each.tap_density for each in fill(job, made.bead).fills}
    for room in plan:
        assert room.grams == pytest.approx(room.area * made.height / 1000 * tapped[room.powder])
        assert made.rooms[room.number - 1].contains(shapely.Point(room.at))
    lines = plan_lines(plan)
    assert [line.split(",")[0] for line in lines] == ["1. nickel", "2. plain"]
