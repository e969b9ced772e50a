"""How far long work has come, on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

FORM = "{desc}: {percentage:3.0f}% |{bar:30}| {elapsed}"
SILENT = 1.0
"""Seconds that work may take before a bar shows."""


@contextmanager
def progress() -> Iterator[None]:
    """Show a bar on standard error for each long piece of work inside the ``with`` block, if that is a terminal."""
    if not sys.stderr.isatty():
        yield
        return
    from preview import listening

    bars: dict[str, Any] = {}

    def hear(what: str, done: float) -> None:
        from tqdm import tqdm

        if what not in bars:
            bars[what] = tqdm(
                total=1.0, desc=what, delay=SILENT, miniters=0, leave=False, file=sys.stderr, bar_format=FORM
            )
        bars[what].update(done - bars[what].n)
        if done >= 1:
            bars.pop(what).close()

    try:
        with listening(hear):
            yield
    finally:
        for bar in bars.values():
            bar.close()
