"""Many visitors at once, each moving the grind of work of their own: ``python tests/benchmarks/visitors.py [MINUTES]``.

Visitors speak to the server as a browser does, without one: what is measured is the server. They open the demos in
turn and make work of their own of each; once all are open, they move the grind once every few seconds, a hand's pace.
Latency is from the move to the first picture and to the end of the run; beside it stand moves of the same visitors one
after the other, in the same run, with the server's processor time for one.
Memory is the server's, files are what it keeps of the visitors' work; MINUTES (3 unless told) may be 60, for a soak, at
whose end stands how much of both the last quarter has over the second: in the first one the caches and histories fill.

Under both stands what could be had at best: moves come by chance, so some come together, and one waits for the other.
One after the other, of equal length c, and asking in the mean for a share r of a processor's time, they wait for
c r / (2 (1 - r)) in the mean (a queue of random arrivals and constant service: Pollaczek-Khinchine); the bar of 1.5 c
leaves half of c for that, so r may be a half: with a pause Z, (Z + 1.5 c) / 2 c visitors.
"""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import os
import random
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import websockets
from page import ROOT, serve
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

VISITORS = 20
ALONE = 2
"""Moves of each visitor while no other moves."""
PAUSE = (5.0, 15.0)
"""Seconds between two moves of one visitor."""
FINE = 0.1
LOWEST, HIGHEST = 5.0, 18.0
"""Heights (mm) that the grind of each demo can have."""
BAR = 1.5
DEMOS = sorted(path.stem for path in (ROOT / "demo_patterns").glob("*.toml"))


@dataclass
class Visitor:
    """One visitor's connection, the widgets it was shown, and how long each move took."""

    socket: Any
    demo: str
    widgets: dict[str, Any] = field(default_factory=dict)
    titles: set[str] = field(default_factory=set)
    errors: list[str] = field(default_factory=list)
    first: list[float] = field(default_factory=list)
    whole: list[float] = field(default_factory=list)

    async def run(self, states: Sequence[tuple[str, float]] = (), fragment: str = "") -> tuple[float, float]:
        """Let the page run; return the seconds to the first picture and to the end."""
        message = BackMsg()
        message.rerun_script.query_string = f"demo={self.demo}"
        message.rerun_script.fragment_id = fragment
        for widget, value in states:
            message.rerun_script.widget_states.widgets.add(id=widget).double_value = value
        started, pictured = time.perf_counter(), 0.0
        await self.socket.send(message.SerializeToString())
        while True:
            told = ForwardMsg.FromString(await self.socket.recv())
            kind = told.WhichOneof("type")
            if kind == "delta" and told.delta.WhichOneof("type") == "new_element":
                element = told.delta.new_element
                name = element.WhichOneof("type")
                if name == "number_input":
                    self.widgets[element.number_input.label] = (element.number_input, told.delta.fragment_id)
                elif name == "exception":
                    self.errors.append(element.exception.message)
                elif name == "imgs" and not pictured:
                    pictured = time.perf_counter() - started
                elif name == "heading":
                    self.titles.add(element.heading.body)
            elif kind == "script_finished" and told.script_finished != ForwardMsg.FINISHED_EARLY_FOR_RERUN:
                return pictured or float("nan"), time.perf_counter() - started

    async def move(self, chance: random.Random) -> None:
        """Move the grind by a little, as a hand does."""
        box, fragment = next(each for label, each in self.widgets.items() if label.startswith("Grind height"))
        now = box.value if box.set_value else box.default
        value = now + FINE * chance.choice((-1, 1)) * chance.randint(1, 20)
        first, whole = await self.run([(box.id, min(max(value, LOWEST), HIGHEST))], fragment)
        self.first.append(first)
        self.whole.append(whole)


async def open_page(address: str, demo: str, chance: random.Random) -> Visitor:
    """Open a demo, and make it work of the visitor's own by a first move, which is not counted."""
    socket = await websockets.connect(
        f"{address.replace('http', 'ws')}/_stcore/stream", subprotocols=["streamlit"], max_size=None
    )
    visitor = Visitor(socket, demo)
    await visitor.run()
    await visitor.move(chance)
    visitor.first.clear(), visitor.whole.clear()
    return visitor


async def visit(visitor: Visitor, until: float, chance: random.Random) -> None:
    while time.monotonic() < until:
        await asyncio.sleep(chance.uniform(*PAUSE))
        await visitor.move(chance)


def memory(process: int) -> float:
    """Return what a process holds, MB."""
    lines = Path(f"/proc/{process}/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1000 for line in lines if line.startswith("VmRSS"))


def busy(process: int) -> float:
    """Return the processor time that a process has used, s."""
    used = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(used[11]) + int(used[12])) / os.sysconf("SC_CLK_TCK")


def files(home: Path) -> tuple[int, float]:
    """Return how many files lie in a folder, and their MB."""
    sizes = []
    for place, _, names in os.walk(home):
        for name in names:
            with contextlib.suppress(OSError):  # written aside, and moved meanwhile
                sizes.append(Path(place, name).stat().st_size)
    return len(sizes), sum(sizes) / 1e6


def grown(values: list[float]) -> str:
    """Return how much the last quarter of what was measured is over the second."""
    quarter = len(values) // 4
    if not quarter:
        return "too few were measured to tell"
    before, after = (statistics.median(values[start : start + quarter]) for start in (quarter, len(values) - quarter))
    return f"{100 * (after / before - 1):+.1f} %"


def told(times: list[float]) -> str:
    spread = statistics.quantiles(times, n=20)
    return f"median {statistics.median(times):.2f} s, 19 of 20 under {spread[-1]:.2f} s ({len(times)} moves)"


async def measure(address: str, process: int, minutes: float, home: Path) -> None:
    print(f"memory: {memory(process):.0f} MB with none", flush=True)
    used, chance = busy(process), random.Random(1)
    demos = itertools.islice(itertools.cycle(DEMOS), VISITORS)
    visitors = [await open_page(address, demo, chance) for demo in demos]
    print(f"processor time to open a page: {(busy(process) - used) / VISITORS:.2f} s", flush=True)
    used = busy(process)
    for visitor in visitors * ALONE:
        await visitor.move(chance)
    one_move = (busy(process) - used) / VISITORS / ALONE
    print("one after the other: first picture", told([each for visitor in visitors for each in visitor.first]))
    print("                     all of it    ", told([each for visitor in visitors for each in visitor.whole]))
    print(f"                     processor time of a move: {one_move:.2f} s", flush=True)
    for visitor in visitors:
        visitor.first.clear(), visitor.whole.clear()
    held: list[float] = []
    kept: list[float] = []
    used, began = busy(process), time.monotonic()
    until = began + 60 * minutes
    several = [
        asyncio.create_task(visit(visitor, until, random.Random(number))) for number, visitor in enumerate(visitors)
    ]
    while not all(each.done() for each in several):
        await asyncio.sleep(min(30.0, max(5.0, 3 * minutes)))
        count, size = files(home)
        held.append(memory(process))
        kept.append(count)
        print(f"{time.monotonic() - began:.0f} s: memory {held[-1]:.0f} MB; {count} files, {size:.1f} MB", flush=True)
    used = busy(process) - used
    for each in several:
        each.result()
    print(f"{VISITORS} at once: first picture", told([each for visitor in visitors for each in visitor.first]))
    print("              all of it    ", told([each for visitor in visitors for each in visitor.whole]))
    moves = sum(len(visitor.whole) for visitor in visitors)
    print(f"              processor time of a move: {used / moves:.2f} s")
    for kind in ("first", "whole"):
        ratio = statistics.median(each for visitor in visitors for each in getattr(visitor, kind)) / one_move
        print(f"              {kind} picture: the middle one after {ratio:.2f} of a move's processor time (bar {BAR})")
    share = moves * one_move / (time.monotonic() - began)
    waits = f"waits {share / 2 / (1 - share):.2f} of a move for that" if share < 1 else "grows without end"
    print(
        f"at best: a pause of {PAUSE[0]:g} to {PAUSE[1]:g} s, so they asked for {share:.2f} of one processor's time; "
        f"a queue {waits}, and the bar holds up to "
        f"{(statistics.mean(PAUSE) + BAR * one_move) / 2 / one_move:.0f} visitors"
    )
    print(f"last quarter over the second: memory {grown(held)}, files {grown(kept)}")
    errors = [error for visitor in visitors for error in visitor.errors]
    mixed = [visitor for visitor in visitors if len(visitor.titles) > 1]
    print(f"errors: {len(errors)} {errors[:1]}; visitors shown another's work: {len(mixed)}")


def main() -> None:
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 3.0
    kept = tempfile.mkdtemp()
    os.environ["XDG_CACHE_HOME"] = kept
    server, address = serve(ROOT / "app.py")
    try:
        asyncio.run(measure(address, server.pid, minutes, Path(kept)))
    finally:
        server.terminate()
        server.wait(20)
        shutil.rmtree(kept)


if __name__ == "__main__":
    main()
