"""The structure is tested: a room imports rooms below it only, nothing goes round in circles, only the page knows
Streamlit.
"""

from __future__ import annotations

import ast
import re
from functools import cache
from graphlib import TopologicalSorter
from importlib import import_module
from pathlib import Path

import pytest

import preview
from preview.forging.steps import STEPS

ROOT = Path(preview.__file__).parent
ROOMS = (
    "cli",
    "page",
    "sheets",
    "log",
    "day",
    "advice",
    "cutting",
    "trials",
    "filling",
    "seen",
    "forge",
    "in_hand",
    "pipeline",
    "job",
    "look",
    "face",
    "blade",
    "pattern",
    "forging",
    "base",
)
"""From the top down; ``pipeline`` is a room of one module."""

MODULES = [path for path in sorted(ROOT.rglob("*.py")) if not path.name.startswith("__")]


def room(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


@cache
def imports(path: Path) -> set[str]:
    """Return the modules that a file imports, and with ``from`` the names, as dotted paths."""
    found = set()
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@cache
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


def test_rooms_import_rooms_below_them():
    for path in MODULES:
        below = ROOMS[ROOMS.index(room(path)) + 1 :]
        for other in ours(path) - {ROOT / "__init__.py"}:
            assert room(other) == room(path) or room(other) in below, f"{path} may not import {other}"


@pytest.mark.parametrize("name", ROOMS)
def test_no_circle_inside_a_room(name):
    inside = [path for path in ROOT.rglob("*.py") if room(path) == name]
    assert inside, "a room of the list that is not there"
    graph = {path: {other for other in ours(path) if room(other) == name} - {path} for path in inside}
    TopologicalSorter(graph).prepare()  # raises where there is a circle


def test_every_module_has_a_room():
    assert {room(path) for path in MODULES} == set(ROOMS)


def test_the_ways_in_use_public_names_only():
    for path in MODULES:
        for name in imports(path) if room(path) in {"cli", "page"} else ():
            parts = name.split(".")
            if parts[0] == "preview" and parts[1:2] not in (["page"], ["cli"]):
                public = len(parts) == 1 or parts[1] in preview.__all__ or parts[1:3] == ["base", "errors"]
                assert public, f"{path} may not import {name}"


def test_only_the_page_knows_streamlit():
    know = {room(path) for path in MODULES for name in imports(path) if name.split(".")[0] == "streamlit"}
    assert know == {"page"}


def told_apart(tree: ast.AST) -> set[str]:
    """Return where a step is asked which one it is: by its class, or by its name."""
    kinds = {step.__name__ for step in STEPS}
    found = set()
    for node in ast.walk(tree):
        asked: list[ast.AST] = []
        if isinstance(node, ast.Call) and ast.unparse(node.func) in {"isinstance", "issubclass", "type"}:
            asked = node.args[1:]
        elif isinstance(node, ast.MatchClass):
            asked = [node.cls]
        elif isinstance(node, (ast.Compare, ast.Match)):
            sides = [node.left, *node.comparators] if isinstance(node, ast.Compare) else [node.subject]
            by_name = any(ast.unparse(side).endswith((".step", "['step']")) for side in sides)
            of_none = isinstance(node, ast.Compare) and ast.unparse(sides[-1]) == "None"
            found |= {ast.unparse(node)} if by_name and not of_none else set()
            asked = sides
        names = {ast.unparse(part).rpartition(".")[2] for each in asked for part in ast.walk(each)}
        found |= {ast.unparse(node)} if names & kinds else set()
    return found


def test_only_a_step_knows_which_one_it_is():
    for path in MODULES:
        if path.parent != ROOT / "forging" / "steps":
            assert not told_apart(parsed(path)), path


@pytest.mark.parametrize(
    "text",
    [
        "isinstance(step, Press)",
        "isinstance(step, (Twist, steps.Tile))",
        "step.step == 'trim'",
        "'trim' == table['step']",
        "step.step in {'trim'}",
        "type(step) is Turn",
        "match step['step']:\n    case 'press':\n        pass",
        "match step:\n    case Press():\n        pass",
    ],
)
def test_telling_steps_apart_would_be_seen(text):
    assert told_apart(ast.parse(text))


def test_modules_stay_small():
    for path in MODULES:
        assert len(path.read_text("utf-8").splitlines()) <= 340, f"is {path} still one purpose?"


def test_no_public_name_is_a_rooms_name():
    """A module that is imported would take the name's place in the package."""
    assert not {path.stem for path in ROOT.iterdir()} & set(preview.__all__)


def test_what_docstrings_refer_to_is_there():
    """Names in backticks that start with the package lead to something."""
    found = {
        name
        for path in [*ROOT.rglob("*.py"), *(ROOT.parent / "tests").rglob("*.py")]
        for name in re.findall(r"`preview\.([\w.]+)`", path.read_text("utf-8"))
    }
    assert len(found) > 10
    for name in found:
        assert resolve(f"preview.{name}"), name


def resolve(name: str) -> bool:
    """Say whether a dotted name leads to a module, or to something in one."""
    parts = name.split(".")
    for count in range(len(parts), 0, -1):
        try:
            here = import_module(".".join(parts[:count]))
        except ModuleNotFoundError:
            continue
        for part in parts[count:]:
            here = getattr(here, part, None)
        return here is not None
    return False
