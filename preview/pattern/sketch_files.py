"""A clean drawing's files: its picture, and its outlines as SVG at true size."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from preview.base.files import check_writable, write_all
from preview.base.pictures import png_bytes
from preview.pattern.clean_sketch import CleanSketch

EVENED = 1.0
"""Pixels over which an outline's steps from pixel to pixel are evened out."""

SIMPLER = 0.25
"""How far (pixels) an outline may stray for having fewer points."""


def sketch_svg(found: CleanSketch) -> str:
    """Return a clean drawing's outlines as SVG, one user unit a millimetre: a path for each powder, in its colour."""
    from scipy.ndimage import gaussian_filter
    from skimage.measure import approximate_polygon, find_contours

    width, height = found.size
    *drawn, paper = range(len(found.raster.classes))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="0 0 {width:.4f} {height:.4f}">',
        f'<rect id="{found.raster.classes[paper]}" width="{width:.4f}" height="{height:.4f}" '
        f'fill="{_colour(found, paper)}"/>',
    ]
    for number in drawn:
        share = found.raster.shares[number, 1:-1, 1:-1]
        if not share.any():
            continue
        # beyond the picture lies nothing, so that outlines close along its rim
        soft = np.pad(gaussian_filter(share, EVENED, mode="nearest"), 1)
        rings = [approximate_polygon(ring, SIMPLER) for ring in find_contours(np.asarray(soft, dtype=float), 0.5)]
        pieces = []
        for ring in rings:
            places = [f"{(x - 0.5) / found.px_per_mm:.4f} {(y - 0.5) / found.px_per_mm:.4f}" for y, x in ring[:-1]]
            pieces.append(f"M {' L '.join(places)} Z")
        name = found.raster.classes[number]
        lines.append(f'<path id="{name}" fill="{_colour(found, number)}" fill-rule="evenodd" d="{" ".join(pieces)}"/>')
    return "\n".join([*lines, "</svg>", ""])


def _colour(found: CleanSketch, number: int) -> str:
    red, green, blue = found.colours[number]
    return f"#{red:02x}{green:02x}{blue:02x}"


def save_sketch(found: CleanSketch, path: str | Path, *, svg: bool = False, force: bool = False) -> tuple[Path, ...]:
    """Write a clean drawing as a PNG that prints at its true size, with ``svg`` its outlines beside it.

    Raises
    ------
    FileError
        If a file exists and ``force`` is not given, or cannot be written.
    """
    path = Path(path)
    check_writable([path], force=force)  # a folder, such as ``.``, has no name to give the outlines
    files = {path: png_bytes(found.picture, found.px_per_mm)}
    if svg:
        files[path.with_suffix(".svg")] = sketch_svg(found).encode()
    write_all(files, force=force)
    return tuple(files)
