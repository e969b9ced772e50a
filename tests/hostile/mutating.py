"""Good text, bytes, tables and values made bad, by chance."""

from __future__ import annotations

import datetime
from copy import deepcopy
from random import Random
from typing import Any

NUMBERS = (
    0, -1, 1, 0.5, 1e-6, -1e-6, 1e-300, 5e-324, 1e3, 1e6, 1e9, 1e100, 1e300, 1.7e308, -1e300, float("nan"),
    float("inf"), -float("inf"), 2**31, 2**63, -(2**63), 10**30, 3.5, 20, 45, 90, 180, 359.999,
)  # fmt: skip
WORDS = (
    "", " ", ".", "..", "/", "../x", "a/../../b", "\0", "a\0b", "\n", "a\nb", "\x1b[31mred\x1b[0m", "\u202eabc",
    "n" * 300, "n" * 5000, "'", '"', "%s%n", "{}", "{0.__class__}", "$HOME", "-", "--", "nan", "inf", "1e400", "1,5",
    "1/0",
    "1/4 in", "1 1/2 in", "2200 F", "1.5 h", "-5 mm", "1e3 mm", "٣ mm", "½ in", "²", "9" * 400 + " mm", "9" * 5000,
    "1" + " " * 60_000 + "1", "1/" + "9" * 400, "black", "#12", "#ffffff", "hsl(0,0%,0%)", "nickel", "plain", "void",
    "job.toml", "pattern.png",
    "in/pattern.png", "con", "ünï", "💥" * 50, "a" * 40 + "!",
)  # fmt: skip
PIECES = (
    "\0", "\r", "\n\n", "[", "]", "{", "}", "=", '"', "'", '"""', "#", ",", ".", "[[", "]]", "=1e999", "\ufeff",
    "\u2028", "é", "[a]\n",
    "x = [" + "[" * 50, "x = " + "[" * 3000 + "]" * 3000, "x = " + "{a=" * 500 + "1" + "}" * 500,
    "n = " + "9" * 5000, ".".join("a" * 3000) + " = 1", ".".join("a" * 60_000) + " = 1", "seed = 99999999999999999999",
    "x = 1979-05-27T07:32:00Z", "[pattern]\n", "[[forging]]\n", '[[forging]]\nstep = "press"\n', '"" = 1', "\x1b[2J",
)  # fmt: skip


def value(dice: Random) -> Any:
    """Return a value that few expect."""
    kind = dice.random()
    if kind < 0.45:
        return dice.choice(NUMBERS)
    if kind < 0.55:
        return dice.choice((-1, 1)) * 10 ** dice.uniform(-9, 12)
    if kind < 0.85:
        return dice.choice(WORDS)
    return deepcopy(
        dice.choice((True, False, [], {}, [1], [[]], [1, 2, 3], [""], {"a": 1}, [{}] * 20, [0.0] * 3000,
                     datetime.date(2026, 1, 1), datetime.time(1), [[[[]]]], {"x": {"y": {}}}))
    )  # fmt: skip


def near(number: float, dice: Random) -> float:
    """Return a number of about the same kind, which may be just what is allowed."""
    return dice.choice((number, number * dice.uniform(0.2, 3), -number, number * 10, number / 10, round(number)))


def table(good: dict[str, Any], keys: tuple[tuple[str, ...], ...], dice: Random) -> dict[str, Any]:
    """Return a table with some values changed, left out or added at ``keys`` that it may have."""
    changed = deepcopy(good)
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        leaves = list(_leaves(changed))
        if leaves and dice.random() < 0.6:
            where, name = dice.choice(leaves)
            old = where[name]
            chance = dice.random()
            if chance < 0.1:
                del where[name]
            elif chance < 0.5 and isinstance(old, (int, float)) and not isinstance(old, bool):
                where[name] = near(old, dice)
            else:
                where[name] = value(dice)
        else:
            *path, name = dice.choice(keys)
            _put(changed, path, name, value(dice))
    return changed


def _leaves(tree: Any) -> Any:
    for name, each in list(tree.items() if isinstance(tree, dict) else enumerate(tree)):
        yield tree, name
        if isinstance(each, (dict, list)):
            yield from _leaves(each)


def _put(tree: Any, path: list[str], name: str, new: Any) -> None:
    for part in path:
        below = tree.setdefault(part, {}) if isinstance(tree, dict) else {}
        tree = below[0] if isinstance(below, list) and below else below
    if isinstance(tree, dict):
        tree[name] = new


def text(good: str, dice: Random) -> str:
    """Return text with pieces left out, put in, doubled or exchanged."""
    for _ in range(dice.choice((1, 1, 2, 4))):
        at, end = sorted((dice.randint(0, len(good)), dice.randint(0, len(good))))
        end = min(end, at + dice.choice((1, 3, 40, 4000)))
        match dice.randrange(5):
            case 0:
                good = good[:at] + good[end:]
            case 1:
                good = good[:at] + dice.choice(PIECES) + good[at:]
            case 2:
                good = good[:at] + good[at:end] * dice.choice((2, 3, 50)) + good[end:]
            case 3:
                start = good.rfind("\n", 0, at) + 1
                good = good[:start] + dice.choice(PIECES) + "\n" + good[start:]
            case _:
                good = good[:at] + chr(dice.choice((0, 7, 27, 34, 44, 59, 91, 955, 8232, 128165))) + good[at + 1 :]
    return good[:900_000]


def content(good: bytes, dice: Random) -> bytes:
    """Return bytes with some flipped, left out, put in or cut off."""
    made = bytearray(good)
    for _ in range(dice.choice((1, 1, 2, 8, 60))):
        at = dice.randrange(len(made) + 1) if dice.random() < 0.6 else dice.randrange(min(len(made), 200) + 1)
        match dice.randrange(6):
            case 0 if made:
                made[at % len(made)] ^= 1 << dice.randrange(8)
            case 1:
                made[at : at + dice.choice((1, 4, 100))] = b""
            case 2:
                made[at:at] = bytes(dice.randrange(256) for _ in range(dice.choice((1, 4, 50))))
            case 3 if dice.random() < 0.3:
                del made[at:]
            case 4:
                made[at : at + 4] = dice.choice(
                    (b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"\x7f\xff\xff\xff", b"\x80\x00\x00\x00")
                )
            case _ if made:
                made[at % len(made)] = dice.randrange(256)
    return bytes(made)


def numbers_in(good: str, dice: Random) -> str:
    """Return text, such as a drawing's or a table's, with some of its numbers exchanged."""
    import re

    spots = list(re.finditer(r"-?\d+(?:\.\d+)?", good))
    for spot in sorted(dice.sample(spots, min(len(spots), dice.choice((1, 1, 2, 5)))), key=lambda each: -each.start()):
        new = dice.choice(
            ("0", "-1", "1e300", "1e-300", "nan", "inf", "", "9" * 400, "1e9", "-1e9", "1,5", "x", "0.0000001", "1e5")
        )
        good = good[: spot.start()] + new + good[spot.end() :]
    return good
