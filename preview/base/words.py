"""What others wrote, put into a sentence of ours: on one line, not too long, and nothing that a terminal would obey."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

LONGEST_GIVEN = 80
"""Characters of a given value that a message shows."""

LONGEST_WORD, LONGEST_SENTENCE = 240, 1000
"""Characters without a space, such as a path, and of a whole fault, that are shown uncut."""


def brief(value: Any) -> str:
    """Return a given value as it is quoted in a message, cut where it is long.

    Examples
    --------
    >>> brief("4 mm"), brief([1.5, True])
    ("'4 mm'", '[1.5, True]')
    >>> len(brief("n" * 5000))
    80
    """
    if isinstance(value, (str, bytes)):
        value = value[: LONGEST_GIVEN + 1]
    shown = repr(value)
    return shown if len(shown) <= LONGEST_GIVEN else f"{shown[: LONGEST_GIVEN - 3]}..."


def tidy(sentence: str) -> str:
    r"""Return a sentence with what cannot be printed written as in Python, and what is too long cut in its middle.

    Examples
    --------
    >>> print(tidy("a\x1b[31m.toml\n: cannot be read"))
    a\x1b[31m.toml\n: cannot be read
    """
    words = re.sub(rf"\S{{{LONGEST_WORD + 1},}}", lambda word: _cut(word[0], LONGEST_WORD), sentence)
    return "".join(each if _prints(each) else _escaped(each) for each in _cut(words, LONGEST_SENTENCE))


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most * 2 // 3]}...{text[-most // 4 :]}"


def _prints(character: str) -> bool:
    return character.isprintable() or unicodedata.category(character) == "Zs"


def _escaped(character: str) -> str:
    return character.encode("unicode_escape").decode()
