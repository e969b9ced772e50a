"""Reading dividers that were drawn elsewhere: the lines of an STL or 3MF section, of an SVG or of a DXF, safely."""

from __future__ import annotations

import io
import warnings
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely
from shapely import LineString, Polygon

from preview.base.errors import FileError
from preview.base.files import read_bytes
from preview.base.settings import MM_PER_INCH
from preview.base.units import Sentence, mm, say

Unit = Literal["mm", "inch"]

SOLIDS, FLAT = (".stl", ".3mf"), (".svg", ".dxf")
LARGEST_FILE = 120_000_000
LARGEST_UNPACKED = 400_000_000
MOST_FACES = 2_000_000
MOST_POINTS = 400_000
"""Limits in bytes, triangles and points; dividers need far less."""

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
    """

    lines: tuple[LineString, ...]
    walls: Any | None
    notes: tuple[Sentence, ...]


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
    if kind == ".svg":
        _check_markup(path, content)
    readers = {".stl": _solids, ".3mf": _solids, ".svg": _svg, ".dxf": _dxf}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the readers warn of is refused below, or harmless
            return readers[kind](path, content, unit, height)
    except FileError:
        raise
    except Exception as error:  # the readers raise whatever broken bytes lead them to
        msg = f"{path}: cannot be read as {kind[1:].upper()} ({type(error).__name__}: {error})"
        raise FileError(msg) from None


def _solids(path: Path, content: bytes, unit: Unit, height: float | None) -> Drawn:
    import trimesh

    kind = path.suffix.lower()[1:]
    scene = trimesh.load_scene(io.BytesIO(content), file_type=kind)
    meshes = [mesh for mesh in scene.dump() if isinstance(mesh, trimesh.Trimesh) and len(mesh.faces)]
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
    if not mesh.is_watertight:
        edges = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)
        msg = f"{path}: the mesh is open ({len(edges)} edges have one triangle only); a closed solid is needed"
        raise FileError(msg)
    stated = scene.units if kind == "3mf" else None
    named = {"millimeter": "mm", "inch": "inch", None: unit}.get(stated, stated)
    mesh.apply_scale(trimesh.units.unit_conversion(str(named), "mm") if named != "mm" else 1.0)
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
                    _check_markup(path, part.read(65536))
    except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError):
        msg = f"{path}: not a 3MF file, which is a ZIP archive"
        raise FileError(msg) from None


def _check_markup(path: Path, start: bytes) -> None:
    if b"<!ENTITY" in start:
        msg = f"{path}: its XML defines entities of its own, which are not taken; save it without them"
        raise FileError(msg)


def _svg(path: Path, content: bytes, unit: Unit, height: float | None) -> Drawn:  # noqa: ARG001
    import svgelements as svg

    lines = []
    # with as many pixels to the inch as an inch has millimetres, a pixel is one; SVG states its unit
    for element in svg.SVG.parse(io.BytesIO(content), ppi=MM_PER_INCH).elements():
        if isinstance(element, svg.Shape) and element.values.get("display") != "none":
            outline = abs(svg.Path(element))  # with its transforms worked in
            lines += [_svg_line(piece) for piece in outline.as_subpaths()]
    return _flat(path, lines, ())


def _svg_line(piece: Any) -> list[tuple[float, float]]:
    import svgelements as svg

    points: list[tuple[float, float]] = []
    for segment in piece:
        if segment.end is None:
            continue
        steps = 1
        if not isinstance(segment, (svg.Move, svg.Line, svg.Close)):
            # a chord of a circle of radius r strays by length**2 / (8 r); some 2 mm is the smallest radius of note
            steps = max(4, min(400, round(segment.length(error=1e-3) / (8 * 2 * FLATTENED) ** 0.5)))
        points += [(p.x, -p.y) for p in (segment.point(k / steps) for k in range(1, steps + 1))]
    return points


def _dxf(path: Path, content: bytes, unit: Unit, height: float | None) -> Drawn:  # noqa: ARG001
    import ezdxf
    from ezdxf import path as paths

    del content  # ezdxf finds out the encoding from the file itself
    document = ezdxf.readfile(path)
    stated = {1: MM_PER_INCH, 2: 12 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}.get(document.header.get("$INSUNITS", 0))
    factor = stated or (MM_PER_INCH if unit == "inch" else 1.0)
    lines = []
    for entity in document.modelspace():
        if entity.dxftype() in {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            for drawn in paths.make_path(entity).sub_paths():
                points = [(p.x * factor, p.y * factor) for p in drawn.flattening(FLATTENED / factor)]
                lines.append([*points, points[0]] if drawn.is_closed and points else points)
    return _flat(path, lines, () if stated else (say("The drawing states no unit; it is read in {}.", unit),))


def _flat(path: Path, lines: list[list[tuple[float, float]]], notes: tuple[Sentence, ...]) -> Drawn:
    if sum(map(len, lines)) > MOST_POINTS:
        msg = f"{path}: over {MOST_POINTS} points are too many; simplify the drawing"
        raise FileError(msg)
    found = [LineString(points) for points in lines if len(points) > 1]
    found = [line for line in found if line.length > 0 and np.isfinite(line.bounds).all()]
    if not found:
        msg = f"{path}: there are no lines in it; a drawing of the dividers is needed"
        raise FileError(msg)
    return Drawn(tuple(found), None, notes)
