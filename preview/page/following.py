"""The blade follows a slider while it moves, in quick pictures: one asked for at a time, and always the newest number.

What is asked for goes past the bench, which would make all its controls anew: this is a run of its own, so small that
pictures come as quickly as they are worked out. The browser puts them in the blade's place, or where the picture stands
that follows this slider instead (`preview.page.sliding.Followed`); the sharp one comes with the bench, once the slider
is let go, and is the page's as any other.
"""

from __future__ import annotations

import contextlib
from typing import Any

import streamlit as st

import preview
from preview.page.checking import judge
from preview.page.laying import blade_in_sight
from preview.page.looking import picture_ahead
from preview.page.nets import last_net
from preview.page.showing import ahead
from preview.page.sliding import MOVES, Followed, followed_by, hear_slider
from preview.page.turns import hear_change

FOLLOWER = st.components.v2.component(
    "follower",
    html="<span hidden></span>",
    js="""
const LOST = 5000;  // ms after which an answer is waited for no longer
export default function({ data, parentElement, setTriggerValue }) {
  const place = parentElement.querySelector("span");
  // what outlasts a run of the page: the number that waits, how many were asked for and answered, whether one moves
  const held = place.held ||= { waits: null, asked: data.answered, answered: data.answered, since: 0, moving: false };
  held.ask = () => {
    const busy = held.answered < held.asked && performance.now() - held.since < LOST;
    if (!held.waits || busy) return;
    held.asked += 1;
    held.since = performance.now();
    setTriggerValue("moved", [...held.waits, held.asked]);
    held.waits = null;
  };
  held.hear = said => {
    Object.assign(held, { waits: said, moving: said !== null });
    held.ask();
  };
  if (!held.listens) {
    held.listens = event => held.hear(event.detail);
    document.addEventListener(data.moves, held.listens);
  }
  if (data.answered > held.answered) {
    held.answered = data.answered;
    const shown = document.querySelector(`.st-key-${data.place} [data-testid=stImage] img`);
    if (data.picture && held.moving && shown) shown.src = data.picture;
    held.ask();
  }
  return () => { document.removeEventListener(data.moves, held.listens); held.listens = null; };
}
""",
)

_KEY = "follower"


@st.fragment
def follow_sliders() -> None:
    """Let the blade, or what else is to, follow whichever slider is moved."""
    with last_net():
        FOLLOWER(data={"moves": MOVES, **_answer()}, key=_KEY, on_moved_change=_hear)


def _hear() -> None:
    moved = st.session_state[_KEY].get("moved")
    if moved:
        *said, asked = moved
        news = hear_slider(*said)
        if news:
            hear_change(moving=True)
        st.session_state.follow = asked, said[0] if news else None


def _answer() -> dict[str, Any]:
    """Return the number of what was asked for, and a picture with its place where there is news."""
    st.session_state.pop("slider_told", None)
    asked, name = st.session_state.get("follow", (0, None))
    st.session_state.follow = asked, None
    answer: dict[str, Any] = {"answered": asked}
    followed = (followed_by(name) or _blade()) if name is not None else None
    if followed is not None:
        ahead()[followed.place] += 1
        with contextlib.suppress(preview.PreviewError):  # what is wrong is told once the slider is let go
            answer.update(place=followed.place, picture=followed.draw())
    return answer


def _blade() -> Followed | None:
    job = judge(st.session_state.table).job
    return None if job is None else Followed("faces", lambda: picture_ahead(blade_in_sight(job)))
