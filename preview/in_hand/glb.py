"""The blade as a GLB file (glTF 2.0): its ground solid in metres, its steel in metal-rough maps.

Layout, accessors and materials by the Khronos glTF 2.0 specification (ISO/IEC 12113); the brushed finish by its
extension KHR_materials_anisotropy, the oxide's weak gloss by KHR_materials_specular.
"""

from __future__ import annotations

import io
import json
import struct
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.base.arrays import Array, Bytes
from preview.in_hand.maps import FRAMES, SteelMaps, sheet_scale, steel_maps
from preview.in_hand.solid import Body, bodies_of
from preview.job.checks import check_job
from preview.job.job import Job
from preview.look.colours import DULL, WOOD as WOOD_COLOUR
from preview.look.etch import luminance
from preview.look.handle import BARE_STEEL, WOOD
from preview.look.light import srgb
from preview.look.metals import OXIDES, WEIGHTS, coloured, metal_colour
from preview.look.still import oxide
from preview.look.studio import GLOSS, Finish, finish_of

FLOAT, WHOLE = 5126, 5125
CORNERS, NUMBERS = 34962, 34963
LINEAR, SHRINKING, HELD = 9729, 9987, 33071
"""Numbers that the specification gives kinds of values, buffers and texture filters."""

DIELECTRIC = 0.04
"""What a surface that is no metal mirrors straight on, by the specification."""

TANG_ROUGH, HANDLE_ROUGH = 0.5, 0.7


@dataclass
class _Chunk:
    """The binary chunk in the making, with the views and accessors that lead into it."""

    content: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def view(self, content: bytes, **more: int) -> int:
        self.content += b"\0" * (-len(self.content) % 4)
        self.views.append({"buffer": 0, "byteOffset": len(self.content), "byteLength": len(content), **more})
        self.content += content
        return len(self.views) - 1

    def accessor(self, values: NDArray[Any], kind: str, *, target: int = CORNERS, bounds: bool = False) -> int:
        whole = target == NUMBERS
        plain = np.ascontiguousarray(values, dtype="<u4" if whole else "<f4")
        made: dict[str, Any] = {
            "bufferView": self.view(plain.tobytes(), target=target),
            "componentType": WHOLE if whole else FLOAT,
            "count": len(plain),
            "type": kind,
        }
        if bounds:
            made |= {"min": plain.min(axis=0).tolist(), "max": plain.max(axis=0).tolist()}
        self.accessors.append(made)
        return len(self.accessors) - 1


def blade_glb(job: Job, *, px_per_mm: float | None = None) -> bytes:
    """Return a job's blade as GLB; its steel has ``px_per_mm``, or as many as the turning page has.

    Raises
    ------
    JobError
        If the job's parts do not fit together.
    FileError
        If the pattern picture cannot be read.
    """
    check_job(job)
    maps = steel_maps(job, px_per_mm or sheet_scale(job.blade.outline))
    chunk = _Chunk()
    bodies = bodies_of(job.ground, maps)
    materials = {"steel": _steel(job), "tang": _plain(job, "tang"), "handle": _plain(job, "handle")}
    used = [name if (name := str(body.name[0])) in materials else "steel" for body in bodies]
    primitives = [_primitive(chunk, body, number) for number, body in enumerate(bodies)]
    images = _pictures(job, maps)
    views = [chunk.view(_png(image)) for image in images.values()]
    tree = {
        "asset": {"version": "2.0", "generator": "etch-preview", "extras": {"title": job.title}},
        "extensionsUsed": ["KHR_materials_anisotropy", "KHR_materials_specular"],
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "name": "blade"}],
        "meshes": [{"name": "blade", "primitives": primitives}],
        "materials": [materials[name] for name in used],
        "samplers": [{"magFilter": LINEAR, "minFilter": SHRINKING, "wrapS": HELD, "wrapT": HELD}],
        "textures": [{"sampler": 0, "source": number} for number in range(len(images))],
        "images": [
            {"bufferView": view, "mimeType": "image/png", "name": name}
            for view, name in zip(views, images, strict=True)
        ],
        "accessors": chunk.accessors,
        "bufferViews": chunk.views,
        "buffers": [{"byteLength": len(chunk.content) + -len(chunk.content) % 4}],
    }
    return _file(json.dumps(tree, separators=(",", ":")).encode(), bytes(chunk.content))


def _file(tree: bytes, content: bytes) -> bytes:
    tree += b" " * (-len(tree) % 4)
    content += b"\0" * (-len(content) % 4)
    head = struct.pack("<4sII", b"glTF", 2, 12 + 8 + len(tree) + 8 + len(content))
    return head + struct.pack("<I4s", len(tree), b"JSON") + tree + struct.pack("<I4s", len(content), b"BIN\0") + content


def _primitive(chunk: _Chunk, body: Body, material: int) -> dict[str, Any]:
    attributes = {
        "POSITION": chunk.accessor(body.places / 1000, "VEC3", bounds=True),
        "NORMAL": chunk.accessor(body.outwards, "VEC3"),
    }
    if str(body.name[0]) in FRAMES:
        attributes["TANGENT"] = chunk.accessor(_tangents(body), "VEC4")
        attributes["TEXCOORD_0"] = chunk.accessor(body.sheet, "VEC2")
    numbers = chunk.accessor(body.triangles.ravel(), "SCALAR", target=NUMBERS)
    return {"attributes": attributes, "indices": numbers, "material": material}


def _tangents(body: Body) -> Array:
    """Return which way the sheet's columns go at each corner, and whether its rows go to their left (1) or right."""
    told = {}
    for name, (columns, rows, outwards) in FRAMES.items():
        told[name] = (*columns, float(np.sign(np.cross(outwards, columns) @ np.array(rows))))
    return np.array([told[str(name)] for name in body.name])


def _pictures(job: Job, maps: SteelMaps) -> dict[str, Bytes]:
    """Return the sheet's colour (sRGB), roughness and metal, normals, and brushed finish, as the standard has them."""
    etch, finish = job.etching, finish_of(job.light)
    gone = np.clip(maps.dark * (1 - maps.keen), 0, 1)[..., None]
    bright = float(luminance(etch.bright)) * metal_colour(max((each.nickel for each in job.powders), default=0.0))
    dark = oxide(etch)[0] * coloured(OXIDES[etch.tint])
    part = gone * DULL / (1 - gone + gone * DULL)
    tone = bright @ WEIGHTS * (1 - gone) + dark @ WEIGHTS * gone
    colour = tone * (coloured(bright) * (1 - part) + coloured(dark) * part)
    smooth = _roughness(finish)[0]
    ones = np.ones_like(gone)
    rough = smooth + (np.sqrt(np.sqrt(2) * GLOSS[0]) - smooth) * gone
    keen = maps.keen > 0.5
    right, up = (np.where(keen, edge, face) for edge, face in zip(maps.edge, (maps.right, maps.up), strict=True))
    normal = np.stack([-right, -up, np.ones_like(up)], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    along = (0.5, 1.0) if finish.across >= finish.along else (1.0, 0.5)
    direction = [ones * along[0], ones * along[1], 1 - gone]
    return {
        "colour": _bytes(srgb(colour)),
        "roughness and metal": _bytes(np.concatenate([ones, rough, 1 - gone], axis=-1)),
        "normals": _bytes((normal + 1) / 2),
        "brushed": _bytes(np.concatenate(direction, axis=-1)),
    }


def _roughness(finish: Finish) -> tuple[float, float]:
    """Return roughness along the scratches, and how much rougher it is across, as glTF counts both.

    Beckmann's alpha is the root of 2 times the slopes' standard deviation, roughness the root of alpha; the extension
    has alpha across as ``alpha + (1 - alpha) strength ** 2``.
    """
    low, high = sorted(float(np.sqrt(2)) * each for each in (finish.along, finish.across))
    return float(np.sqrt(low)), float(np.sqrt((high - low) / (1 - low)))


def _steel(job: Job) -> dict[str, Any]:
    brushed = {"anisotropyStrength": _roughness(finish_of(job.light))[1], "anisotropyTexture": {"index": 3}}
    return {
        "name": "etched steel",
        "pbrMetallicRoughness": {"baseColorTexture": {"index": 0}, "metallicRoughnessTexture": {"index": 1}},
        "normalTexture": {"index": 2},
        "extensions": {
            "KHR_materials_anisotropy": brushed,
            "KHR_materials_specular": {"specularFactor": min(1.0, oxide(job.etching)[1] / DIELECTRIC)},
        },
    }


def _plain(job: Job, name: str) -> dict[str, Any]:
    metal = name == "tang"
    steel = metal_colour(max((each.nickel for each in job.powders), default=0.0))
    colour = sum(BARE_STEEL) * steel if metal else sum(WOOD) * WOOD_COLOUR
    rough = {"metallicFactor": float(metal), "roughnessFactor": TANG_ROUGH if metal else HANDLE_ROUGH}
    return {"name": name, "pbrMetallicRoughness": {"baseColorFactor": [*np.clip(colour, 0, 1).tolist(), 1.0], **rough}}


def _bytes(values: Array) -> Bytes:
    return np.rint(255 * np.clip(values, 0, 1)).astype(np.uint8)


def _png(picture: Bytes) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(picture).save(stream, "PNG", optimize=True)
    return stream.getvalue()
