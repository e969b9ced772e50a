"""Turns: work in the order of its coming, what is left makes room, and how it is known that something newer waits."""

from __future__ import annotations

import time
from threading import Event, Thread
from types import SimpleNamespace

import pytest
from streamlit.runtime.scriptrunner import RerunData
from streamlit.runtime.scriptrunner_utils.script_requests import ScriptRequests

from preview.page import turns


class _Left(Exception):
    pass


def test_one_after_the_other_and_what_is_left_behind_makes_room():
    queue, done, goes_on, leaves = turns.Queue(), [], Event(), Event()
    served = Event()

    def first():
        with queue.turn():
            served.set()
            goes_on.wait(5)
            done.append("first")

    def second():
        def look():
            if leaves.is_set():
                raise _Left

        with pytest.raises(_Left), queue.turn(look):
            done.append("second")

    def third():
        with queue.turn():
            done.append("third")

    workers = [Thread(target=each) for each in (first, second, third)]
    workers[0].start()
    served.wait(5)
    for each in workers[1:]:
        each.start()
        time.sleep(0.05)  # so that they come in this order
    assert done == []
    leaves.set()
    workers[1].join(5)
    assert done == []
    goes_on.set()
    for each in workers:
        each.join(5)
    assert done == ["first", "third"]


@pytest.mark.parametrize("changes", [True, False])
def test_a_change_is_left_for_a_newer_one_and_what_a_button_asks_for_is_not(monkeypatch, changes):
    requests, state, begun = ScriptRequests(), SimpleNamespace(leaves=changes), []
    state.get = lambda name: getattr(state, name)
    context = SimpleNamespace(fragment_ids_this_run=["bench"], script_requests=requests)
    streamlit = SimpleNamespace(session_state=state, rerun=lambda scope: begun.append(scope))
    monkeypatch.setattr(turns, "get_script_run_ctx", lambda **_: context)
    monkeypatch.setattr(turns, "st", streamlit)
    turns.leave_for_newer()
    assert begun == []
    requests.request_rerun(RerunData(fragment_id="bench"))
    turns.leave_for_newer()
    assert begun == (["fragment"] if changes else [])
