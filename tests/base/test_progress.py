from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from preview.base import cache
from preview.base.blocks import in_row_blocks
from preview.base.cache import Cache, find_caches_by
from preview.base.progress import counted, listening
from preview.filling.layout import lay_out
from preview.filling.wanted import Wanted
from preview.forge.draws import likely
from preview.job.job import Job
from preview.pipeline import preview
from preview.sheets.sheets import sheet_pdf
from preview.trials.trials import TrialGrinds, try_grinds


def test_loops_go_on_whether_somebody_listens_or_not():
    heard = []
    assert list(counted("looks", "abc")) == ["a", "b", "c"]
    with listening(lambda what, done: heard.append((what, round(done, 2)))):
        assert list(counted("looks", "abc")) == ["a", "b", "c"]
        assert list(counted("nothing", ())) == []
    assert heard == [("looks", 0.0), ("looks", 0.33), ("looks", 0.67), ("looks", 1.0), ("nothing", 1.0)]
    assert list(counted("looks", "abc")) == ["a", "b", "c"]
    assert len(heard) == 5


class Stopped(Exception):
    """What a listener raises who wants the work to stop."""


LONG: dict[str, Callable[[Job], object]] = {
    "preview": lambda job: preview(job).numbers,
    "layout": lambda job: lay_out(job, Wanted(picture=job.picture_path)),
    "likely": lambda job: likely(job, draws=6, width=200),
    "trials": lambda job: try_grinds(job, TrialGrinds(heights=(10.0, 12.0)), width=200),
    "sheet": lambda job: sheet_pdf(job, "shop"),
}


@pytest.fixture
def forget(monkeypatch):
    """Return what lets nothing that was worked out before be at hand."""
    monkeypatch.setattr(cache, "_FINDERS", [])

    def forget() -> None:
        empty = Cache()
        find_caches_by(lambda: empty)

    return forget


@pytest.mark.parametrize("work", LONG.values(), ids=LONG.keys())
def test_who_listens_can_stop_the_work_wherever_it_stands(make, forget, work):
    """The words by which a person may know what is worked on; each is a place where it can be stopped."""
    job = make(blade={"outline": {"length": 120}})
    told = []
    forget()
    with listening(lambda *now: told.append(now[0])):
        work(job)
    assert {"reading the picture", "tabulating the forging"} <= set(told)
    assert len(told) > 8
    for last in (0, len(told) // 2):

        def stop(*now: object, last: int = last) -> None:
            told.append(now)
            if len(told) > last:
                raise Stopped

        told.clear()
        forget()
        with pytest.raises(Stopped), listening(stop):
            work(job)
        assert len(told) == last + 1


def test_blocks_that_were_not_begun_are_left():
    begun = []

    def stop(*_: object) -> None:
        raise Stopped

    with pytest.raises(Stopped), listening(stop):
        in_row_blocks(lambda _: begun.append(np.sort(np.ones(100_000))), 100, 1 << 18)
    assert len(begun) < 100
    done = []
    in_row_blocks(lambda part: done.extend(range(part.start, part.stop)), 100, 1 << 18)
    assert sorted(done) == list(range(100))
