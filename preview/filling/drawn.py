"""Reading dividers that were drawn elsewhere: the lines of an STL or 3MF section, of an SVG or of a DXF, safely."""

from __future__ import annotations

import io
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon

from preview.base.drawing import MM_OF, LeftOut, Unit
from preview.base.errors import FileError
from preview.base.files import read_bytes
from preview.base.shapes import FLAT, check_markup, read_shapes
from preview.base.units import Sentence, mm, say
from preview.filling.drawings import NUMBERS
from preview.filling.solid_bulk import triangles_of

SOLIDS = (".stl", ".3mf")
LARGEST_FILE = 120_000_000
LARGEST_UNPACKED = 120_000_000
MOST_FACES = 1_000_000
MOST_BODIES = 2_000
"""Limits in bytes, triangles and separate parts; dividers need far less."""

FLATTENED = 0.01
"""How far (mm) a chord may lie from the curve it stands for."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """What a file draws, in millimetres of its own frame.

    Parameters
    ----------
    lines
        Its lines; closed ones end where they start.
    walls
        The walls' area where the file holds solids, else None.
    notes
        How it was read.
    page
        The page of a drawing that states one: left, low, right, top, mm.
    """

    lines: tuple[LineString, ...]
    walls: Any | None
    notes: tuple[Sentence, ...]
    page: tuple[float, float, float, float] | None = None


def read_drawn(path: Path, *, unit: Unit = "mm", height: float | None = None) -> Drawn:
    """Read an STL, 3MF, SVG or DXF file.

    Parameters
    ----------
    path
        The file.
    unit
        Unit of an STL, and of a drawing that states none.
    height
        Where a solid is cut, mm over its foot; by default half way up.

    Raises
    ------
    FileError
        If the file is missing, broken, too large, empty, or an open mesh.
    """
    kind = path.suffix.lower()
    if kind not in (*SOLIDS, *FLAT):
        msg = f"{path}: dividers are read from {', '.join((*SOLIDS, *FLAT))}; given {kind or 'a name without ending'}"
        raise FileError(msg)
    content = read_bytes(path, LARGEST_FILE, "a drawing of the dividers")
    if not content:
        msg = f"{path}: the file is empty; a drawing of the dividers is needed"
        raise FileError(msg)
    if kind == ".3mf":
        _check_archive(path, content)
    readers = {".stl": _solids, ".3mf": _solids, ".svg": _flat, ".dxf": _flat}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused below, or harmless
            return readers[kind](path, content, unit, height)
    except FileError:
        raise
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        told = " ".join(str(error).split())[:200] or type(error).__name__
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({told})"
        raise FileError(msg) from None


def _solids(path: Path, content: bytes, unit: Unit, height: float | None) -> Drawn:
    import trimesh

    kind = path.suffix.lower()[1:]
    scene = trimesh.load_scene(io.BytesIO(content), file_type=kind)
    meshes = [mesh for mesh in _placed(scene) if isinstance(mesh, trimesh.Trimesh) and len(mesh.faces)]
    if not meshes:
        msg = f"{path}: there are no triangles in it; a solid of the dividers is needed"
        raise FileError(msg)
    mesh = trimesh.util.concatenate(meshes)
    if len(mesh.faces) > MOST_FACES:
        msg = f"{path}: {len(mesh.faces)} triangles are too many; at most {MOST_FACES} are taken"
        raise FileError(msg)
    if not np.isfinite(mesh.vertices).all():
        msg = f"{path}: some of its points are no finite numbers"
        raise FileError(msg)
    mesh.merge_vertices()
    if mesh.body_count > MOST_BODIES:
        msg = f"{path}: {mesh.body_count} separate parts are too many; at most {MOST_BODIES} are taken"
        raise FileError(msg)
    if not mesh.is_watertight:
        edges = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)
        msg = f"{path}: the mesh is open ({len(edges)} edges have one triangle only); a closed solid is needed"
        raise FileError(msg)
    stated = scene.units if kind == "3mf" else None
    mesh.apply_scale(MM_OF[unit] if stated is None else trimesh.units.unit_conversion(stated, "mm"))
    low, high = mesh.bounds[:, 2]
    cut = (low + high) / 2 if height is None else low + height
    if not low < cut < high:
        problem = "{}: the solid is {} tall; cut it over its foot and under that, not at {}"
        raise FileError(say(problem, path, mm(high - low), mm(cut - low)))
    # a hair off a round height, where facets may lie flat
    at = cut + (high - low) * 1e-7
    walls = shapely.union_all([_section(body, at) for body in mesh.split(only_watertight=False)])
    if walls.is_empty:
        raise FileError(say("{}: nothing is cut {} over the solid's foot", path, mm(cut - low)))
    return Drawn((), walls, (say("The solid is cut {} over its foot.", mm(cut - low, form=".3g")),))


def _placed(scene: Any) -> list[Any]:
    """Return a scene's meshes in their places; where all are moved alike, that is where they stand on a bed."""
    moves = [scene.graph.get(node)[0] for node in scene.graph.nodes_geometry]
    together = moves and all(np.allclose(move, moves[0]) for move in moves)
    if together and np.allclose(moves[0][:3, :3], np.eye(3)):
        return list(scene.geometry.values())
    return list(scene.dump())


def _section(body: Any, height: float) -> Any:
    """Return the area in which a closed body is cut; outlines within outlines are holes."""
    cut = body.section(plane_origin=(0, 0, height), plane_normal=(0, 0, 1))
    rings = [] if cut is None else [Polygon(line[:, :2]) for line in cut.discrete if len(line) > 3]
    whole: Any = Polygon()
    for ring in sorted((shapely.make_valid(ring) for ring in rings), key=lambda ring: -ring.area):
        inner = not whole.is_empty and whole.buffer(1e-9).contains(ring)
        whole = whole.difference(ring) if inner else whole.union(ring)
    return whole


def _check_archive(path: Path, content: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = archive.infolist()
            unpacked = sum(entry.file_size for entry in entries)
            if unpacked > LARGEST_UNPACKED or len(entries) > 1000:
                most = LARGEST_UNPACKED // 1_000_000
                msg = f"{path}: {len(entries)} files of {unpacked / 1e6:.0f} MB are packed in it; {most} MB are taken"
                raise FileError(msg)
            for entry in entries:
                with archive.open(entry) as part:
                    inside = part.read(LARGEST_UNPACKED)
                check_markup(path, inside)
                if triangles_of(inside) > MOST_FACES:
                    msg = f"{path}: over {MOST_FACES} triangles, each as often as it is used, are too many"
                    raise FileError(msg)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError):
        msg = f"{path}: not a 3MF file, which is a ZIP archive"
        raise FileError(msg) from None


def _flat(path: Path, content: bytes, unit: Unit, height: float | None) -> Drawn:  # noqa: ARG001
    drawing = read_shapes(path, content, stray=FLATTENED, unit=unit)
    # in our own drawings the walls' middles lie in a layer beside the walls, numbers may be outlines
    layers = {shape.layer for shape in drawing.shapes}
    ours = ("MIDDLES", NUMBERS) if "WALLS" in layers else (NUMBERS,)
    shapes = [shape for shape in drawing.shapes if shape.layer not in ours]
    lines = tuple(LineString(line) for shape in shapes for line in shape.lines)
    if not lines:
        msg = f"{path}: there are no lines in it; a drawing of the dividers is needed"
        raise FileError(msg)
    return Drawn(lines, None, (*drawing.notes, *_left_out(drawing.left_out)), drawing.page)


def _left_out(things: tuple[LeftOut, ...]) -> Iterator[Sentence]:
    """Yield what of a drawing is not read, a sentence for each kind, with the place of the first."""
    for kind in dict.fromkeys(each.kind for each in things):
        these = [each for each in things if each.kind == kind]
        place = mm(*(round(x, 1) + 0.0 for x in these[0].at), form="+.1f", between=", ")
        told = "{} is left out ({}, the first at {} in the drawing)."
        yield say(told, kind.capitalize(), len(these), place)
