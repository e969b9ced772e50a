from __future__ import annotations

from preview.base.progress import counted, listening


def test_loops_go_on_whether_somebody_listens_or_not():
    heard = []
    assert list(counted("looks", "abc")) == ["a", "b", "c"]
    with listening(lambda what, done: heard.append((what, round(done, 2)))):
        assert list(counted("looks", "abc")) == ["a", "b", "c"]
        assert list(counted("nothing", ())) == []
    assert heard == [("looks", 0.0), ("looks", 0.33), ("looks", 0.67), ("looks", 1.0), ("nothing", 1.0)]
    assert list(counted("looks", "abc")) == ["a", "b", "c"]
    assert len(heard) == 5
