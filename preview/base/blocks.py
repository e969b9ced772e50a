"""Work on large arrays in blocks of rows, on two threads: numpy lets go of the lock inside its loops."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from math import ceil

THREADS = 2
BLOCK = 256 * 1024
"""Elements in a block: with fewer, handing the lock over costs more than the work; more overflow the caches."""

_POOL = ThreadPoolExecutor(THREADS, thread_name_prefix="tiles")


def in_row_blocks(work: Callable[[slice], None], rows: int, columns: int) -> None:
    """Call ``work`` with slices that cover ``rows`` rows of ``columns`` elements, in any order.

    The number of blocks is a multiple of the number of threads, so that none waits for the last. ``work`` must
    not call this function again.
    """
    if rows * columns < BLOCK // 2:
        work(slice(0, rows))  # sooner done than handed over
        return
    blocks = min(rows, THREADS * ceil(rows * columns / (THREADS * BLOCK))) or 1
    edges = [rows * number // blocks for number in range(blocks + 1)]
    for _ in _POOL.map(work, map(slice, edges, edges[1:])):
        pass
