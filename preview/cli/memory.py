"""Memory in a command's own process, which ends with its work: little is given back or searched before that."""

from __future__ import annotations

import atexit
import ctypes
import gc
import sys

_TRIM_THRESHOLD, _MMAP_MAX = -1, -4
"""``M_TRIM_THRESHOLD`` and ``M_MMAP_MAX`` of glibc's ``malloc.h``."""

NEW_OBJECTS = 50_000
"""So many objects are made, all in all, before those that only hold one another are looked for; hundreds are usual."""


def keep_memory() -> None:
    """Keep what is freed until the process ends, where the C library is glibc, and hardly look for lost objects.

    Each array over some megabytes is else asked of the system anew, which clears it page by page: half of a command's
    time in the system, and no less memory at its height (mallopt(3)). Lost objects are few: to look for them takes a
    tenth of a second on the way, and as long again at the end, when all goes anyway.
    """
    gc.set_threshold(NEW_OBJECTS)
    atexit.register(gc.freeze)
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_MMAP_MAX, 0)
        library.mallopt(_TRIM_THRESHOLD, 2**31 - 1)
