"""How many triangles a 3MF file would grow to, judged before it is read: its objects may use each other."""

from __future__ import annotations

import re

DEEPEST = 20
"""How deep objects may use each other."""

TOO_MANY = 10**12

_TAG = re.compile(rb"<(?:\w+:)?(object|component|triangle|item)\b([^>]*)")
_OF = re.compile(rb"\bobjectid\s*=\s*[\"'](\d+)")
_ID = re.compile(rb"\bid\s*=\s*[\"'](\d+)")


def triangles_of(model: bytes) -> int:
    """Return how many triangles the objects of a 3MF model have, each as often as it is built.

    `TOO_MANY` where objects use each other too deep, or themselves (3MF Core Specification, 4.1 and 4.2).
    """
    own: dict[bytes, int] = {}
    uses: dict[bytes, list[bytes]] = {}
    built: list[bytes] = []
    now, all_of_them = b"", 0
    for kind, rest in _TAG.findall(model):
        named, used = _ID.search(rest), _OF.search(rest)
        if kind == b"object" and named:
            now = named[1]
        elif kind == b"triangle":
            own[now] = own.get(now, 0) + 1
            all_of_them += 1
        elif kind == b"component" and used:
            uses.setdefault(now, []).append(used[1])
        elif kind == b"item" and used:
            built.append(used[1])
    known: dict[bytes, int] = {}

    def whole(name: bytes, depth: int = 0) -> int:
        if name not in known:
            if depth > DEEPEST:
                return TOO_MANY
            known[name] = TOO_MANY  # if it comes by itself again
            known[name] = own.get(name, 0) + sum(whole(each, depth + 1) for each in uses.get(name, ()))
        return known[name]

    return max(all_of_them, sum(map(whole, built)))
