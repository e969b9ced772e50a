"""What a hand sets on a picture or by numbers, which are one: what all boards of the page have in common.

A board is a component in the browser. It is given a place, follows mouse, finger and keys by itself, and tells the
place back when the hand lets go. Each telling is numbered, so that what the page sends late does not undo what the hand
did since.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import streamlit as st

from preview.page.asking import ask, key, units

Place = TypeVar("Place")

HAND_CSS = """
.stage { padding: 14px; overflow: hidden; background: #80808018; border-radius: 6px; }
.sheet { position: relative; line-height: 0; margin: 0 auto; max-width: calc(var(--most) / var(--tall)); }
.ground { width: 100%; user-select: none; pointer-events: none; }
.handle { position: absolute; width: 28px; height: 28px; margin: -14px 0 0 -14px; touch-action: none; }
.handle::after { content: ""; position: absolute; inset: 7px; background: #fff; border: 2px solid #c2500f;
  box-sizing: border-box; }
@media (pointer: coarse) { .handle { width: 36px; height: 36px; margin: -18px 0 0 -18px; }
  .handle::after { inset: 10px; } }
"""

HAND_JS = """
const bounded = (value, low, high) => Math.min(high, Math.max(low, value));
// a sheet with something on it that is in hand: where it stands, how it is drawn, and who is told
const inHand = ({ parentElement, data, place, draw, tell: send, within = each => each }) => {
  const sheet = parentElement.querySelector(".sheet"), ground = parentElement.querySelector(".ground");
  ground.src = data.picture;
  ground.alt = data.alt;
  sheet.style.setProperty("--tall", data.tall);
  sheet.style.setProperty("--most", data.most + "vh");
  // what outlasts a run of the page: the place, how often it was told, what it was before
  const held = sheet.held ||= { told: 0, place: null, before: null, drag: null, timer: null };
  if (data.told >= held.told && !held.drag && !held.timer) {
    held.place = place;
    held.told = data.told;
  }
  const redraw = () => { if (sheet.clientWidth) draw(held.place, sheet.clientWidth, held.drag); };
  held.redraw = redraw;
  held.watch ||= new ResizeObserver(() => held.redraw());
  held.watch.observe(sheet);

  const tell = () => {
    clearTimeout(held.timer);
    held.timer = null;
    held.told += 1;
    send(held.place, held.told);
  };
  const change = next => {
    held.place = within(next);
    redraw();
  };
  const back = () => {
    held.drag = null;
    if (!held.before) return redraw();
    held.place = held.before;
    held.before = null;
    redraw();
    tell();
  };

  const spot = event => {  // in widths of the sheet
    const box = sheet.getBoundingClientRect();
    return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.width];
  };
  const draggable = (node, act, focused = node) => {
    node.onpointerdown = event => {
      if (event.button || held.drag) return;
      event.preventDefault();
      node.setPointerCapture(event.pointerId);
      focused.focus({ preventScroll: true });
      held.before = held.place;
      held.drag = { spot: spot(event), moved: false, node };
      redraw();
    };
    node.onpointermove = event => {
      if (!held.drag || !node.hasPointerCapture(event.pointerId)) return;
      held.drag.moved = true;
      change(act(held.before, held.drag.spot, spot(event)));
    };
    node.onpointerup = () => {
      const moved = held.drag && held.drag.moved;
      held.drag = null;
      redraw();
      if (moved) tell();
    };
    node.onpointercancel = () => {
      if (!held.drag) return;
      held.drag = null;
      held.place = held.before;
      redraw();
    };
  };
  const keyed = (node, act) => {
    node.onkeydown = event => {
      if (event.key === "Escape") {
        event.preventDefault();
        return back();
      }
      if ((event.ctrlKey || event.metaKey) && !event.getModifierState("AltGraph")) return;
      const next = act(held.place, event.key, event.shiftKey ? 10 : 1);
      if (!next) return;
      event.preventDefault();
      event.stopPropagation();
      if (!held.timer) held.before = held.place;
      change(next);
      clearTimeout(held.timer);
      held.timer = setTimeout(tell, 400);  // told once for a run of key strokes
    };
    node.onblur = () => {
      redraw();
      if (held.timer) tell();
    };
    node.onfocus = redraw;
  };
  redraw();
  return { draggable, keyed };
};
"""


@dataclass(frozen=True)
class Hand(Generic[Place]):
    """Something that a hand sets, on a board or by numbers.

    Parameters
    ----------
    name
        What the widgets are kept by.
    stands
        Says where it stands now.
    moved
        Called with the new place, before the page runs.
    """

    name: str
    stands: Callable[[], Place]
    moved: Callable[[Place], None]

    def kept(self, place: Place) -> Place:
        """Return the place nearest to one that is asked for that can be had."""
        return place

    @property
    def _told(self) -> str:
        """Key of how often a place has been told."""
        return f"{key(self.name)} told"

    @property
    def told(self) -> int:
        """How often a place has been told; once more where something else has moved it, so that all start anew."""
        place, last = self.stands(), f"{self._told} last"
        told = int(st.session_state.setdefault(self._told, 0))
        if st.session_state.setdefault(last, place) != place:
            st.session_state[self._told] = told = told + 1
            st.session_state[last] = place
        return told

    @property
    def typed(self) -> Place | None:
        """The place that was last typed, while it stands as near to that as it can be had."""
        asked: Place | None = st.session_state.get(f"{self._told} typed")
        return asked if asked is not None and self.kept(asked) == self.stands() else None

    def _move(self, asked: Place) -> None:
        """Let it stand where it is asked for, or as near as it can be had."""
        st.session_state.pop(f"{self._told} typed", None)
        self.moved(self.kept(asked))
        st.session_state[f"{self._told} last"] = asked

    def on_board(self, board: Any, data: dict[str, Any], read: Callable[[list[Any]], Place]) -> None:
        """Show a board.

        Parameters
        ----------
        board
            The component; tells ``placed``, a list whose last is the telling's number.
        data
            What it is given beside that number: ``picture`` (URL), ``alt``, ``tall`` (the picture's height in its
            widths), ``most`` (the height that it has at most, per cent of the window's), and what it needs of its own.
        read
            Makes a place of the rest of the list.
        """
        stage, told = key(self.name), self.told

        def on_screen() -> None:
            placed = st.session_state[stage].get("placed")
            if placed:
                *place, st.session_state[self._told] = placed
                self._move(read(place))

        board(data={**data, "told": told}, key=stage, on_placed_change=on_screen)

    def number(
        self, where: Any, label: str, value: float, change: Callable[[Place, float], Place], *, unit: str = "",
        **look: Any,
    ) -> None:  # fmt: skip
        """Show one of its numbers in ``where``, to be typed; ``change`` says what place a typed one makes."""
        # what the screen has told is shown by new widgets; what is typed stays in its own
        widget_key = key(self.name, label, self.told)
        ask(
            where, label, value, widget_key, unit=unit, on_change=self._typed, args=(widget_key, unit, change), **look
        )  # fmt: skip

    def _typed(self, widget_key: str, unit: str, change: Callable[[Place, float], Place]) -> None:
        number = st.session_state[widget_key]
        if number is None:
            return
        asked = change(self.stands(), units().kept(float(number), unit))
        self._move(asked)
        st.session_state[f"{self._told} typed"] = asked
