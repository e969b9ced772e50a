"""Text in TOML, read with limits that hold before it is parsed: a small file can ask for all memory there is."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

DEEPEST = 20
"""How many lists and tables may lie within each other, and how many parts the name of a key may have."""

LONGEST_TEXT, MOST_DIGITS = 2000, 40
"""Characters of a text, and of a number, that are taken."""

_QUOTED = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*"""' r"|'''(?:[^']|'(?!''))*'''" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'" r"|#[^\n]*",
    re.DOTALL,
)


def parse_toml(text: str) -> dict[str, Any]:
    r"""Return the tables of TOML text.

    Raises
    ------
    ValueError
        If it is no TOML, or holds what is nested too deep or too long; one line.

    Examples
    --------
    >>> parse_toml("[can]\nlength = 75")
    {'can': {'length': 75}}
    """
    for fault in _faults(text):
        raise ValueError(fault)
    try:
        return tomllib.loads(text)
    except RecursionError:  # what no limit foresaw
        msg = "lists or tables lie too deep within each other"
        raise ValueError(msg) from None


def _faults(text: str) -> Iterator[str]:
    """Yield what is beyond the limits, judged by the characters alone."""
    longest = max((len(found[0]) for found in _QUOTED.finditer(text) if not found[0].startswith("#")), default=0)
    if longest > LONGEST_TEXT:
        yield f"a text of {longest} characters is too long; at most {LONGEST_TEXT} are taken"
    bare = _QUOTED.sub(lambda found: "" if found[0].startswith("#") else "q", text)
    number = re.search(rf"(?<![\w.-])\d\w{{{MOST_DIGITS},}}", bare)
    if number:
        yield f"a number of {len(number[0])} digits is too long; at most {MOST_DIGITS} are taken"
    if re.search(rf"(?:\.[ \t]*[\w-]+[ \t]*){{{DEEPEST},}}", bare):
        yield f"the name of a key has over {DEEPEST} parts"
    depth = 0
    for found in re.finditer(r"[\[\]{}]", bare):
        depth = depth + 1 if found[0] in "[{" else max(depth - 1, 0)
        if depth > DEEPEST:
            yield f"lists or tables lie over {DEEPEST} deep within each other"
