"""One page that turns the blade in the hand: data and script in one HTML file, nothing fetched from elsewhere."""

from __future__ import annotations

import base64
import html
import json
import re
import zlib
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

from preview.base.arrays import Array
from preview.base.cautions import FOOT
from preview.base.pictures import jpeg_bytes
from preview.base.progress import counted
from preview.in_hand.maps import FRAMES, SteelMaps, sheet_scale, steel_maps
from preview.in_hand.solid import Body, bodies_of
from preview.job.job import Job, check_job
from preview.look.backdrop import BARE_STEEL, GROUND, HANDLE
from preview.look.colours import DULL, SHARES, SLATE, WOOD
from preview.look.etch import luminance
from preview.look.facets import OXIDE_SCRATCHES, STONES
from preview.look.metals import OXIDES, coloured, metal_colour
from preview.look.photograph import CLOUDY, GRAIN
from preview.look.still import EYE, KEEN, oxide
from preview.look.studio import GLOSS, REACH, SIZE, SMALL, blurred, finish_of, make_tables, room_of
from preview.pipeline import preview

KINDS = (*FRAMES, "tang", "handle")
"""What a corner may belong to, as the page's script numbers them."""

SHEET_STEPS = (1024, 1024, 255, 64)
"""Steps to one, of both slopes, the etch and the edge: a step of each is less than one of a screen."""

TILE = 256
"""Pixels of the tile of scratches and grain, each way."""

PICTURE_WIDTH = 1300
"""Pixels of the picture for a browser that cannot turn the blade."""

LARGEST = 3_000_000
"""Bytes of a page, at most: a pattern as fine as dust gets fewer pixels."""

SHADOW_RIM = 20
"""How far the shadow's picture reaches beyond the blade, mm; one pixel a millimetre."""


def turning_page(job: Job, *, px_per_mm: float | None = None) -> str:
    """Return the page that turns a job's blade, HTML; its steel has ``px_per_mm`` or as many as fit a small file.

    Raises
    ------
    JobError
        If the job's parts do not fit together.
    FileError
        If the pattern picture cannot be read.
    """
    check_job(job)
    scale = px_per_mm or sheet_scale(job.blade.outline)
    text = _page(job, scale)
    if px_per_mm is None and len(text) > LARGEST:
        text = _page(job, scale * LARGEST / len(text))  # what is smaller falls with the pixels, so more than asked
    return text


def _page(job: Job, px_per_mm: float) -> str:
    maps = steel_maps(job, px_per_mm)
    data = _data(job, maps, bodies_of(job.ground, maps))
    picture = jpeg_bytes(preview(job, width=PICTURE_WIDTH).picture)
    here = files("preview.in_hand")
    parts = {
        "TITLE": html.escape(job.title or "The blade"),
        "FOOT": html.escape(FOOT),
        "PICTURE": "data:image/jpeg;base64," + base64.b64encode(picture).decode(),
        "SCRIPT": here.joinpath("turning.js").read_text("utf-8"),
        "DATA": json.dumps(data),
    }
    text = here.joinpath("turning.html").read_text("utf-8")
    return re.sub("@([A-Z]+)@", lambda found: parts[found[1]], text)


def _data(job: Job, maps: SteelMaps, bodies: tuple[Body, ...]) -> dict[str, Any]:
    """Return what the script reads; see there."""
    outline, light = job.blade.outline, job.light
    places = np.concatenate([body.places for body in bodies])
    rim = np.concatenate([places.min(axis=0)[:2], places.max(axis=0)[:2]])
    shadow = _shadow(bodies, rim)
    counts = np.cumsum([0, *(len(body.places) for body in bodies)])
    triangles = np.concatenate([body.triangles + count for body, count in zip(bodies, counts, strict=False)])
    tables = make_tables(light)
    keen = blurred(room_of(light.studio), (KEEN * tables.narrow, KEEN * tables.narrow), REACH)
    arrays = {
        "sheet": _sheet_bytes(maps),
        "edge": maps.edge.T.astype("<f2"),
        "core": np.stack([tables.core, keen], axis=-1).astype("<f2"),
        "gloss": np.moveaxis(tables.gloss, 0, -1).astype("<f2"),
        "matt": tables.matt.astype("<f2"),
        "noise": _noise(job.seed),
        "shadow": np.rint(255 * shadow).astype("u1"),
        "places": places.astype("<f4"),
        "outwards": np.concatenate([body.outwards for body in bodies]).astype("<f4"),
        "onSheet": np.concatenate([body.sheet for body in bodies]).astype("<f4"),
        "kinds": np.array([KINDS.index(name) for body in bodies for name in body.name], dtype="u1"),
        "triangles": triangles.astype("<u4"),
    }
    return {
        "size": [outline.length, outline.height],
        "whole": rim.tolist(),
        "sheet": maps.dark.shape,
        "sheetSteps": SHEET_STEPS,
        "shadow": shadow.shape,
        "fine": SIZE,
        "soft": SMALL,
        "eye": EYE,
        "ground": GROUND,
        "slate": SLATE.tolist(),
        "light": light.to_studio.ravel().tolist(),
        "held": {"pitch": light.tilt, "yaw": -light.turn},
        "rough": {"uScratch": finish_of(light).scratches, "uStones": STONES, "uGrain": GRAIN, "uCloud": CLOUDY},
        "steel": _steel(job) | {"uSteps": tables.steps.tolist(), "uWeights": tables.weights.tolist()},
        "arrays": {name: _packed(array) for name, array in counted("packing the blade", tuple(arrays.items()))},
    }


def _steel(job: Job) -> dict[str, Any]:
    """Return what the script's shader is told of the steels."""
    etch, finish = job.etching, finish_of(job.light)
    matt, sheen = oxide(etch)
    across = finish.across >= finish.along
    return {
        "uMetal": metal_colour(max((powder.nickel for powder in job.powders), default=0.0)).tolist(),
        "uOxide": coloured(OXIDES[etch.tint]).tolist(),
        "uWood": WOOD.tolist(),
        "uBright": float(luminance(etch.bright)),
        "uMatt": matt,
        "uSheen": sheen,
        "uReach": REACH,
        "uKeen": KEEN,
        "uOxideScratch": OXIDE_SCRATCHES,
        "uDull": DULL,
        "uShares": SHARES,
        "uHandle": HANDLE[0],
        "uTang": BARE_STEEL[0],
        "uAlong": [0.0, 1.0] if across else [1.0, 0.0],
        "uWide": [gloss * gloss for gloss in GLOSS],
        "uLengthwise": int(finish.lengthwise),
    }


def _sheet_bytes(maps: SteelMaps) -> Array:
    """Return the four maps as bytes, each value less the one before: all low bytes, then all high ones."""
    told = []
    for values, steps in zip((maps.right, maps.up, maps.dark, maps.keen), SHEET_STEPS, strict=True):
        whole = np.rint(np.clip(values * steps, -32767, 32767)).astype(np.int32).ravel()
        told.append(np.diff(whole, prepend=0).astype(np.int16))
    both = np.concatenate(told).astype("<i2").view("u1").reshape(-1, 2)
    return np.ascontiguousarray(both.T)


def _noise(seed: int) -> Array:
    """Return a tile that goes on at its rims: scratches along its rows, and grain; bytes ``(rows, columns, 2)``."""
    rng = np.random.default_rng([seed, 6])

    def lines(length: float, width: float, share: float) -> Array:
        noise = gaussian_filter(rng.standard_normal((TILE, TILE)), (width, length * 2), mode="wrap")
        return np.asarray(share * noise / noise.std())

    scratches = lines(14, 0.5, 0.6) + lines(4, 0.4, 0.55) + lines(40, 1.2, 0.4)
    grain = gaussian_filter(rng.standard_normal((TILE, TILE)), 0.7, mode="wrap")
    tile = np.stack([scratches, grain], axis=-1)
    tile /= tile.std(axis=(0, 1))
    return np.asarray(np.rint(np.clip(127.5 + 40 * tile, 0, 255)).astype("u1"))


def _shadow(bodies: tuple[Body, ...], rim: Array) -> Array:
    """Return how much a blade lying flat keeps the light off what is behind it, 0 to 1, rows upwards."""
    wide, high = (int(np.ceil(rim[2 + k] - rim[k])) + 2 * SHADOW_RIM for k in (0, 1))
    cover = Image.new("L", (wide, high))
    draw = ImageDraw.Draw(cover)
    for body in bodies:
        corners = (body.places[:, :2] - rim[:2] + SHADOW_RIM)[body.triangles]
        for triangle in corners[_seen(corners)]:
            draw.polygon([tuple(point) for point in triangle], fill=255)
    lit = np.asarray(cover, dtype=float) / 255
    return np.asarray(0.55 * gaussian_filter(lit, 4.5) + 0.45 * gaussian_filter(lit, 9))


def _seen(corners: Array) -> Array:
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] > 0)


def _packed(array: NDArray[Any]) -> str:
    return base64.b64encode(zlib.compress(np.ascontiguousarray(array).tobytes(), 6)).decode()
