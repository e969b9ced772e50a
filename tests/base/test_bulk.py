"""Small drawings that would grow without end are refused, in one line, before they do."""

from __future__ import annotations

import ezdxf
import pytest

from preview.base.errors import FileError
from preview.base.shapes import read_shapes

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="60mm" height="20mm" '
    'viewBox="0 0 60 20">'
)
TEN = "".join(f'<g id="g{n}">' + f'<use xlink:href="#g{n - 1}"/>' * 10 + "</g>" for n in range(1, 12))
THIN = " ".join(f"a 3000,0.0001 {n} 0 1 {n % 7},0.001" for n in range(600))


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        (f'<defs><g id="g0"><rect width="1" height="1"/></g>{TEN}</defs><use xlink:href="#g11"/>', "each as often"),
        ('<g id="a"><use href="#a"/></g>', "each as often"),
        ("<g>" * 5000 + "</g>" * 5000, "over 100 deep"),
        (f'<path d="M0,0 {THIN}"/>', "reaches over 100 m"),
        ('<path d="M0,0 ' + "c 1000,1000 2000,-1000 50,0 " * 200 + '"/>', "points are too many"),
        ('<circle r="1e300"/>', "reaches over 100 m"),
    ],
)
def test_drawings_that_grow(tmp_path, inside, words, monkeypatch):
    monkeypatch.setattr("preview.base.drawing.MOST_POINTS", 10_000)
    with pytest.raises(FileError, match=words) as caught:
        read_shapes(tmp_path / "d.svg", f"{HEAD}{inside}</svg>".encode(), stray=0.001)
    assert str(caught.value).isprintable()


def test_what_is_used_some_times_is_read(tmp_path):
    inside = '<defs><g id="a"><rect width="1" height="1"/></g></defs>' + '<use href="#a" x="2"/>' * 5
    assert len(read_shapes(tmp_path / "d.svg", f"{HEAD}{inside}</svg>".encode(), stray=0.001).shapes) == 5


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda sheet: sheet.add_blockref("B5", (0, 0)), "each as often as it is inserted"),
        (lambda sheet: sheet.add_circle((0, 0), 1e300), "reaches over 100 m"),
        (lambda sheet: sheet.add_line((0, 0), (1e200, 0)), "reaches over 100 m"),
    ],
)
def test_dxf_that_grows(tmp_path, draw, words, monkeypatch):
    monkeypatch.setattr("preview.base.dxf_shapes.MOST_ENTITIES", 200)
    document = ezdxf.new()
    for number in range(6):
        block = document.blocks.new(f"B{number}")
        for place in range(6):
            if number:
                block.add_blockref(f"B{number - 1}", (place, 0))
            else:
                block.add_line((0, 0), (1, place))
    draw(document.modelspace())
    path = tmp_path / "d.dxf"
    document.saveas(path)
    with pytest.raises(FileError, match=words):
        read_shapes(path, path.read_bytes(), stray=0.001)
