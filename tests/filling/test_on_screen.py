"""Pictures of dividers for the screen, read as XML."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from preview.filling.can_plan import Room
from preview.filling.dividers import Printing, dividers
from preview.filling.fill import Fill
from preview.filling.insert import insert
from preview.filling.on_screen import MARK, WALL, insert_picture, wall_picture
from preview.filling.showing import everywhere
from preview.pattern.powders import NICKEL, PLAIN
from tests.support.laid import ROOM, box, raster


def two_discs(on):
    on.ellipse(box(-15, -5, -5, 5), fill=255)
    on.ellipse(box(5, -5, 15, 5), fill=255)


def test_an_inserts_bridges_stand_out_and_its_rooms_are_numbered(tmp_path):
    made = insert(raster(tmp_path, two_discs), ROOM, 30.0, Printing(), everywhere(ROOM))
    nickel = Fill("nickel", "unknown", 1.0, 4.5, (0.0, 5.0), 1.0, 0.04)
    plan = tuple(Room(number, nickel, 1.0, 1.0, (0.0, 0.0)) for number in range(1, len(made.rooms) + 1))
    root = ET.fromstring(insert_picture(made, plan, (PLAIN, NICKEL)))
    drawn = {each.get("fill"): each.get("d") for each in root.iter() if each.tag.endswith("path")}
    assert {WALL, MARK, "#ffffff"} == set(drawn)
    right = np.array(re.findall(r"(-?[\d.]+) -?[\d.]+", drawn[MARK]), dtype=float) - ROOM[0] / 2
    assert (right.min(), right.max()) == pytest.approx((-5, 5), abs=0.5)  # between the discs
    assert [each.text for each in root.iter() if each.tag.endswith("text")] == ["1", "2", "3"]


def test_walls_are_numbered_and_what_is_too_narrow_is_ringed(tmp_path):
    found = dividers(
        raster(tmp_path, lambda on: on.rectangle(box(-20, 0, 20, 0.5), fill=255)), ROOM, 30.0, Printing(bead=0.6)
    )
    root = ET.fromstring(wall_picture(found))
    rings = [each for each in root.iter() if each.tag.endswith("circle")]
    assert len(rings) == sum(each.part is None for each in found.troubles) > 0
    assert float(rings[0].get("cy")) == pytest.approx(ROOM[1] / 2 - found.troubles[0].at[1], abs=0.01)
