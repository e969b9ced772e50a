"""Memory that many visitors' pages let go of, given back rather than kept by each thread for itself."""

from __future__ import annotations

import ctypes
import sys
from functools import cache

_ARENA_MAX = -8
"""``M_ARENA_MAX`` of glibc's ``malloc.h``."""
_POOLS = 2


@cache
def share_pools() -> None:
    """Let all threads of this process take their memory from two pools, where the C library is glibc.

    Each run of a page has a thread of its own, and glibc gives threads up to eight pools a core; each keeps what it has
    freed. With twenty visitors that was some 0.6 GB, and as much again coming and going (mallopt(3)).
    """
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_ARENA_MAX, _POOLS)
