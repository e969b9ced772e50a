"""A box for a number is set where it has to be, and no more."""

from __future__ import annotations

import pytest

from preview.page.boxes import all_arrived, is_echo, set_box


class _State(dict):
    """A session's state, and each thing that it was set to by name."""

    def __init__(self):
        super().__init__()
        self.said = []

    def __setitem__(self, name, value):
        self.said.append((name, value))
        super().__setitem__(name, value)

    __getattr__ = dict.__getitem__

    def __setattr__(self, name, value):
        super().__setattr__(name, value) if name == "said" else super().__setitem__(name, value)


LOOK = (1.0, 46.0, 0.1)


@pytest.fixture
def state(monkeypatch):
    made = _State()
    monkeypatch.setattr("streamlit.session_state", made)
    return made


def test_it_is_set_once(state):
    set_box("height", 5.5, LOOK)
    all_arrived()
    set_box("height", 5.5, LOOK)
    assert state.said.count(("height", 5.5)) == 1


def test_it_is_set_anew_where_the_run_that_set_it_was_left(state):
    """Else the browser keeps what it showed before: the message that sets it goes with the run."""
    set_box("height", 5.6, LOOK)  # left
    set_box("height", 5.6, LOOK)
    all_arrived()
    set_box("height", 5.6, LOOK)
    assert state.said.count(("height", 5.6)) == 2


def test_it_is_set_anew_where_its_bounds_change(state):
    """To Streamlit it is a new one then, which shows its least."""
    set_box("height", 5.5, LOOK)
    all_arrived()
    set_box("height", 5.5, (1.0, 40.0, 0.1))
    assert state.said.count(("height", 5.5)) == 2


def test_what_it_showed_before_is_an_echo_only_beside_what_a_slider_says(state):
    set_box("height", 5.5, LOOK)
    set_box("height", 5.6, LOOK)
    assert not is_echo("height", 5.5)
    state["slider_told"] = True
    assert is_echo("height", 5.5)
    assert not is_echo("height", 7.0)
    assert not is_echo("width", 5.5)
