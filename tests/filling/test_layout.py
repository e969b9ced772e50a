"""Laying out is the preview's inverse: shown by previewing what was laid out, and by the direct map."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageDraw

from preview.base.errors import FileError, JobError, RequestError
from preview.filling.layout import agreement_of, lay_out, place
from preview.filling.layout_files import laid_out, save_layout
from preview.filling.wanted import Wanted
from preview.filling.wanted_picture import see_wanted
from preview.job.faults import make_settings
from preview.job.file import load_job, parse_job
from preview.pipeline import fields
from tests.conftest import DEMOS

REFUSED = {"along_the_bar": "dividers through", "wrung_out": "after a twist", "end_grain": "after a tile"}
"""Demos that no layout can serve, and why."""
PX = 20


def drawing(path, size, draw):
    sheet = Image.new("L", (round(size[0] * PX), round(size[1] * PX)))
    draw(ImageDraw.Draw(sheet))
    sheet.save(path)
    return path


def a_scene(size):
    """Invented art whose features are all at least a millimetre: bars, slanted lines, a ring, a winding line."""
    width, height = size

    def draw(on):
        for x in range(6, 24, 3):
            on.rectangle((x * PX, 3 * PX, (x + 1) * PX - 1, (height - 3) * PX), fill=255)
        for step in range(4):
            start, end = (30 * PX, (4 + 4 * step) * PX), (60 * PX, (4 + 5 * step) * PX)
            on.line((*start, *end), fill=255, width=round(1.2 * PX))
        on.ellipse((70 * PX, 5 * PX, 86 * PX, 21 * PX), fill=255)
        on.ellipse((73 * PX, 8 * PX, 83 * PX, 18 * PX), fill=0)
        wave = [((92 + t) * PX, (height / 2 + 5 * np.sin(t / 4)) * PX) for t in np.arange(0, width - 100, 0.2)]
        on.line(wave, fill=255, width=round(1.3 * PX), joint="curve")

    return draw


def wanted_on(job, tmp_path, face="right", **where):
    outline = job.blade.outline
    size = (outline.length - 10, outline.height - 2)
    return Wanted(picture=drawing(tmp_path / "art.png", size, a_scene(size)), face=face, size=size, **where)


def test_the_wanted_picture_shows_on_every_demo_or_is_refused(demo, demo_path, tmp_path):
    wanted = wanted_on(demo, tmp_path)
    if demo_path.stem in REFUSED:
        with pytest.raises(JobError, match=REFUSED[demo_path.stem]):
            lay_out(demo, wanted)
        return
    found = lay_out(demo, wanted)
    seen = agreement_of(laid_out(found, tmp_path), wanted, "right")
    assert seen.overlap >= 0.98
    assert seen.line_error < 0.02
    assert seen.line_error_95 < 0.05
    assert seen.shown_bright == pytest.approx(seen.wanted_bright, rel=0.02)


@pytest.mark.slow
def test_a_picture_on_both_faces_and_its_files(tmp_path):
    job = load_job(DEMOS / "running_wave.toml")
    wanted = wanted_on(job, tmp_path, "both")
    found = lay_out(job, wanted)
    assert found.contested_area < 0.05
    out = tmp_path / "out"
    out.mkdir()
    names = {path.name for path in save_layout(found, wanted, out)}
    assert {"can_pattern.png", "job.toml", "beside.jpg", "agreement.json", "layout.txt", "dividers.dxf"} <= names
    again = parse_job((out / "job.toml").read_text(), out)
    for side in ("right", "left"):
        assert agreement_of(again, wanted, side).overlap >= 0.98
    assert "Vent the can" in (out / "layout.txt").read_text()
    with pytest.raises(FileError, match="exists already"):
        save_layout(found, wanted, out)


@pytest.mark.slow
def test_an_upright_line_comes_out_straight_on_the_belly(tmp_path):
    """Checked on the raw arrays: where, row by row, the powder changes."""
    job = load_job(DEMOS / "marsh_moon.toml")
    assert job.blade.outline.belly_length > 100
    bar = drawing(tmp_path / "line.png", (4, 46), lambda on: on.rectangle((0, 0, 4 * PX, 46 * PX), fill=255))
    wanted = Wanted(picture=bar, size=(4.0, 46.0), at=(140.0, 23.0))
    raw = fields(laid_out(lay_out(job, wanted), tmp_path), px_per_mm=20)
    bright, along, mask = raw["right_powder"] == 1, raw["right_along"], raw["right_mask"]
    columns = np.broadcast_to(along, bright.shape)
    right_of_it = np.abs(along[0] - 143.0).argmin()
    rows = np.flatnonzero(mask[:, right_of_it] & (bright & mask).any(axis=1))
    assert len(rows) > 300  # some 20 mm of blade at 140 mm from the heel
    start = np.array([columns[row][bright[row]].min() for row in rows])
    end = np.array([columns[row][bright[row]].max() for row in rows])
    assert np.abs(start - 138.0).max() < 0.1
    assert np.abs(end - 142.0).max() < 0.1


@pytest.mark.slow
@pytest.mark.parametrize("face", ["right", "left"])
def test_an_f_reads_as_one_looks_at_the_face(face, tmp_path):
    job = load_job(DEMOS / "plain_start.toml")

    def letter(on):
        on.rectangle((0, 0, 3 * PX, 20 * PX), fill=255)
        on.rectangle((0, 0, 12 * PX, 3 * PX), fill=255)

    wanted = Wanted(picture=drawing(tmp_path / "f.png", (12, 20), letter), face=face, size=(12.0, 20.0), at=(80, 18))
    raw = fields(laid_out(lay_out(job, wanted), tmp_path), px_per_mm=8)
    rows, columns = np.nonzero((raw[f"{face}_powder"] == 1) & raw[f"{face}_mask"])
    top, left = rows.min(), columns.min()
    high, wide = np.ptp(rows) + 1, np.ptp(columns) + 1
    assert (high / 8, wide / 8) == pytest.approx((20, 12), abs=0.2)
    seen = np.zeros((high, wide), dtype=bool)
    seen[rows - top, columns - left] = True
    assert seen[high // 2 :, : wide // 6].all()
    assert not seen[high // 2 :, wide // 2 :].any()
    assert seen[: high // 10].all()


@pytest.mark.slow
def test_turned_and_placed(tmp_path):
    job = load_job(DEMOS / "plain_start.toml")
    bar = drawing(tmp_path / "bar.png", (20, 4), lambda on: on.rectangle((0, 0, 20 * PX, 4 * PX), fill=255))
    upright = lay_out(job, Wanted(picture=bar, size=(20.0, 4.0), at=(60, 18), turn=90))
    standing = drawing(tmp_path / "standing.png", (4, 20), lambda on: on.rectangle((0, 0, 4 * PX, 20 * PX), fill=255))
    plain = lay_out(job, Wanted(picture=standing, size=(4.0, 20.0), at=(60, 18)))
    off = np.abs(upright.picture.astype(float) - plain.picture)
    assert off.mean() < 0.1
    assert placed_size(job, Wanted(picture=bar)) == pytest.approx((180.0, 36.0))
    assert placed_size(job, Wanted(picture=bar, size=50)) == pytest.approx((50.0, 10.0))


def placed_size(job, wanted):
    return place(job, wanted).size


@pytest.mark.slow
def test_faces_that_ask_differently_are_told(tmp_path):
    job = load_job(DEMOS / "marsh_moon.toml")
    unlike = job.grind.model_copy(update={"left": job.grind.right.model_copy(update={"height": 12.0})})
    job = job.model_copy(update={"grind": unlike})
    found = lay_out(job, wanted_on(job, tmp_path, "both"))
    assert found.contested_area > 1
    orange = (found.marked == (213, 94, 0)).all(axis=2)
    assert orange.mean() * job.can.length * job.can.width == pytest.approx(found.contested_area)
    low, high, edge, spine = found.contested_on_blade
    assert 0 <= low < high <= job.blade.outline.length
    assert edge < spine
    assert any("different powders" in str(note) for note in found.notes)


def test_what_lies_off_the_blade_is_told(tmp_path):
    job = load_job(DEMOS / "plain_start.toml")
    white = tmp_path / "white.png"
    Image.new("L", (200, 200), 255).save(white)
    # half of the square hangs over the heel
    found = lay_out(job, Wanted(picture=white, size=(20.0, 20.0), at=(0.0, 18.0)))
    assert found.off_blade == pytest.approx(0.5, abs=0.03)
    assert any("cannot be had" in str(note) for note in found.notes)


def test_a_missing_picture(tmp_path):
    with pytest.raises(FileError, match="no such file"):
        lay_out(load_job(DEMOS / "plain_start.toml"), Wanted(picture=tmp_path / "none.png"))
    with pytest.raises(RequestError, match=r"wanted\.turn: .*wanted\.size|wanted\.size"):
        make_settings(Wanted, {"picture": "a.png", "size": -1, "turn": "much"}, "wanted")


BLACK_SHAPES = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="24mm" viewBox="0 0 100 24">'
    '<path d="M10 4 h40 v16 h-40 Z" fill="{}"/></svg>'
)


def test_black_shapes_without_a_ground_are_told_of_and_can_be_swapped(tmp_path):
    """The overlay shows what will be laid: 40 x 16 mm of 100 x 24 mm bright once they are swapped."""
    job, path = load_job(DEMOS / "plain_start.toml"), tmp_path / "shapes.svg"
    path.write_text(BLACK_SHAPES.format("black"))
    dark, swapped = Wanted(picture=path, size=60.0), Wanted(picture=path, size=60.0, swap=True)
    seen = [see_wanted(job, wanted) for wanted in (dark, swapped)]
    tones = [np.asarray(Image.open(io.BytesIO(each.picture)).convert("L")) for each in seen]
    assert tones[0].max() < 100
    assert (tones[1] > 200).mean() == pytest.approx(40 * 16 / (100 * 24), rel=0.01)
    assert [str(note).split(",")[0] for note in seen[0].notes] == ["Nothing in the wanted picture is bright"]
    assert seen[1].notes == ()
    laid = lay_out(job, dark)
    assert str(laid.notes[0]) == str(seen[0].notes[0])
    assert agreement_of(laid_out(laid, tmp_path / "own"), dark, "right").words().startswith("nothing bright is wanted")
    shown = agreement_of(laid_out(lay_out(job, swapped), tmp_path / "own"), swapped, "right")
    assert shown.overlap >= 0.98
    assert shown.wanted_bright == pytest.approx(40 * 16 * 0.36, rel=0.02)
    white = drawing(tmp_path / "white.png", (20, 10), lambda on: on.rectangle((0, 0, 999, 999), fill=255))
    assert str(see_wanted(job, Wanted(picture=white)).notes[0]).startswith("Everything in the wanted picture is bright")
    assert str(see_wanted(job, Wanted(picture=white, swap=True)).notes[0]).startswith("Nothing")
