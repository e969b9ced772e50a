"""The structure is tested: modules stand on floors and import lower ones only; only the page knows Streamlit."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import preview

ROOT = Path(preview.__file__).parent
FLOORS = (
    ("errors", "checks", "tiles"),
    (
        "bar",
        "files",
        "picture",
        "powders",
        "outline",
        "grind",
        "light",
        "etch",
        "section_table",
        "points",
        "expansion",
        "tables",
        "cautions",
        "scale_loss",
        "divider_files",
        "agreement",
        "paper",
        "units",
    ),
    ("steps", "pattern", "blade", "coupon"),
    (
        "history",
        "surface",
        "fineness",
        "calibration",
        "readings",
        "unsure",
        "step_words",
        "wanted",
        "dividers",
        "regions",
    ),
    ("calibrate", "solids", "drawings"),
    ("marks", "plots"),
    ("nickel",),
    ("composition",),
    ("photograph", "section", "job", "columns"),
    ("template",),
    ("faults", "fill"),
    ("jobfile", "on_face", "face_fields", "forge", "budget", "filmstrip", "profile_plot"),
    ("measure", "budget_text", "work"),
    ("surviving",),
    ("pipeline",),
    ("moves", "layout", "trials", "spots", "closer"),
    ("draws", "trial_sheet"),
    ("client_sheet",),
    ("shop_sheet",),
    ("report",),
    ("exports",),
    ("shop_files", "sheet_files"),
    ("cli",),
)
FLOOR = {name: floor for floor, names in enumerate(FLOORS) for name in names}
FREE = {"__init__", "__main__"}  # the public names and the way in
MODULES = sorted(ROOT.rglob("*.py"))


def home(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_go_down(path):
    if home(path) in FREE:
        return
    for name in imports(path):
        parts = name.split(".")
        if parts[0] != "preview" or home(path) == "cli":
            continue
        other = parts[1]
        assert other in FLOOR, f"{path.name} imports {name}: give the module a floor"
        assert other == home(path) or FLOOR[other] < FLOOR[home(path)], f"{path.name} may not import {name}"


def test_every_module_has_a_floor():
    assert {home(path) for path in MODULES} - FREE == set(FLOOR)


WAYS_IN = [ROOT / "cli.py", ROOT.parent / "app.py", *sorted((ROOT.parent / "page").glob("*.py"))]


@pytest.mark.parametrize("path", WAYS_IN, ids=lambda path: path.stem)
def test_the_ways_in_use_the_public_names_only(path):
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "preview":
            assert len(parts) == 1 or parts[1] in preview.__all__ or parts[1] == "errors", name


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_package_knows_no_page(path):
    assert not any(name.split(".")[0] == "streamlit" for name in imports(path))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_modules_stay_small(path):
    assert len(path.read_text().splitlines()) <= 340, "is it still one purpose?"


def test_no_public_name_is_a_modules_name():
    """A module that is imported would take the name's place in the package."""
    assert not {path.stem for path in ROOT.iterdir()} & set(preview.__all__)


def test_public_names_are_there():
    for name in preview.__all__:
        assert getattr(preview, name) is not None
    with pytest.raises(AttributeError, match="no attribute"):
        _ = preview.nothing
