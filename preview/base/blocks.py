"""Work on large arrays in blocks of rows, on two threads: numpy lets go of the lock inside its loops."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from math import ceil

from preview.base.progress import counted

THREADS = 2
BLOCK = 256 * 1024
"""Elements in a block: with fewer, handing the lock over costs more than the work; more overflow the caches."""

_POOL = ThreadPoolExecutor(THREADS, thread_name_prefix="tiles")


def in_row_blocks(work: Callable[[slice], None], rows: int, columns: int, what: str = "rows of pixels") -> None:
    """Call ``work`` with slices that cover ``rows`` rows of ``columns`` elements, in any order.

    The number of blocks is a multiple of the number of threads, so that none waits for the last. ``work`` must
    not call this function again. Who listens is told of each block of ``what``; where he raises, the rest is left.
    """
    if rows * columns < BLOCK // 2:
        work(slice(0, rows))  # sooner done than handed over
        return
    blocks = min(rows, THREADS * ceil(rows * columns / (THREADS * BLOCK))) or 1
    edges = [rows * number // blocks for number in range(blocks + 1)]
    handed = [_POOL.submit(work, slice(*ends)) for ends in pairwise(edges)]
    try:
        for each in counted(what, handed):
            each.result()
    finally:
        for each in handed:
            each.cancel()
