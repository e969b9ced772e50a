"""``python -m tests.hostile.killing --kills 200``: the program killed at any moment of writing a set of files.

After each kill the next run has to find the whole of one set, the old or the new, and nothing else.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import tempfile
import time
from itertools import count
from pathlib import Path
from random import Random

from preview.base.files import write_into
from preview.base.whole_sets import sweep

NAMES = ("faces.png", "numbers.json", "report.txt", "states/one.toml", "states/two.toml")
SIZE = 40_000


def made(number: int) -> dict[str, bytes]:
    """Return a set of files that all tell its number."""
    return {name: str(number).encode().ljust(SIZE) for name in NAMES}


def write_for_ever(folder: Path, first: int) -> None:
    """Write one set over the other until killed."""
    for number in count(first):
        write_into(folder, made(number), force=True)


def found(folder: Path) -> set[str]:
    """Return the numbers of the sets of which there are files; raise where one is cut short, or is none of theirs."""
    numbers = set()
    for path in (each for each in folder.rglob("*") if each.is_file()):
        assert str(path.relative_to(folder)) in NAMES, path
        content = path.read_bytes()
        assert len(content) == SIZE, path
        numbers.add(content.strip().decode())
    return numbers


def main() -> int:
    """Kill, and look what is left."""
    asked = argparse.ArgumentParser(prog="python -m tests.hostile.killing", description=__doc__)
    asked.add_argument("--kills", type=int, default=200, metavar="N")
    asked.add_argument("--seed", type=int, default=1, metavar="N")
    options = asked.parse_args()
    dice, mixed, seen = Random(options.seed), 0, set()
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "out"
        write_into(folder, made(0))
        for number in range(options.kills):
            child = os.fork()
            if child == 0:
                write_for_ever(folder, 1_000_000 * (number + 1))
            time.sleep(dice.uniform(0.001, 0.05))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            mixed += any(path.name.startswith(".") for path in folder.iterdir())
            sweep(folder)
            left = found(folder)
            assert len(left) == 1, left
            assert len([each for each in folder.rglob("*") if each.is_file()]) == len(NAMES)
            assert not [path for path in folder.iterdir() if path.name.startswith(".")]
            seen |= left
    print(f"{options.kills} kills, {mixed} of them amid writing, {len(seen)} sets; each time one whole set was left")
    return 0


if __name__ == "__main__":
    sys.exit(main())
