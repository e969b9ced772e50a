"""How much an SVG file would grow to, judged before it is read: its ``use`` elements may repeat each other."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

DEEPEST = 100
"""How deep elements may lie within each other, those that are used counted too."""

MOST_ELEMENTS = 50_000
"""Elements that a drawing may have, each as often as it is used."""

_ID = "{http://www.w3.org/XML/1998/namespace}id"
_HREF = "{http://www.w3.org/1999/xlink}href"
_NUMBER = re.compile(r"\d+(?:\.\d*)?")


def bulk_fault(content: bytes, most_numbers: int) -> str | None:
    """Return what is too much in an SVG file, or None.

    Raises
    ------
    xml.etree.ElementTree.ParseError
        If it is no XML.
    """
    depth = 0
    parser: Any = ElementTree.XMLPullParser(("start", "end"))
    root: Any = None
    for start in range(0, len(content), 65_536):
        parser.feed(content[start : start + 65_536])
        for event, element in parser.read_events():
            root = element if root is None else root
            depth += 1 if event == "start" else -1
            if depth > DEEPEST:
                return f"elements lie over {DEEPEST} deep within each other"
    parser.close()
    named = {found: each for each in root.iter() if (found := each.get("id") or each.get(_ID))}
    elements, numbers = _Bulk(named).of(root, 0)
    if elements > MOST_ELEMENTS:
        return f"over {MOST_ELEMENTS} elements are too many, each as often as it is used; simplify the drawing"
    if numbers > most_numbers:
        return f"over {most_numbers} numbers are too many, each as often as it is used; simplify the drawing"
    return None


class _Bulk:
    """Counts elements and their numbers, each as often as it is used; as too many where they use themselves."""

    def __init__(self, named: dict[str, Any]) -> None:
        self.named = named
        self.known: dict[Any, tuple[int, int]] = {}

    def of(self, element: Any, depth: int) -> tuple[int, int]:
        """Return how many elements stand in ``element``, itself counted, and how many numbers."""
        if element not in self.known:
            if depth > DEEPEST:
                return MOST_ELEMENTS + 1, 0
            self.known[element] = (MOST_ELEMENTS + 1, 0)  # if it comes by itself again
            parts = list(element)
            if str(element.tag).rpartition("}")[2] == "use":
                used = self.named.get((element.get("href") or element.get(_HREF) or "").removeprefix("#"))
                parts += [] if used is None else [used]
            own = sum(len(_NUMBER.findall(element.get(name, ""))) for name in ("d", "points"))
            inner = [self.of(each, depth + 1) for each in parts]
            self.known[element] = (1 + sum(n for n, _ in inner), own + sum(n for _, n in inner))
        return self.known[element]
