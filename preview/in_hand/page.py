"""One page that turns the blade in the hand: data and script in one HTML file, nothing fetched from elsewhere."""

from __future__ import annotations

import base64
import html
import json
import re
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources import files
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

from preview.base.arrays import Array
from preview.base.cautions import FOOT
from preview.base.pictures import jpeg_bytes
from preview.base.progress import counted
from preview.blade.grind import SIDES, Side
from preview.blade.handle import behind_heel
from preview.in_hand.maps import BENT, FRAMES, SteelMaps, sheet_scale, steel_maps
from preview.in_hand.page_words import Version, choices, name, paragraphs, said, table_of
from preview.in_hand.solid import Body, bodies_of
from preview.job.checks import check_job
from preview.job.job import Job
from preview.look.backdrop import GROUND, uneven
from preview.look.colours import BETWEEN, DULL, SHARES, SLATE, WOOD as WOOD_COLOUR, mirrored_colours
from preview.look.etch import luminance
from preview.look.facets import OXIDE_SCRATCHES, STONES
from preview.look.handle import BARE_STEEL, GRAIN_SIZE, JOINTS, TURNED, WOOD, Board, wood_grain
from preview.look.light import BOX
from preview.look.metals import OXIDES, coloured, metal_colour
from preview.look.still import EYE, KEEN, oxide
from preview.look.studio import GLOSS, GLOSSY, REACH, SIZE, SMALL, Tables, blurred, finish_of, make_tables, room_of
from preview.look.texture import MATT, SHEER, stone
from preview.pipeline import preview

KINDS = (*FRAMES, "tang", "handle")
"""What a corner may belong to, as the page's script numbers them."""

SHEET_STEPS = (512, 512, 255, 64)
"""Steps to one, of both slopes, the etch and the edge: a step of each is less than one of a screen."""

CORNER_STEPS = (200, 200, 200), (1000, 1000, 1000)
"""Steps of a corner's place to a millimetre, and of its outward normal to one: along, across, through."""

TILE = 256
"""Pixels of the tile of scratches and grain, each way."""

PICTURE_WIDTH = 850
"""Pixels of the picture for a browser that cannot turn the blade."""

LARGEST = 2_450_000
"""Characters of a page's sheets of steel and its pictures, at most, so that all of it has less than 3 MB: one more
version, or a pattern as fine as dust, gets fewer pixels."""

WOOD_SIZE, WOOD_STEPS = (448, 256), 80
"""Pixels of the wood's picture, along the handle and across it, and steps to its usual light."""

STONE_TILE, STONE_FINE, STONE_RANGE = 256, 4.0, 0.5
"""The ground's tile: pixels each way, pixels in a millimetre, and what its bytes reach over of its usual light."""

SHADOW_RIM = 20
"""How far the shadow's picture reaches beyond the blade, mm; one pixel a millimetre."""


@dataclass(frozen=True, eq=False)
class _Data:
    """What the script reads of a version: its arrays, packed, and what else it is told."""

    told: dict[str, Any]
    arrays: dict[str, str]


def hand_page(
    versions: tuple[Version, ...],
    by: str = "",
    table: tuple[tuple[str, ...], ...] = (),
    *,
    px_per_mm: float | None = None,
) -> str:
    """Return the page that turns a blade, or each of several to choose from, HTML.

    Beside its title stands who it is ``by``; with what is said of size and finish a ``table`` of all versions, a row
    each: a name and a value for each version, or its letter. What is said of all versions stands once. Its steel has
    ``px_per_mm``, or as many as fit a small file.

    Raises
    ------
    JobError
        If a job's parts do not fit together.
    FileError
        If a pattern picture cannot be read.
    """
    for each in versions:
        check_job(each.job)
    pictures = [_picture(each.job) for each in versions]
    most = (LARGEST - sum(map(len, pictures))) // len(versions)
    found = [_fitting(each.job, px_per_mm, most) for each in counted("blades in the hand", versions)]
    arrays = dict.fromkeys(text for each in found for text in each.arrays.values())
    numbered = {text: number for number, text in enumerate(arrays)}
    data = [each.told | {"arrays": {name: numbered[text] for name, text in each.arrays.items()}} for each in found]
    here = files("preview.in_hand")
    title = versions[0].job.title or "The blade" if len(versions) == 1 else "Versions to choose from"
    parts = {
        "TITLE": html.escape(title),
        "BY": html.escape(by),
        "FOOT": html.escape(FOOT),
        "CHOICES": choices(versions) if len(versions) > 1 else "",
        "MADE": said([each.made for each in versions], versions) + table_of(table),
        "SURE": said([each.sure for each in versions], versions),
        "PICTURES": "".join(_lying(each, picture) for each, picture in zip(versions, pictures, strict=True)),
        "SCRIPT": here.joinpath("turning.js").read_text("utf-8"),
        "ARRAYS": json.dumps(list(arrays)),
        "VERSIONS": json.dumps(data),
    }
    text = here.joinpath("turning.html").read_text("utf-8")
    return re.sub("@([A-Z]+)@", lambda found: parts[found[1]], text)


def _fitting(job: Job, px_per_mm: float | None, most: int) -> _Data:
    """Return what the script reads of a job; where no scale is asked for, its sheet has ``most`` characters at most."""
    scale = px_per_mm or sheet_scale(job.blade.outline)
    found = _data(job, scale)
    while px_per_mm is None and (size := len(found.arrays["sheet"])) > most:
        # coarser pixels pack worse, so a little more than asked
        scale *= 0.95 * sqrt(most / size)
        found = _data(job, scale)
    return found


def _picture(job: Job) -> str:
    """Return both faces lying still, a JPEG in base64."""
    return base64.b64encode(jpeg_bytes(preview(job, width=PICTURE_WIDTH).picture)).decode()


def _lying(version: Version, picture: str) -> str:
    """Return a version as a browser shows it that cannot turn it."""
    told = name(version, "h2") + paragraphs((*version.made, *version.sure))
    return f'{told}<img alt="Both faces of the etched blade." src="data:image/jpeg;base64,{picture}">'


def _data(job: Job, px_per_mm: float) -> _Data:
    """Return what the script reads; see there."""
    maps = steel_maps(job, px_per_mm)
    bodies = bodies_of(job.ground, maps)
    outline, light = job.blade.outline, job.light
    places = np.concatenate([body.places for body in bodies])
    rim = np.concatenate([places.min(axis=0)[:2], places.max(axis=0)[:2]])
    shadow = _shadow(bodies, rim)
    counts = np.cumsum([0, *(len(body.places) for body in bodies)])
    triangles = np.concatenate([body.triangles + count for body, count in zip(bodies, counts, strict=False)])
    tables = make_tables(light)
    keen = blurred(room_of(light.studio), (KEEN * tables.narrow, KEEN * tables.narrow), REACH)
    arrays = {
        "sheet": _differences((maps.right, maps.up, maps.dark, maps.keen), SHEET_STEPS, np.int16),
        "edge": maps.edge.T.astype("<f2"),
        "core": np.stack([tables.core, keen], axis=-1).astype("<f2"),
        "gloss": np.moveaxis(tables.gloss, 0, -1).astype("<f2"),
        "matt": tables.matt.astype("<f2"),
        "noise": _differences(np.moveaxis(_noise(job.seed), -1, 0), (1, 1), np.uint8),
        "wood": _differences([_wood(job, side) for side in SIDES], (WOOD_STEPS, WOOD_STEPS), np.uint8),
        "stone": _stone(),
        "shadow": np.rint(255 * shadow).astype("u1"),
        "places": _differences(places.T, CORNER_STEPS[0], np.int32),
        "outwards": _differences(np.concatenate([body.outwards for body in bodies]).T, CORNER_STEPS[1], np.int16),
        "kinds": np.array([KINDS.index(name) for body in bodies for name in body.name], dtype="u1"),
        "triangles": _differences([triangles], (1,), np.int32),
    }
    told = {
        "size": [outline.length, outline.height],
        "whole": rim.tolist(),
        "sheet": maps.dark.shape,
        "sheetSteps": SHEET_STEPS,
        "cornerSteps": CORNER_STEPS,
        "shadow": shadow.shape,
        "fine": SIZE,
        "glossy": GLOSSY,
        "soft": SMALL,
        "eye": EYE,
        "ground": GROUND,
        "slate": SLATE.tolist(),
        "stone": {"side": STONE_TILE, "fine": STONE_FINE, "range": STONE_RANGE},
        "wood": {"picture": WOOD_SIZE[::-1], "size": GRAIN_SIZE, "steps": 255 / WOOD_STEPS},
        "light": light.to_studio.ravel().tolist(),
        "key": _key().tolist(),
        "held": {"pitch": light.tilt, "yaw": -light.turn},
        "rough": {"uScratch": finish_of(light).scratches, "uStones": STONES, "uTurned": TURNED} | _textures(),
        "steel": _steel(job, tables) | _sheet_told(maps),
    }
    return _Data(told, {name: _packed(each) for name, each in counted("packing the blade", tuple(arrays.items()))})


def _sheet_told(maps: SteelMaps) -> dict[str, Any]:
    """Return where a place of the steel is on its sheet, as `SteelMaps.places` has it: by its block's upper rim."""
    high, wide = maps.dark.shape
    return {
        "uTops": [block.top + block.first / maps.px_per_mm for block in maps.blocks.values()],
        "uPerMm": [maps.px_per_mm / wide, maps.px_per_mm / high],
    }


def _key() -> Array:
    """Return the direction of the studio's soft box, in the studio's frame."""
    azimuth, elevation = np.radians(BOX)
    flat = np.cos(elevation)
    return np.array([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(elevation)])


def _textures() -> dict[str, float]:
    """Return how uneven the light of bright and of etched steel is, from grain to grain and as clouds."""
    (sheer, sheer_clouds), (matt, matt_clouds) = SHEER, MATT
    return {"uGrain": sheer, "uCloud": sheer_clouds, "uOxideGrain": matt, "uOxideCloud": matt_clouds}


def _steel(job: Job, tables: Tables) -> dict[str, Any]:
    """Return what the script's shader is told of the steels."""
    etch, finish = job.etching, finish_of(job.light)
    matt, sheen = oxide(etch)
    across = finish.across >= finish.along
    nickel = max((powder.nickel for powder in job.powders), default=0.0)
    warm, cool = mirrored_colours(nickel)
    return {
        "uMetal": metal_colour(nickel).tolist(),
        "uWarm": warm.tolist(),
        "uCool": cool.tolist(),
        "uBetween": BETWEEN,
        "uOxide": coloured(OXIDES[etch.tint]).tolist(),
        "uWood": WOOD_COLOUR.tolist(),
        "uBright": float(luminance(etch.bright)),
        "uMatt": matt,
        "uSheen": sheen,
        "uReach": REACH,
        "uBent": BENT,
        "uKeen": KEEN,
        "uOxideScratch": OXIDE_SCRATCHES,
        "uDull": DULL,
        "uShares": SHARES,
        "uHandle": WOOD,
        "uTang": BARE_STEEL,
        "uJoints": _joints(job),
        "uAlong": [0.0, 1.0] if across else [1.0, 0.0],
        "uWide": [gloss * gloss for gloss in GLOSS],
        "uLengthwise": int(finish.lengthwise),
        "uSteps": tables.steps.tolist(),
        "uWeights": tables.weights.tolist(),
    }


def _joints(job: Job) -> list[float]:
    """Return where a handle's collar begins, and how wide the shadows there and at the heel are, mm."""
    behind = behind_heel(job.blade.outline, job.blade.handle)
    return [behind.collar, *JOINTS] if behind.grip.size else [0.0, 1e-6, 1e-6]


def _differences(parts: Iterable[Array], steps: Iterable[float], kind: type[np.integer[Any]]) -> Array:
    """Return parts one after the other as whole steps, each less the one before: all lowest bytes, then the next."""
    whole = np.concatenate([np.rint(part.ravel() * each) for part, each in zip(parts, steps, strict=True)])
    limits = np.iinfo(kind)
    told = np.diff(np.clip(whole, limits.min, limits.max).astype(np.int64), prepend=0).astype(kind)
    planes = told.astype(told.dtype.newbyteorder("<")).view("u1").reshape(-1, told.itemsize)
    return np.ascontiguousarray(planes.T)


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


def _wood(job: Job, side: Side) -> Array:
    """Return the light of one side of a handle's wood, row 0 at the spine."""
    return np.asarray(
        Image.fromarray(wood_grain(Board.of(job.seed, job.blade.outline, side))).resize(WOOD_SIZE, Image.Resampling.BOX)
    )


def _stone() -> Array:
    """Return the tile of the ground's light, bytes."""
    light = uneven(*stone((STONE_TILE, STONE_TILE), STONE_FINE, STONE_TILE))
    return np.asarray(np.rint(255 * np.clip((light - 1) / STONE_RANGE + 0.5, 0, 1)).astype("u1"))


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
