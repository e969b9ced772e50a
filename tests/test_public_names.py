"""Each public name is there, and in use: by the page, the command line, the handbook's example or the demos' maker."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

import preview

ROOT = Path(__file__).parent.parent
WAYS = [*sorted((ROOT / "preview" / "page").glob("*.py")), *sorted((ROOT / "preview" / "cli").glob("*.py"))]
USERS = [*WAYS, *(ROOT / "demo_patterns" / name for name in ("draw.py", "gallery.py"))]


def names_used(source: str) -> set[str]:
    """Return what a source takes out of the package: as its attribute, or by an import from it."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "preview":
            found.add(node.attr)
        elif isinstance(node, ast.ImportFrom) and node.module == "preview" and not node.level:
            found |= {alias.name for alias in node.names}
    return found


@cache
def used() -> set[str]:
    handbook = (ROOT / "demo_patterns" / "HANDBOOK.md").read_text("utf-8")
    examples = re.findall(r"```python\n(.*?)```", handbook, re.DOTALL)
    assert examples
    told = set(re.findall(r"`preview\.(\w+)`", handbook))
    return told.union(*(names_used(source) for source in (*examples, *(path.read_text("utf-8") for path in USERS))))


def test_uses_are_found():
    assert names_used("import preview\nfrom preview import load_job\npreview.trace(1)\nother.render()\n") == {
        "load_job",
        "trace",
    }
    assert {"preview", "make_job", "render", "lay_out"} <= used()


def test_every_public_name_is_in_use():
    for name in preview.__all__:
        assert callable(getattr(preview, name)) or name.isupper(), name
    assert set(preview.__all__) <= used()


def test_the_ways_in_ask_for_names_that_are_there():
    for path in WAYS:
        assert names_used(path.read_text("utf-8")) <= {*preview.__all__, "page", "base"}, path


def test_no_other_name_is_there():
    with pytest.raises(AttributeError, match="nothing"):
        _ = preview.nothing
