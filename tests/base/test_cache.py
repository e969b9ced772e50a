"""The cache: bounded, read-only, and each visitor's own."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, is_dataclass
from random import Random
from weakref import WeakSet

import numpy as np
import pytest

from preview.base import cache
from preview.base.cache import Cache, Same, find_caches_by, kept
from preview.job.file import load_job
from preview.pipeline import preview
from tests.conftest import DEMOS

MEGABYTE = 1_000_000


@dataclass(frozen=True, eq=False)
class Held:
    values: np.ndarray
    more: tuple[np.ndarray, ...] = ()


@pytest.fixture
def in_use(monkeypatch):
    """Return a place to put the cache that is to be in use."""
    monkeypatch.setattr(cache, "_FINDERS", [])
    place: list[Cache] = [Cache()]
    find_caches_by(lambda: place[0])
    return place


def a_megabyte():
    return np.zeros(MEGABYTE // 8)


def test_what_was_asked_for_longest_ago_goes_first():
    store = Cache(limit=3 * MEGABYTE)
    for name in "abc":
        store.get(name, a_megabyte)
    assert store.held == 3 * MEGABYTE
    store.get("a", a_megabyte)
    store.get("d", a_megabyte)
    assert (store.hits, store.misses) == (1, 4)
    store.get("a", a_megabyte)
    assert store.hits == 2  # it was asked for after b, so that b went
    store.get("b", a_megabyte)
    assert store.misses == 5
    assert store.held <= store.limit


def test_many_caches_share_what_all_may_hold(monkeypatch):
    """Ten megabytes for all: one holds five at most by its own bound, and each of four caches two and a half."""
    monkeypatch.setattr(cache, "_CACHES", WeakSet())
    monkeypatch.setattr(cache, "TOGETHER", 10 * MEGABYTE)
    first = Cache(limit=5 * MEGABYTE)
    for name in "abcdef":
        first.get(name, a_megabyte)
    assert first.held == 5 * MEGABYTE
    others = [Cache(limit=5 * MEGABYTE) for _ in range(3)]
    assert first.held == 2 * MEGABYTE  # though nobody asks it for anything
    first.get("f", a_megabyte)
    assert first.hits == 1
    del others
    first.get("g", a_megabyte)
    assert first.held == 3 * MEGABYTE


def test_a_value_larger_than_the_cache_is_kept_alone():
    store = Cache(limit=MEGABYTE)
    store.get("small", lambda: np.zeros(10))
    for _ in range(2):
        store.get("large", lambda: Held(np.zeros(MEGABYTE), (np.zeros(5),)))
    assert (store.hits, store.held) == (1, 8 * MEGABYTE + 40)


def test_arrays_in_it_are_read_only():
    found = Cache().get("key", lambda: (Held(np.zeros(3), (np.zeros(2),)), [np.zeros(1)]))
    for array in (found[0].values, found[0].more[0], found[1][0]):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1


@pytest.mark.usefixtures("in_use")
def test_an_array_is_asked_by_as_the_same_one_not_one_like_it():
    @kept
    def total(same):
        tries.append(same)
        return float(same.value.sum())

    tries, one, other = [], np.ones(3), np.ones(3)
    assert [total(Same(each)) for each in (one, one, other)] == [3, 3, 3]
    assert len(tries) == 2


def arrays(value):
    if isinstance(value, np.ndarray):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from arrays(each)
    elif is_dataclass(value):
        for field in fields(value):
            yield from arrays(getattr(value, field.name))


@pytest.mark.usefixtures("in_use")
def test_faces_of_a_preview_cannot_be_written_on():
    shown = preview(load_job(DEMOS / "plain_start.toml"), width=200)
    found = [*arrays(shown.faces), *arrays(shown.faces[0].grid)]
    assert len(found) > 6
    assert not any(array.flags.writeable for array in found)


@pytest.mark.usefixtures("in_use")
def test_what_fails_is_not_kept():
    tries = []

    @kept
    def third_time(number):
        tries.append(number)
        if len(tries) < 3:
            msg = "not yet"
            raise ValueError(msg)
        return number

    for _ in range(2):
        with pytest.raises(ValueError, match="not yet"):
            third_time(5)
    assert third_time(5) == third_time(5) == 5
    assert len(tries) == 3


def moves(name):
    """Yield jobs as a visitor makes them: the grind moved five times, each at quick and at sharp size."""
    job = load_job(DEMOS / f"{name}.toml")
    for number in range(5):
        bevel = job.grind.right.model_copy(update={"hold": "height", "height": 14.0 + 0.3 * number})
        moved = job.model_copy(update={"grind": job.grind.model_copy(update={"right": bevel})})
        for width in (160, 320):
            yield moved, width


def test_three_visitors_hit_as_if_each_were_alone(in_use):
    """Three jobs, moved in turn: no visitor's cache misses more than on a visit alone, or is pushed out by others.

    It may miss less: some values serve all visitors of a process, and which of them asks first is chance.
    """
    names = ("plain_start", "running_wave", "marsh_moon")
    alone = {}
    for name in names:
        in_use[0] = alone[name] = Cache()
        for job, width in moves(name):
            preview(job, width=width)
    together = {name: Cache() for name in names}
    for turns in zip(*map(moves, names), strict=True):
        for name, (job, width) in zip(names, turns, strict=True):
            in_use[0] = together[name]
            preview(job, width=width)
    for name in names:
        found, wanted = together[name], alone[name]
        assert found.misses <= wanted.misses
        assert found.hits > 2 * found.misses
        assert found.held < found.limit


def test_threads_share_a_cache_and_its_sum_stays_right():
    """Eight at once on a cache with room for five of ten values: each gets what it asked for, and the sum is that."""
    store, failed = Cache(limit=5 * MEGABYTE), []

    def ask(number: int) -> None:
        dice = Random(number)
        for name in (dice.randrange(10) for _ in range(200)):
            value = store.get(name, lambda name=name: np.full(MEGABYTE // 8, float(name)))
            if value[0] != name or value.flags.writeable:
                failed.append(name)

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(ask, range(8)))
    assert not failed
    assert store.hits + store.misses == 8 * 200
    assert store.held == sum(size for _, size in store._values.values()) <= store.limit


def test_visitors_at_once_see_what_each_sees_alone(monkeypatch):
    """Two kinds of work drawn at once on threads, each with a cache of its own as on the page: the same pictures."""
    monkeypatch.setattr(cache, "_FINDERS", [])
    own = threading.local()
    find_caches_by(lambda: own.__dict__.setdefault("cache", Cache()))
    jobs = [load_job(DEMOS / f"{name}.toml") for name in ("plain_start", "end_grain")]

    def draw(job):
        own.cache = Cache()
        return preview(job, width=300).picture

    alone = [draw(job) for job in jobs]
    with ThreadPoolExecutor(len(jobs)) as pool:
        for one, other in zip(alone, pool.map(draw, jobs), strict=True):
            np.testing.assert_array_equal(one, other)
