"""What was worked out once is kept, within a bounded memory; a page gives each visitor a cache of his own."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import fields, is_dataclass
from functools import wraps
from threading import Lock
from typing import Any, Generic, ParamSpec, TypeVar
from weakref import WeakSet

import numpy as np

LIMIT = 500_000_000
"""Bytes of arrays that a cache holds at most; a job's own take some 200 million, most of them the pattern's raster."""

TOGETHER = 4_000_000_000
"""Bytes that all caches of the process hold at most, each an equal share."""

_Asked = ParamSpec("_Asked")
_Made = TypeVar("_Made")


_CACHES: WeakSet[Cache] = WeakSet()
_COUNTING = Lock()


class Cache:
    """Values by what they were made from, the ones asked for last; arrays in them are read-only.

    Parameters
    ----------
    limit
        Bytes of arrays that are held at most, or fewer where there are many caches; a single value may be larger.
    """

    def __init__(self, limit: int = LIMIT) -> None:
        self.limit = limit
        self.held = 0
        self.hits = 0
        self.misses = 0
        self._values: dict[Hashable, tuple[Any, int]] = {}  # the one asked for last comes last
        self._lock = Lock()
        with _COUNTING:
            _CACHES.add(self)
            others = list(_CACHES)
        for each in others:
            each._trim()

    @property
    def room(self) -> int:
        """Bytes that it may hold now, beside the other caches there are."""
        return min(self.limit, TOGETHER // len(_CACHES))

    def get(self, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """Return the value kept under ``key``, or else what ``make`` gives, which is kept from then on."""
        with self._lock:
            found = self._values.pop(key, None)
            if found is not None:
                self._values[key] = found
                self.hits += 1
                return found[0]  # type: ignore[no-any-return]
            self.misses += 1
        value = make()
        size = _sealed(value)
        with self._lock:
            self.held += size - self._values.pop(key, (None, 0))[1]
            self._values[key] = value, size
        self._trim()
        return value

    def _trim(self) -> None:
        """Let go what was asked for longest ago until it has room; the last value stays."""
        with self._lock:
            room = self.room
            while self.held > room and len(self._values) > 1:
                self.held -= self._values.pop(next(iter(self._values)))[1]


def _sealed(value: Any) -> int:
    """Make the arrays within ``value`` read-only and return their bytes."""
    if isinstance(value, np.ndarray):
        value.flags.writeable = False
        return value.nbytes
    if isinstance(value, tuple | list):
        return sum(map(_sealed, value))
    if is_dataclass(value):
        return sum(_sealed(getattr(value, field.name)) for field in fields(value))
    return 0


_OF_THE_PROCESS = Cache()
_FINDERS: list[Callable[[], Cache | None]] = []


def find_caches_by(find: Callable[[], Cache | None]) -> None:
    """Let ``find`` say from now on which cache is in use; where it says None, it is the process's own."""
    _FINDERS[:] = [find]


def _in_use() -> Cache:
    return next((cache for find in _FINDERS if (cache := find()) is not None), _OF_THE_PROCESS)


class Same(Generic[_Made]):
    """A value to ask by that has no hash, as arrays have none: the very same one, not one like it.

    What is kept under it keeps the value too, uncounted: ask by what is kept itself, as a face's arrays are.
    """

    __slots__ = ("value",)

    def __init__(self, value: _Made) -> None:
        self.value = value

    def __hash__(self) -> int:
        return id(self.value)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.value is other.value


class _Question:
    """What a function is asked, hashed once: that of a whole job takes longer than to find what is kept under it."""

    __slots__ = ("hashed", "parts")

    def __init__(self, parts: tuple[Hashable, ...]) -> None:
        self.parts = parts
        self.hashed = hash(parts)

    def __hash__(self) -> int:
        return self.hashed

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self.parts == other.parts


def kept(function: Callable[_Asked, _Made]) -> Callable[_Asked, _Made]:
    """Keep what ``function`` returns, by its arguments, in the cache that is in use."""

    @wraps(function)
    def asked(*given: _Asked.args, **named: _Asked.kwargs) -> _Made:
        return _in_use().get(_Question((function, given, *named.items())), lambda: function(*given, **named))

    return asked
