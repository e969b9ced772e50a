"""Photographed drawings made clean: made-up photographs whose drawing is known, and a page that was really scanned."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image
from pydantic import ValidationError
from scipy.ndimage import binary_dilation, binary_erosion, label
from skimage import data

from preview.base.errors import FileError, RequestError
from preview.base.paper_corners import find_corners, proportion
from preview.pattern.clean_shapes import fill_closed, take_narrow_out
from preview.pattern.clean_sketch import clean_sketch, find_sheet, lay_straight
from preview.pattern.ink import darkness
from preview.pattern.pattern import Pattern
from preview.pattern.powders import NICKEL, PLAIN, Powder
from preview.pattern.raster import read_raster
from preview.pattern.sketch import Sketch
from preview.pattern.sketch_files import save_sketch, sketch_svg
from tests.support.photo import SHEET, Scene, drawing, photograph

SCENES = [
    Scene(seed, paper=("plain", "ruled", "checked")[seed % 3], table=(0.18, 0.08, 0.35, None)[seed % 4])
    for seed in (0, 1, 2, 3)  # each paper, on every table
]


def saved(path, pixels):
    Image.fromarray(pixels).save(path, **({"quality": 92} if path.suffix == ".jpg" else {}))
    return path


@pytest.fixture
def coarse(monkeypatch):
    """Let the clean picture have half its pixels each way, where what is asked hangs on none of them."""
    monkeypatch.setattr("preview.pattern.clean_sketch.LONGER_SIDE", 1000)


def overlap(found, drawn):
    """Share of what either has dark that both have (intersection over union)."""
    dark = found.picture[..., 0] < 128
    size = dark.shape[::-1]
    true = np.asarray(Image.fromarray(drawn.astype(np.float32)).resize(size, Image.Resampling.BILINEAR)) > 0.5
    return (dark & true).sum() / (dark | true).sum()


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: f"{scene.seed}-{scene.paper}-{scene.table}")
def test_the_drawing_is_got_back_from_its_photograph(tmp_path, scene):
    """Askew by 20 degrees, light that falls to a third, noise, blur, JPEG: 98.0 to 99.5 % overlap was reached."""
    drawn = drawing(scene.seed)
    found = clean_sketch(saved(tmp_path / "p.jpg", photograph(scene, drawn)))
    assert overlap(found, drawn) >= 0.98
    assert np.abs(np.array(found.corners) - scene.corners).max() < 0.001
    if scene.table is not None:
        assert found.size[0] / found.size[1] == pytest.approx(SHEET[0] / SHEET[1], rel=0.005)
    said = " ".join(map(str, found.notes))
    assert ("lines of the paper" in said) == (scene.paper != "plain")
    assert ("No sheet stands out" in said) == (scene.table is None)


SHADOWS = [
    Scene(seed, paper=("plain", "ruled", "checked")[seed % 3], table=(0.18, None)[seed % 2], falloff=0.9, shadow=shadow,
          soft=soft)
    for seed, shadow, soft in ((40, 1 / 3, 0), (41, 1 / 3, 5), (42, 0.1, 60))
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("scene", SHADOWS, ids=lambda scene: f"{scene.seed}-{scene.shadow:.2f}-{scene.soft}")
def test_a_shadow_across_the_sheet_is_paper(tmp_path, scene):
    """Its edge hard, or over 5 to 60 mm, to a third or a tenth of the light: 98.5 to 99.2 % overlap was reached."""
    drawn = drawing(scene.seed)
    found = clean_sketch(saved(tmp_path / "p.jpg", photograph(scene, drawn)))
    assert overlap(found, drawn) >= 0.98


@pytest.mark.parametrize("soft", [0, 60])
def test_a_shadow_in_a_corner_takes_nothing_from_a_filled_area(soft):
    """Half the sheet in felt pen, a corner in shade: each place as dark as the pen makes it, to a tenth."""
    rows, columns = np.indices((707, 1000))
    pen = (np.abs(columns - 420) < 300) & (np.abs(rows - 350) < 290)
    beyond = (columns + rows - 1100) / np.sqrt(2) / (1000 / 297)
    light = 1 - 2 / 3 * np.clip(beyond / max(soft, 1e-9) + 0.5, 0, 1)
    linear = np.where(pen, 0.05, 0.85) * light
    sheet = np.uint8(np.rint(255 * (1.055 * linear ** (1 / 2.4) - 0.055)))  # IEC 61966-2-1
    dark = darkness(np.repeat(sheet[..., None], 3, axis=2))
    inner, outer = binary_erosion(pen, iterations=4), ~binary_dilation(pen, iterations=4)
    assert dark[inner].min() > 0.8
    assert np.quantile(dark[outer], 0.999) < 0.05


@pytest.mark.parametrize("tilt", [0, 10, 20, 30])
def test_corners_and_proportions(tilt):
    """Within 1 % of the photograph is asked, a thousandth reached; proportions from the perspective alone."""
    for seed in (21, 22, 23):
        scene = Scene(seed, tilt=tilt, size=(800, 600))
        light = photograph(scene, drawing(seed, finer=1)).mean(axis=2, dtype=np.float32) / 255
        found = find_corners(light**2.2)
        assert np.abs(np.array(found) - scene.corners).max() < 0.002
        assert proportion(found, *scene.size) == pytest.approx(SHEET[0] / SHEET[1], rel=0.015)


def test_no_sheet_is_seen_where_there_is_none():
    """A cat's face, a wooden floor's worth of noise: nothing is straight enough (scikit-image's pictures)."""
    assert find_corners(np.float32(data.chelsea().mean(axis=2) / 255)) is None
    assert find_corners(np.random.default_rng(0).random((300, 400), dtype=np.float32)) is None


@pytest.mark.parametrize(
    ("paper", "table"),
    [
        ("plain", None), ("ruled", 0.18), ("checked", None), pytest.param("plain", 0.18, marks=pytest.mark.slow),
        pytest.param("ruled", None, marks=pytest.mark.slow), pytest.param("checked", 0.18, marks=pytest.mark.slow),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("coarse")
def test_an_empty_sheet_is_refused(tmp_path, paper, table):
    scene = Scene(3, paper=paper, table=table, size=(800, 600))
    path = saved(tmp_path / "p.jpg", photograph(scene, np.zeros(SHEET[::-1])))
    with pytest.raises(FileError, match="no drawing is seen in it"):
        clean_sketch(path)


def test_pictures_that_are_no_sketch_are_refused(tmp_path):
    black = saved(tmp_path / "b.png", np.full((60, 80, 3), 12, dtype=np.uint8))
    with pytest.raises(FileError, match="dark all over"):
        clean_sketch(black)
    white = saved(tmp_path / "w.png", np.full((60, 80, 3), 250, dtype=np.uint8))
    with pytest.raises(FileError, match="no drawing"):
        clean_sketch(white)
    for name in ("p.HEIC", "p.dng", "p.arw"):
        (tmp_path / name).write_bytes(white.read_bytes())
        with pytest.raises(FileError, match="save or send it as JPEG"):
            clean_sketch(tmp_path / name)
    (tmp_path / "p.jpg").write_bytes(b"\0\0\0\x18ftypheic" + bytes(90))
    with pytest.raises(FileError, match="HEIC"):
        clean_sketch(tmp_path / "p.jpg")
    with pytest.raises(FileError, match="is a clean drawing already"):
        clean_sketch(tmp_path / "leaf.svg")
    with pytest.raises(FileError, match="no such file"):
        clean_sketch(tmp_path / "none.jpg")


@pytest.mark.slow
def test_forty_eight_million_pixels_are_taken_as_jpeg(tmp_path):
    picture = Image.new("L", (8000, 6000), 230)
    picture.paste(20, (2000, 1500, 6000, 4500))
    picture.save(tmp_path / "p.jpg")
    found = clean_sketch(tmp_path / "p.jpg")
    assert (found.picture[..., 0] == 0).mean() == pytest.approx(0.25, abs=0.002)
    picture.save(tmp_path / "p.png")
    with pytest.raises(
        FileError, match="8000 x 6000 pixels; at most 40 million in all are taken: save it at a smaller"
    ):
        clean_sketch(tmp_path / "p.png")


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """A drawing of shapes on plain paper, and its picture as a scanner takes it."""
    drawn = drawing(5, finer=1)
    folder = tmp_path_factory.mktemp("scan")
    return drawn, saved(folder / "p.png", photograph(Scene(5, table=None, falloff=1.0, size=(1200, 848)), drawn))


@pytest.mark.slow
@pytest.mark.usefixtures("coarse")
def test_swap_fill_size_and_powders(plain):
    drawn, path = plain
    usual = clean_sketch(path, Sketch(width=80))
    assert usual.size[0] == pytest.approx(80)
    assert usual.raster.classes == ("plain", "nickel")
    assert usual.raster.share_of(("plain",))[1:-1, 1:-1].mean() == pytest.approx((drawn > 0.5).mean(), rel=0.02)
    swapped = clean_sketch(path, Sketch(width=80, swap=True))
    assert (swapped.picture == 255 - usual.picture).all()
    filled = clean_sketch(path, Sketch(width=80, fill=True))
    assert label(filled.picture[..., 0] == 255)[1] == 1
    third = Powder(name="third", colours=("#c00000",), nickel=1)
    other = clean_sketch(path, Sketch(powders=("third", "nickel")), (PLAIN, NICKEL, third))
    assert {tuple(colour) for colour in np.unique(other.picture.reshape(-1, 3), axis=0)} == {
        (192, 0, 0),
        (255, 255, 255),
    }
    with pytest.raises(RequestError, match=r"sketch.powders: each has to be another of plain, nickel"):
        clean_sketch(path, Sketch(powders=("plain", "gold")))


@pytest.mark.slow
@pytest.mark.usefixtures("coarse")
def test_widths_are_told_at_the_size_chosen(plain):
    """The thinnest line is 1 % of the sheet's width."""
    _, path = plain
    for width in (30.0, 90.0):
        found = clean_sketch(path, Sketch(width=width, smallest=0.0), finest=0.4)
        assert found.finest["plain"] == pytest.approx(width / 100, rel=0.2)
        assert any("too narrow to be filled" in str(note) for note in found.notes) == (width == 30.0)
        assert (found.narrow.mean() > 0.005) == (width == 30.0)  # the tips of a leaf are narrow anywhere
    gone = clean_sketch(path, Sketch(width=30, smallest=0.4))
    assert any("is left out" in str(note) for note in gone.notes)
    with pytest.raises(RequestError, match="no line of the drawing is as wide as 20 mm"):
        clean_sketch(path, Sketch(width=70, smallest=20))


@pytest.mark.usefixtures("coarse")
def test_corners_and_crop_by_hand(tmp_path):
    scene, drawn = Scene(31, table=0.8, size=(1200, 900)), drawing(31, finer=1)
    path = saved(tmp_path / "p.png", photograph(scene, drawn))
    corners = tuple(map(tuple, scene.corners))
    piece = clean_sketch(path, Sketch(corners=corners, crop=(0.0, 0.0, 0.5, 0.5)))
    assert overlap(piece, drawn[: SHEET[1] // 2, : SHEET[0] // 2]) > 0.97
    for bad in (
        {"corners": (corners[1], corners[0], corners[2], corners[3])}, {"crop": (0.5, 0.0, 0.4, 1.0)}, {"width": 0},
        {"powders": ("plain",)}, {"pale": 0.3, "powders": ("a", "b", "c")},
        {"corners": ((0, 0), (5, 0), (1, 1), (0, 1))},
    ):  # fmt: skip
        with pytest.raises(ValidationError):
            Sketch(**bad)


@pytest.mark.usefixtures("coarse")
def test_the_sheet_is_found_upright_and_laid_straight_before_it_is_clean(tmp_path):
    """By the photograph's known corners; EXIF orientation 6 (JEITA CP-3451): it lies on its side."""
    scene, exif = Scene(3, size=(800, 600)), Image.Exif()
    exif[0x0112] = 6
    upright = Image.fromarray(photograph(scene, drawing(3, finer=1)))
    upright.transpose(Image.Transpose.ROTATE_90).save(tmp_path / "p.jpg", exif=exif, quality=92)
    found = find_sheet(tmp_path / "p.jpg")
    assert np.abs(np.array(found.corners) - scene.corners).max() < 0.004
    assert found.tall == 600 / 800
    with Image.open(io.BytesIO(found.picture)) as shown:
        assert shown.size == (800, 600)
        assert np.abs(np.asarray(shown.convert("L"), float) - np.asarray(upright.convert("L"), float)).mean() < 4
    sketch = Sketch(corners=tuple(map(tuple, scene.corners)))
    np.testing.assert_array_equal(
        lay_straight(tmp_path / "p.jpg", sketch), clean_sketch(tmp_path / "p.jpg", sketch).sheet
    )


@pytest.mark.usefixtures("coarse")
def test_three_tones(tmp_path):
    """A dark disc and a grey one on paper: three powders, no grey rim round the dark."""
    y, x = np.indices((600, 900))
    grey = np.full(x.shape, 240.0)
    grey[np.hypot(x - 250, y - 300) < 150] = 40
    grey[np.hypot(x - 650, y - 300) < 150] = 150
    path = saved(tmp_path / "p.png", np.uint8(np.asarray(Image.fromarray(grey.astype(np.uint8)).resize((901, 601)))))
    third = Powder(name="third", colours=("#808080",), nickel=1)
    found = clean_sketch(path, Sketch(powders=("plain", "third", "nickel")), (PLAIN, NICKEL, third))
    shares = found.raster.shares[:, 1:-1, 1:-1].mean(axis=(1, 2))
    disc = np.pi * 150**2 / 540_000
    assert shares == pytest.approx([disc, disc, 1 - 2 * disc], abs=0.002)


@pytest.mark.usefixtures("coarse")
def test_outlines_only_is_told_and_can_be_filled(tmp_path):
    y, x = np.indices((600, 900))
    far = np.hypot(x - 400, y - 300)
    ring = (np.abs(far - 200) < 5) | (np.abs(far - 80) < 5)
    path = saved(tmp_path / "p.png", np.uint8(np.where(ring, 30, 240)))
    found = clean_sketch(path)
    assert any("outlines only" in str(note) for note in found.notes)
    filled = clean_sketch(path, Sketch(fill=True))
    assert not any("outlines only" in str(note) or "pale" in str(note) for note in filled.notes)
    share = np.pi * (205**2 - 75**2) / 540_000  # the ring within the ring stays open
    assert (filled.picture[..., 0] == 0).mean() == pytest.approx(share, rel=0.01)


def test_filling_stops_at_what_is_open():
    tones = np.ones((40, 40), dtype=np.uint8)
    tones[5:30, 5], tones[5:30, 30], tones[5, 5:31] = 0, 0, 0
    assert (fill_closed(tones) == tones).all()
    tones[29, 5:31] = 0
    assert (fill_closed(tones)[6:29, 6:30] == 0).all()


def test_narrow_things_go_and_wide_ones_keep_their_size():
    tones = np.ones((200, 200), dtype=np.uint8)
    tones[20:120, 20:120] = 0
    clean = tones.copy()
    tones[150, 150], tones[160:163, 10:190] = 0, 0
    tones[60:63, 20:120] = 1
    found = take_narrow_out(tones, 8)
    assert (found == clean).mean() > 0.999


@pytest.mark.usefixtures("coarse")
def test_svg_has_the_same_areas(plain, tmp_path):
    """The SVG read as a pattern gives the picture back."""
    _, path = plain
    found = clean_sketch(path, Sketch(width=60))
    paths = save_sketch(found, tmp_path / "out.png", svg=True)
    assert [each.name for each in paths] == ["out.png", "out.svg"]
    assert paths[1].read_text() == sketch_svg(found)
    with Image.open(paths[0]) as picture:
        assert picture.width / picture.info["dpi"][0] * 25.4 == pytest.approx(60, abs=0.05)
    room = found.size
    drawn, painted = (
        read_raster(each, Pattern(picture=each.name), (PLAIN, NICKEL), room).share_of(("plain",))[1:-1, 1:-1]
        for each in paths[::-1]
    )
    assert drawn.mean() == pytest.approx(painted.mean(), rel=5e-3)
    with pytest.raises(FileError, match="exists already"):
        save_sketch(found, tmp_path / "out.png")


def test_a_real_scan_stays_readable(tmp_path):
    """scikit-image's page: a real book's page, badly lit. As many dark spots as its own local threshold finds."""
    from skimage.filters import threshold_sauvola

    page = data.page()
    found = clean_sketch(saved(tmp_path / "p.png", page), Sketch(smallest=0.0, smooth=0.0))
    assert not any("lines of the paper" in str(note) for note in found.notes)
    text = np.asarray(Image.fromarray(found.picture[..., 0]).resize(page.shape[::-1], Image.Resampling.BOX)) < 128
    local = page < threshold_sauvola(page, 25)
    assert 0.7 < text.mean() / local.mean() < 1.4
    assert (text & local).sum() / text.sum() > 0.8
    # evenly lit: the share of ink is alike on the light and on the shaded half
    assert 0.5 < text[:, :192].mean() / text[:, 192:].mean() < 2
