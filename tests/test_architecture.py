"""The structure is tested: a room imports rooms below it only, nothing goes round in circles, only the page knows
Streamlit.
"""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import preview

ROOT = Path(preview.__file__).parent
ROOMS = (
    "cli",
    "page",
    "sheets",
    "trials",
    "filling",
    "forge",
    "pipeline",
    "job",
    "look",
    "face",
    "blade",
    "pattern",
    "forging",
    "base",
)
"""From the top down; ``cli`` and ``pipeline`` are rooms of one module."""

STILL_CLIMBING = {
    ("face", "job"),
    ("look", "job"),
    ("look", "pipeline"),
    ("filling", "sheets"),
}
"""Imports that the move to rooms has brought to light, and that go as the rooms are put in order."""

MODULES = [path for path in sorted(ROOT.rglob("*.py")) if not path.name.startswith("__")]
every_module = pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))


def room(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Return the modules that a file imports, and with ``from`` the names, as dotted paths."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def ours(path: Path) -> set[Path]:
    """Return the files of the package that a file imports."""
    files = set()
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "preview":
            below = ROOT.joinpath(*parts[1:])
            places = (
                below.with_suffix(".py"),
                below / "__init__.py",
                below.parent.with_suffix(".py"),
                below.parent / "__init__.py",
            )
            files |= {next(place for place in places if place.is_file())}
    return files


@every_module
def test_rooms_import_rooms_below_them(path):
    below = ROOMS[ROOMS.index(room(path)) + 1 :]
    for other in ours(path) - {ROOT / "__init__.py"}:
        fits = room(other) == room(path) or room(other) in below or room(path) == "cli"
        assert fits or (room(path), room(other)) in STILL_CLIMBING, f"{path} may not import {other}"


@pytest.mark.parametrize("name", ROOMS)
def test_no_circle_inside_a_room(name):
    inside = [path for path in ROOT.rglob("*.py") if room(path) == name]
    assert inside, "a room of the list that is not there"
    graph = {path: {other for other in ours(path) if room(other) == name} - {path} for path in inside}
    TopologicalSorter(graph).prepare()  # raises where there is a circle


def test_every_module_has_a_room():
    assert {room(path) for path in MODULES} == set(ROOMS)


@pytest.mark.parametrize(
    "path", [path for path in MODULES if room(path) in {"cli", "page"}], ids=lambda path: path.stem
)
def test_the_ways_in_use_public_names_only(path):
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "preview" and parts[1:2] != ["page"]:
            assert len(parts) == 1 or parts[1] in preview.__all__ or parts[1:3] == ["base", "errors"], name


@every_module
def test_only_the_page_knows_streamlit(path):
    assert room(path) == "page" or not any(name.split(".")[0] == "streamlit" for name in imports(path))


@every_module
def test_modules_stay_small(path):
    assert len(path.read_text("utf-8").splitlines()) <= 340, "is it still one purpose?"


def test_no_public_name_is_a_rooms_name():
    """A module that is imported would take the name's place in the package."""
    assert not {path.stem for path in ROOT.iterdir()} & set(preview.__all__)
