"""Pictures that are hostile, broken or merely odd."""

from __future__ import annotations

import struct
import zlib
from contextlib import suppress
from random import Random

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import FileError
from preview.base.pictures import read_picture
from tests.hostile.mutating import content


def png_of(width: int, height: int) -> bytes:
    """A PNG whose header promises ``width`` x ``height`` pixels, and whose body is tiny."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


def write(path, content: bytes):
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "not a picture"),
        (b"hello, I am a text", "not a picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a picture"),
        (png_of(20_000, 20_000), "at most 40 million|far too many"),
        (png_of(60_000, 60_000), "far too many"),
        (png_of(300, 300), "broken or cut short"),
    ],
    ids=["empty", "text", "svg", "20000 x 20000", "bomb", "truncated"],
)
def test_refused_with_one_line(tmp_path, content, words):
    path = write(tmp_path / "p.png", content)
    with pytest.raises(FileError, match=words) as caught:
        read_picture(path)
    assert "\n" not in str(caught.value)
    assert str(path) in str(caught.value)


def test_cut_off_jpeg(tmp_path):
    path = tmp_path / "p.jpg"
    Image.fromarray(np.random.default_rng(0).integers(0, 255, (200, 200, 3), dtype=np.uint8)).save(path)
    path.write_bytes(path.read_bytes()[:3000])
    with pytest.raises(FileError, match="broken or cut short"):
        read_picture(path)


def test_one_pixel_and_missing(tmp_path):
    Image.new("RGB", (1, 1)).save(tmp_path / "one.png")
    with pytest.raises(FileError, match="1 x 1 pixels; at least 8"):
        read_picture(tmp_path / "one.png")
    with pytest.raises(FileError, match="no such file"):
        read_picture(tmp_path / "none.png")
    with pytest.raises(FileError, match=r"cannot|broken|cut short"):
        read_picture(tmp_path)


def halves() -> np.ndarray:
    pixels = np.zeros((20, 40, 3), dtype=np.uint8)
    pixels[:, 20:] = 255
    return pixels


@pytest.mark.parametrize("mode", ["CMYK", "P", "L", "1", "LA", "RGBA", "I;16", "F"])
@pytest.mark.parametrize("suffix", ["tiff", "png", "webp", "gif"])
def test_modes_read_alike(tmp_path, mode, suffix):
    path = tmp_path / f"p.{suffix}"
    picture = Image.fromarray(halves())
    if mode == "I;16":
        picture = Image.fromarray(np.asarray(picture.convert("L")).astype(np.uint16) * 257)
    else:
        picture = picture.convert(mode)
    try:
        picture.save(path, **({"lossless": True} if suffix == "webp" else {}))
    except (OSError, ValueError):
        pytest.skip(f"{suffix} does not hold {mode}")
    pixels, notes = read_picture(path)
    assert pixels.shape == (20, 40, 4)
    assert (pixels[:, :20, :3] < 40).all()
    assert (pixels[:, 20:, :3] > 200).all()
    assert (pixels[..., 3] == 255).all()
    assert mode != "CMYK" or suffix != "tiff" or "CMYK" in str(notes[0])


@pytest.mark.parametrize("suffix", ["tiff", "png", "webp", "gif", "bmp", "jpg"])
def test_broken_bytes_are_read_or_refused_in_one_line(tmp_path, suffix):
    whole, dice, path = tmp_path / f"whole.{suffix}", Random(1), tmp_path / f"p.{suffix}"
    Image.fromarray(halves()).save(whole)
    for _ in range(150):
        path.write_bytes(content(whole.read_bytes(), dice))
        with suppress(FileError):
            read_picture(path)


def test_animated_uses_the_first_frame(tmp_path):
    frames = [Image.new("RGB", (30, 20), colour) for colour in ("white", "black")]
    frames[0].save(tmp_path / "p.gif", save_all=True, append_images=frames[1:])
    pixels, notes = read_picture(tmp_path / "p.gif")
    assert pixels[..., 0].min() > 200
    assert "first is used" in str(notes[0])


def test_turned_upright_by_its_exif_mark(tmp_path):
    """Orientation 6 of the Exif standard (CIPA DC-008): the stored picture has to be turned a quarter clockwise."""
    picture = Image.new("RGB", (40, 20), "black")
    picture.paste("white", (0, 0, 20, 20))
    exif = Image.Exif()
    exif[0x0112] = 6
    picture.save(tmp_path / "p.jpg", exif=exif, quality=95)
    pixels, _ = read_picture(tmp_path / "p.jpg")
    assert pixels.shape[:2] == (40, 20)
    assert pixels[:15, :, 0].min() > 200
    assert pixels[25:, :, 0].max() < 60
