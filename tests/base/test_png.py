"""PNG files of our own: read back by Pillow, and their parts by the published standard."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from preview.base.png import AT_ONCE, png_bytes


@pytest.mark.parametrize("shape", [(1, 1), (5, 1, 3), (AT_ONCE, 7), (AT_ONCE + 1, 9, 3), (3 * AT_ONCE + 2, 40, 3)])
def test_pillow_reads_the_same_pixels(shape):
    picture = np.random.default_rng(3).integers(0, 256, shape, dtype=np.uint8)
    read = Image.open(io.BytesIO(png_bytes(picture, 12.0)))
    assert (np.asarray(read) == picture).all()
    assert read.mode == ("RGB" if picture.ndim == 3 else "L")
    assert read.info["dpi"] == pytest.approx((304.8, 304.8), abs=0.01)


def test_layers_of_packed_pixels_need_no_copy():
    packed = np.random.default_rng(4).integers(0, 256, (70, 30, 4), dtype=np.uint8)
    assert (np.asarray(Image.open(io.BytesIO(png_bytes(packed[..., :3], 5.0)))) == packed[..., :3]).all()


def test_parts_stand_as_the_standard_says():
    """W3C, Portable Network Graphics, third edition: 5.2 signature, 5.3 chunks, 11.2.1 IHDR, 11.3.4.3 pHYs, 9.2 Sub."""
    content = png_bytes(np.arange(24, dtype=np.uint8).reshape(2, 4, 3), 20.0)
    assert content[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    place, found = 8, {}
    while place < len(content):
        (size,) = struct.unpack_from(">I", content, place)
        kind, body = content[place + 4 : place + 8], content[place + 8 : place + 8 + size]
        assert struct.unpack_from(">I", content, place + 8 + size) == (zlib.crc32(kind + body),)
        found[kind] = body
        place += 12 + size
    assert list(found) == [b"IHDR", b"pHYs", b"IDAT", b"IEND"]
    assert struct.unpack(">IIBBBBB", found[b"IHDR"]) == (4, 2, 8, 2, 0, 0, 0)
    assert struct.unpack(">IIB", found[b"pHYs"]) == (20_000, 20_000, 1)
    # each byte less that of the pixel to the left
    assert zlib.decompress(found[b"IDAT"]) == bytes([1, 0, 1, 2, *[3] * 9, 1, 12, 13, 14, *[3] * 9])


def test_no_larger_than_pillow_makes_it():
    """On what our pictures are, soft shades under grain; the filters that Pillow picks among gain nothing there."""
    grain = np.random.default_rng(5).normal(0, 2, (300, 400, 3))
    shade = 100 + 60 * np.sin(np.linspace(0, 5, 400))[None, :, None]
    picture = np.clip(shade + grain, 0, 255).astype(np.uint8)
    Image.fromarray(picture).save(theirs := io.BytesIO(), "PNG", compress_level=1)
    assert len(png_bytes(picture, 10.0)) < 1.1 * theirs.tell()
