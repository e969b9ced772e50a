"""Memory that a command lets go of, kept for what it takes next rather than given back and asked for again."""

from __future__ import annotations

import ctypes
import sys

_TRIM_THRESHOLD, _MMAP_MAX = -1, -4
"""``M_TRIM_THRESHOLD`` and ``M_MMAP_MAX`` of glibc's ``malloc.h``."""


def keep_freed() -> None:
    """Keep what is freed until the process ends, where the C library is glibc.

    Each array over some megabytes is else asked of the system anew, which clears it page by page: half of a command's
    time in the system, and no less memory at its height (mallopt(3)).
    """
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_MMAP_MAX, 0)
        library.mallopt(_TRIM_THRESHOLD, 2**31 - 1)
