"""Pictures read, whatever they are: safely, upright, as 8-bit RGBA; and pictures written."""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from preview.base.arrays import Array, Bytes
from preview.base.errors import FileError
from preview.base.files import read_bytes
from preview.base.settings import MM_PER_INCH
from preview.base.units import Sentence, say

FORMATS = ("PNG", "JPEG", "TIFF", "WEBP", "GIF", "BMP")
KEPT_BY_CAMERAS = (
    ".heic", ".heif", ".avif", ".dng", ".cr2", ".cr3", ".nef", ".nrw", ".arw", ".orf", ".raf", ".rw2", ".pef", ".srw",
)  # fmt: skip
"""Endings of pictures that telephones and cameras keep for themselves; some pass for TIFF and hold a thumbnail."""

Packed = NDArray[np.uint32]
"""Pixels of red, green, blue and a byte that is not used: to look up and to write in one, as Pillow holds them too."""

LARGEST_FILE = 60_000_000
LARGEST_PICTURE = 40_000_000
"""Limits in bytes and in pixels; a pattern needs far less."""

SMALLEST_SIDE = 8
JPEG_QUALITY = 90


def read_picture(path: Path, *, about: int = LARGEST_PICTURE) -> tuple[Bytes, tuple[Sentence, ...]]:
    """Return a picture as ``(rows, columns, 4)`` RGBA bytes, and notes on what had to be done to it.

    Turned upright by its EXIF mark; of an animated picture the first frame; 16-bit grey is scaled to 8. A JPEG with
    more than ``about`` pixels is read at half, a quarter or an eighth of its size.

    Raises
    ------
    FileError
        If the file is missing, no picture, broken, too large or too small.
    """
    content = read_bytes(path, LARGEST_FILE, "a picture")
    if path.suffix.lower() in KEPT_BY_CAMERAS or content[4:8] == b"ftyp":
        msg = f"{path}: is what a camera keeps for itself (HEIC, RAW), which is not read; save or send it as JPEG"
        raise FileError(msg)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what Pillow warns of is either harmless here or refused below
            with Image.open(io.BytesIO(content), formats=FORMATS) as opened:
                if about < LARGEST_PICTURE and opened.format == "JPEG":
                    _read_smaller(opened, about)
                _check_size(path, opened.size)
                return _upright_rgba(opened)
    except UnidentifiedImageError:
        msg = f"{path}: not a picture that can be read; one of {', '.join(FORMATS)} is needed"
        raise FileError(msg) from None
    except Image.DecompressionBombError:
        msg = (
            f"{path}: the picture has far too many pixels; at most {LARGEST_PICTURE // 1_000_000} million are taken: "
            "save it at a smaller size"
        )
        raise FileError(msg) from None
    except FileError:
        raise
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        msg = f"{path}: the picture is broken or cut short ({str(error) or type(error).__name__})"
        raise FileError(msg) from None


def picture_size(path: Path) -> tuple[int, int]:
    """Return columns and rows of a picture that `read_picture` reads, upright."""
    with Image.open(path, formats=FORMATS) as opened:
        on_its_side = opened.getexif().get(ExifTags.Base.Orientation, 1) >= 5
        return opened.size[::-1] if on_its_side else opened.size


def _read_smaller(opened: Any, about: int) -> None:
    """Let a JPEG be decoded at the largest of its ready-made smaller sizes that has at most ``about`` pixels."""
    width, height = opened.size
    part = next((part for part in (1, 2, 4, 8) if width * height <= about * part**2), 8)
    if part > 1:
        opened.draft(opened.mode, (width // part, height // part))


def _check_size(path: Path, size: tuple[int, int]) -> None:
    width, height = size
    if width * height > LARGEST_PICTURE:
        msg = (
            f"{path}: the picture has {width} x {height} pixels; "
            f"at most {LARGEST_PICTURE // 1_000_000} million in all are taken: save it at a smaller size"
        )
        raise FileError(msg)
    if min(size) < SMALLEST_SIDE:
        msg = f"{path}: the picture has {width} x {height} pixels; at least {SMALLEST_SIDE} each way are needed"
        raise FileError(msg)


def _upright_rgba(opened: Image.Image) -> tuple[Bytes, tuple[Sentence, ...]]:
    notes = []
    if getattr(opened, "n_frames", 1) > 1:
        notes.append(say("The picture is animated or has several pages; the first is used."))
    ImageOps.exif_transpose(opened, in_place=True)  # in place: where nothing is to be turned, nothing is copied
    picture = opened
    if picture.mode.startswith("I;16") or picture.mode in {"I", "F"}:
        grey: NDArray[Any] = np.asarray(picture).astype(float)
        top = 65535.0 if picture.mode != "F" else max(float(grey.max()), 1e-9)
        picture = Image.fromarray(np.clip(grey * (255 / top), 0, 255).astype(np.uint8))
        notes.append(say("The picture has 16-bit grey; it is read as 8-bit."))
    if picture.mode == "CMYK":
        picture = picture.convert("RGB")
        notes.append(say("The picture has CMYK colours; they are read as RGB without a colour profile."))
    return np.asarray(picture.convert("RGBA")), tuple(notes)


def _linear() -> Array:
    value = np.arange(256) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


LINEAR = _linear()
"""Linear light of each sRGB byte (IEC 61966-2-1)."""


def linear_luminance(pixels: Bytes) -> Array:
    """Return relative luminance Y of sRGB bytes (..., 3 or 4): IEC 61966-2-1 decoding, Rec. 709 weights."""
    red, green, blue = (LINEAR[pixels[..., layer]] for layer in range(3))
    return np.asarray(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def layers(pixels: Packed) -> Bytes:
    """Return packed pixels ``(rows, columns)`` as sRGB bytes ``(rows, columns, 3)``, a view of them."""
    return pixels.view(np.uint8).reshape(*pixels.shape, 4)[..., :3]


def image_of(picture: Bytes) -> Image.Image:
    """Return grey or RGB bytes as a picture of Pillow's: without a copy where they are `layers` of packed pixels."""
    packed = picture.base
    if isinstance(packed, np.ndarray) and packed.dtype == np.uint32 and packed.shape == picture.shape[:2]:
        return Image.frombuffer("RGBX", packed.shape[::-1], packed, "raw", "RGBX", 0, 1)
    return Image.fromarray(picture)


def jpeg_bytes(picture: Bytes) -> bytes:
    """Return grey ``(rows, columns)`` or RGB ``(rows, columns, 3)`` bytes as a JPEG, for the screen."""
    stream = io.BytesIO()
    image_of(picture).save(stream, "JPEG", quality=JPEG_QUALITY)
    return stream.getvalue()


def png_bytes(picture: Bytes, px_per_mm: float) -> bytes:
    """Return grey ``(rows, columns)`` or RGB ``(rows, columns, 3)`` bytes as a PNG that prints at its true size."""
    dots_per_inch = px_per_mm * MM_PER_INCH
    stream = io.BytesIO()
    image = image_of(picture)
    image = image.convert("RGB") if image.mode == "RGBX" else image  # a PNG has no byte to spare
    image.save(stream, "PNG", compress_level=1, dpi=(dots_per_inch, dots_per_inch))
    return stream.getvalue()
