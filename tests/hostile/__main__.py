"""``python -m tests.hostile --cases 1000 --seed 1``: run hostile cases and print how they ended, by command.

One case is run again with ``--only NUMBER`` (and the same seed), and laid into a folder to look at with ``--keep DIR``.
"""

from __future__ import annotations

import argparse
import importlib
import os
import pkgutil
import sys
import tempfile
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import preview
from preview.cli import main as command_line
from preview.look.light import Light
from preview.look.studio import matt_of
from tests.hostile.cases import Maker
from tests.hostile.good import make_good
from tests.hostile.judging import run

DEMOS = Path(__file__).parents[2] / "demo_patterns"
LIBRARIES = (
    "trimesh", "ezdxf", "svgelements", "reportlab.pdfgen.canvas", "scipy.optimize", "scipy.ndimage",
    "skimage.transform", "skimage.filters", "skimage.measure", "skimage.feature", "matplotlib.figure", "tomli_w",
    "lxml.etree", "networkx",
)  # fmt: skip


def load_all() -> None:
    """Import what any command may, and work out what depends on no case, once for all the forks."""
    for room in pkgutil.walk_packages(preview.__path__, "preview."):
        if not room.name.startswith(("preview.page", "preview.__main__")):
            importlib.import_module(room.name)
    for name in LIBRARIES:
        importlib.import_module(name)
    matt_of(Light().studio)


def main() -> int:
    """Run the cases; 1 where one of them is at fault."""
    asked = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    asked.add_argument("--cases", type=int, default=300, metavar="N")
    asked.add_argument("--seed", type=int, default=1, metavar="N")
    asked.add_argument("--first", type=int, default=0, metavar="N", help="number of the first case")
    asked.add_argument("--only", type=int, metavar="N", help="run this case alone, and show what it said")
    asked.add_argument("--command", metavar="NAME", help="of this command only")
    asked.add_argument("--keep", type=Path, metavar="DIR", help="with --only: lay the case's files there")
    options = asked.parse_args()
    load_all()
    with tempfile.TemporaryDirectory() as home:
        os.environ["XDG_CACHE_HOME"] = f"{home}/cache"
        maker = Maker(make_good(Path(home) / "good", DEMOS, command_line))
        numbers = [options.only] if options.only is not None else range(options.first, options.first + options.cases)
        endings: Counter[tuple[str, str]] = Counter()
        faulty = 0
        began, slowest, largest = time.process_time(), (0.0, -1), (0, -1)
        with suppress(KeyboardInterrupt):  # what has been run until then is told
            for number in numbers:
                case = maker.case(options.seed, number, options.command)
                folder = options.keep if options.only is not None and options.keep else Path(home) / f"case{number}"
                folder.mkdir(parents=True)
                case.lay(folder)
                ending = run(case.arguments, folder, command_line)
                endings[case.command, "stopped" if ending.code is None else str(ending.code)] += 1
                slowest, largest = max(slowest, (ending.seconds, number)), max(largest, (ending.memory, number))
                if ending.faults or options.only is not None:
                    faulty += bool(ending.faults)
                    shown = [each if len(each) < 200 else f"{each[:200]}..." for each in case.arguments]
                    print(f"case {number}: {shown!a}: {ending.code}: {'; '.join(ending.faults)}", flush=True)
                    print(
                        "    "
                        + ascii(ending.said[-1500:] if options.only is None else ending.said)[1:-1].replace(
                            "\\n", "\n    "
                        )
                    )
                if number % 100 == 99:
                    print(f"... {number + 1}", flush=True)
                if folder != options.keep:
                    _remove(folder)
        tell(endings, faulty, slowest, largest)
        print(f"processor time of this process: {time.process_time() - began:.0f} s")
    return 1 if faulty else 0


def _remove(folder: Path) -> None:
    import shutil

    shutil.rmtree(folder)


def tell(endings: Counter[tuple[str, str]], faulty: int, slowest: tuple[float, int], largest: tuple[int, int]) -> None:
    """Print how many cases of each command ended with which code, so that a run that tries nothing shows."""
    codes = sorted({code for _, code in endings})
    print(f"{'command':<10}" + "".join(f"{code:>9}" for code in codes))
    for command in sorted({command for command, _ in endings}):
        print(f"{command:<10}" + "".join(f"{endings[command, code]:>9}" for code in codes))
    print(
        f"{'all':<10}" + "".join(f"{sum(n for (_, each), n in endings.items() if each == code):>9}" for code in codes)
    )
    print(
        f"{sum(endings.values())} cases, {faulty} at fault; most processor time {slowest[0]:.1f} s "
        f"(case {slowest[1]}), most memory {largest[0] / 1e9:.2f} GB (case {largest[1]})"
    )


if __name__ == "__main__":
    sys.exit(main())
