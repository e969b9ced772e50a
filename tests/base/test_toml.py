"""Hostile TOML is refused before it is parsed, in one short line; what the format allows otherwise is taken."""

from __future__ import annotations

import tomllib

import pytest

from preview.base.toml import DEEPEST, MOST_DIGITS, parse_toml
from tests.conftest import DEMO_JOBS


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("x = " + "[" * 3000 + "]" * 3000, "deep within each other"),
        ("x = " + "{a=" * 500 + "1" + "}" * 500, "deep within each other"),
        ("x = [" * 3000, "deep within each other"),
        ("seed = " + "9" * 5000, "a number of 5000 digits"),
        ("x = 0x" + "f" * 5000, "digits"),
        (".".join("a" * 100_000) + " = 1", "has over 20 parts"),
        (" . ".join(["'a'", '"b"'] * 50) + " = 1", "has over 20 parts"),
        ("[" + ".".join("a" * 100_000) + "]", "has over 20 parts"),
        ("x = '" + "n" * 60_000 + "'", "a text of 60002 characters"),
        ("x = '''" + "n\n" * 60_000 + "'''", "characters"),
        ("x = ", "Invalid value"),
    ],
)
def test_what_is_refused(text, words):
    with pytest.raises(ValueError, match=words) as caught:
        parse_toml(text)
    assert len(str(caught.value)) < 120


@pytest.mark.parametrize(
    "text",
    [
        *(path.read_text() for path in DEMO_JOBS),
        "x = '" + "[" * 300 + "." * 300 + "9" * 300 + "'",
        "# " + "[" * 300 + "9" * 3000,
        "x = " + "[" * DEEPEST + "]" * DEEPEST,
        "x = [" + ", ".join(["0.5"] * 500) + "]",
        "x = " + "9" * MOST_DIGITS,
        'x = """a "quoted" [[[ \\" text"""',
        ".".join("a" * DEEPEST) + " = 1",
    ],
)
def test_what_is_taken(text):
    assert parse_toml(text) == tomllib.loads(text)
