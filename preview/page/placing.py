"""A drawing laid over a picture: moved, sized and turned with mouse, finger and keys, or by numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import copysign, floor
from typing import Protocol

import streamlit as st

import preview
from preview.page.asking import ask, key, units
from preview.page.showing import data_url

FINE = 1
"""Decimals of a millimetre, and of a degree, that a hand on the screen sets."""


class Frame(Protocol):
    """The way between a picture (shares of its sides, rightwards and downwards) and what it shows (mm)."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the picture, mm."""

    def to_picture(self, first: float, second: float, /) -> tuple[float, float]:
        """Return where a place lies on the picture."""

    def from_picture(self, right: float, down: float, /) -> tuple[float, float]:
        """Return the place at a spot of the picture."""


@dataclass(frozen=True)
class Place:
    """Where a drawing stands.

    Parameters
    ----------
    at
        Its middle, in the frame of what it is laid on, mm.
    width
        Its width, mm.
    turn
        Degrees it is turned counter-clockwise, as seen on the picture.
    """

    at: tuple[float, float]
    width: float
    turn: float


def shares_of(frame: Frame, place: Place) -> tuple[float, float, float, float]:
    """Return a place as the screen has it: middle in shares of the picture's sides, width in shares of its width."""
    return (*frame.to_picture(*place.at), place.width / frame.size[0], place.turn)


def place_at(frame: Frame, right: float, down: float, width: float, turn: float) -> Place:
    """Return the place that the screen tells; undoes `shares_of`, but for what is finer than a hand can set."""
    first, second = frame.from_picture(right, down)
    turned = (turn + 180) % 360 - 180
    return Place(
        (round(first, FINE), round(second, FINE)), round(width * frame.size[0], FINE), round(turned, FINE)
    )  # fmt: skip


def kept_inside(place: Place, wide: float, room: tuple[float, float]) -> Place:
    """Return the place nearest to ``place`` at which a drawing lies wholly inside ``room``.

    Parameters
    ----------
    place
        Where it is wanted, from the room's middle.
    wide
        Its width over its height.
    room
        Width and height, mm.
    """
    most, _ = preview.fitted_size((wide, 1), room, place.turn)
    width = place.width if place.width <= most else _down(most)
    box = preview.box_of((width, width / wide), place.turn)
    first, second = (
        at if abs(at) <= (space - side) / 2 else copysign(_down((space - side) / 2), at)
        for at, space, side in zip(place.at, room, box, strict=True)
    )
    return replace(place, at=(first, second), width=width)


def _down(number: float) -> float:
    """Return the largest number of no more than `FINE` decimals that is not above a positive one."""
    steps = 10.0**FINE
    return max(0.0, floor(number * steps + 1e-6) / steps)


PLACING = st.components.v2.component(
    "placing",
    html="""<div class="stage"><div class="sheet"><img class="ground">
<div class="drawing" tabindex="0" role="application"><img alt=""></div>
<span class="handle turn"></span>
<span class="handle corner"></span><span class="handle corner"></span>
<span class="handle corner"></span><span class="handle corner"></span></div></div>
<label><span></span><input type="range" min="0" max="100"></label>""",
    css="""
.stage { padding: 14px; overflow: hidden; background: #80808018; border-radius: 6px; }
.sheet { position: relative; line-height: 0; margin: 0 auto; max-width: calc(var(--most) / var(--tall)); }
.ground { width: 100%; user-select: none; pointer-events: none; }
.drawing { position: absolute; box-sizing: border-box; touch-action: none; cursor: move; outline: 2px solid #ff7a2f; }
.drawing img { width: 100%; height: 100%; user-select: none; pointer-events: none; }
.drawing:focus-visible { outline: 4px solid var(--st-primary-color); outline-offset: 1px; }
.handle { position: absolute; width: 28px; height: 28px; margin: -14px 0 0 -14px; touch-action: none; }
.handle::after { content: ""; position: absolute; inset: 7px; background: #fff; border: 2px solid #c2500f;
  box-sizing: border-box; }
.turn { cursor: grab; }
.turn::after { border-radius: 50%; background: #ff7a2f; }
@media (pointer: coarse) { .handle { width: 36px; height: 36px; margin: -18px 0 0 -18px; }
  .handle::after { inset: 10px; } }
label { display: flex; gap: 1rem; align-items: center; margin: 0.4rem 0 0; font: 0.875rem var(--st-font);
  color: var(--st-text-color); }
input { flex: 1; min-width: 4rem; accent-color: var(--st-primary-color); }
""",
    js="""
export default function({ data, parentElement, setTriggerValue }) {
  const find = name => parentElement.querySelector(name);
  const sheet = find(".sheet"), ground = find(".ground"), drawing = find(".drawing"), turner = find(".turn");
  const corners = [...parentElement.querySelectorAll(".corner")], strength = find("input");
  const picture = drawing.firstElementChild;
  const { mm, tall, wide } = data;  // a millimetre and the picture's height, in its widths; the drawing's proportions
  // what outlasts a run of the page: the place (x, y, width in the picture's widths; turn), how often it was told
  const held = sheet.held ||= { told: 0, place: null, before: null, drag: null, timer: null };
  if (data.told >= held.told && !held.drag && !held.timer) {
    const [right, down, width, turn] = data.place;
    held.place = { x: right, y: down * tall, width, turn };
    held.told = data.told;
  }
  ground.src = data.picture;
  ground.alt = data.alt;
  picture.src = data.drawing;
  sheet.style.setProperty("--tall", tall);
  sheet.style.setProperty("--most", data.most + "vh");
  find("label span").textContent = "How strongly " + data.name + " is laid over";
  drawing.setAttribute("aria-label", data.name + ". Arrow keys move it, with Shift ten times as far; plus and minus"
    + " size it; square brackets turn it; Escape takes the change back.");

  const turned = (x, y, turn) => {  // counter-clockwise, y downwards
    const c = Math.cos(turn * Math.PI / 180), s = Math.sin(turn * Math.PI / 180);
    return [x * c + y * s, y * c - x * s];
  };
  const signs = [[-1, -1], [1, -1], [1, 1], [-1, 1]];
  const corner = ([across, over], { x, y, width, turn }) => {
    const [dx, dy] = turned(across * width / 2, over * width / wide / 2, turn);
    return [x + dx, y + dy];
  };
  const draw = () => {
    const { x, y, width, turn } = held.place, pixels = sheet.clientWidth;
    if (!pixels) return;
    Object.assign(drawing.style, { left: 100 * x + "%", top: 100 * y / tall + "%", width: 100 * width + "%",
      aspectRatio: wide, transform: `translate(-50%, -50%) rotate(${-turn}deg)` });
    const put = (handle, dx, dy, least) => {  // never too near the middle to be told apart, never out of reach
      const far = Math.max(1, least / (pixels * Math.hypot(dx, dy))), rim = 6;
      const within = (place, room) => Math.min(room + rim, Math.max(-rim, place));
      handle.style.left = within((x + far * dx) * pixels, pixels) + "px";
      handle.style.top = within((y + far * dy) * pixels, pixels * tall) + "px";
    };
    corners.forEach((each, n) => {
      const [cx, cy] = corner(signs[n], held.place);
      put(each, cx - x, cy - y, 34);
      each.style.cursor = (n % 2 ? "nesw" : "nwse") + "-resize";
    });
    put(turner, ...turned(0, -(width / wide / 2 + 30 / pixels), turn), 50);
  };
  held.draw = draw;
  held.watch ||= new ResizeObserver(() => held.draw());
  held.watch.observe(sheet);
  strength.oninput = () => { picture.style.opacity = strength.value / 100; };
  if (held.strength !== data.strength) {
    held.strength = strength.value = data.strength;
    strength.oninput();
  }

  const tell = () => {
    clearTimeout(held.timer);
    held.timer = null;
    const { x, y, width, turn } = held.place;
    held.told += 1;
    setTriggerValue("placed", [x, y / tall, width, turn, held.told]);
  };
  const change = (from, wanted) => {
    const bounded = (value, low, high) => Math.min(high, Math.max(low, value));
    const next = { ...from, ...wanted };
    const [top, foot] = data.span.map(each => each * tall);
    held.place = { x: bounded(next.x, 0, 1), y: bounded(next.y, top, foot), width: bounded(next.width, mm, 4),
      turn: next.turn };
    draw();
  };
  const back = () => {
    held.drag = null;
    if (!held.before) return;
    held.place = held.before;
    held.before = null;
    draw();
    tell();
  };

  const spot = event => {
    const box = sheet.getBoundingClientRect();
    return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.width];
  };
  const drags = {
    move: (from, [px, py], [qx, qy]) => ({ x: from.x + qx - px, y: from.y + qy - py }),
    turn: (from, [px, py], [qx, qy]) => {
      const angle = (x, y) => Math.atan2(from.y - y, x - from.x) * 180 / Math.PI;
      return { turn: from.turn + angle(qx, qy) - angle(px, py) };
    },
    size: sign => (from, [px, py], [qx, qy]) => {  // the corner across from it stays
      const [cx, cy] = corner(sign, from), [ax, ay] = corner(sign.map(each => -each), from);
      const [dx, dy] = [cx - ax, cy - ay];
      const grown = 1 + ((qx - px) * dx + (qy - py) * dy) / (dx * dx + dy * dy);
      const width = Math.min(4, Math.max(mm, from.width * grown)), scale = width / from.width / 2;
      return { x: ax + scale * dx, y: ay + scale * dy, width };
    },
  };
  const draggable = (node, act) => {
    node.onpointerdown = event => {
      if (event.button || held.drag) return;
      event.preventDefault();
      node.setPointerCapture(event.pointerId);
      drawing.focus({ preventScroll: true });
      held.before = held.place;
      held.drag = { spot: spot(event), moved: false };
    };
    node.onpointermove = event => {
      if (!held.drag || !node.hasPointerCapture(event.pointerId)) return;
      held.drag.moved = true;
      change(held.before, act(held.before, held.drag.spot, spot(event)));
    };
    node.onpointerup = () => {
      const moved = held.drag && held.drag.moved;
      held.drag = null;
      if (moved) tell();
    };
    node.onpointercancel = () => {
      if (!held.drag) return;
      held.drag = null;
      held.place = held.before;
      draw();
    };
  };
  draggable(drawing, drags.move);
  draggable(turner, drags.turn);
  corners.forEach((each, n) => draggable(each, drags.size(signs[n])));

  const steps = {
    ArrowLeft: ({ x }, far) => ({ x: x - far }), ArrowRight: ({ x }, far) => ({ x: x + far }),
    ArrowUp: ({ y }, far) => ({ y: y - far }), ArrowDown: ({ y }, far) => ({ y: y + far }),
    "+": ({ width }) => ({ width: width + mm }), "-": ({ width }) => ({ width: width - mm }),
    "[": ({ turn }) => ({ turn: turn + 1 }), "]": ({ turn }) => ({ turn: turn - 1 }),
  };
  drawing.onkeydown = event => {
    if (event.key === "Escape") {
      event.preventDefault();
      return back();
    }
    if (!(event.key in steps) || ((event.ctrlKey || event.metaKey) && !event.getModifierState("AltGraph"))) return;
    event.preventDefault();
    event.stopPropagation();
    if (!held.timer) held.before = held.place;
    change(held.place, steps[event.key](held.place, (event.shiftKey ? 10 : 1) * mm / 2));
    clearTimeout(held.timer);
    held.timer = setTimeout(tell, 400);  // told once for a run of key strokes
  };
  drawing.onblur = () => { if (held.timer) tell(); };
  draw();
}
""",
)


KEYS = (
    "Drag it, its corners, or the round handle that turns it; or type. Keys: arrows move it (with Shift ten times as "
    "far), + and - size it, [ and ] turn it, Esc takes the change back."
)


@dataclass(frozen=True)
class Placing:
    """A drawing that is being placed, on the screen or by numbers, which are one.

    Parameters
    ----------
    name
        What the widgets are kept by.
    frame
        The way between the picture it is placed on and what that shows.
    place
        Where it stands.
    moved
        Called with the new place, before the page runs.
    labels
        What its middle's two numbers are called.
    bound
        Gives, for a place that is asked for, the one nearest to it that can be had.
    """

    name: str
    frame: Frame
    place: Place
    moved: Callable[[Place], None]
    labels: tuple[str, str]
    bound: Callable[[Place], Place] = lambda place: place

    @property
    def _told(self) -> str:
        """Key of how often the screen has told a place."""
        return f"{key(self.name)} told"

    def on_picture(
        self,
        pictures: tuple[bytes, bytes],
        words: tuple[str, str],
        wide: float,
        *,
        span: tuple[float, float] = (0.0, 1.0),
        strength: int = 70,
        most: int = 62,
    ) -> None:
        """Show the picture (JPEG) with the drawing (PNG) over it, to be moved, sized and turned there.

        Parameters
        ----------
        pictures, words
            Picture and drawing, and what they are.
        wide
            Width over height of the drawing as it is laid.
        span
            Shares of the picture's height that the drawing's middle stays between.
        strength
            How opaque the drawing is at first, per cent.
        most
            Height that the picture has at most, per cent of the window's.
        """
        stage, width = key(self.name), self.frame.size[0]

        def on_screen() -> None:
            placed = st.session_state[stage].get("placed")
            if placed:
                *shares, st.session_state[self._told] = placed
                self.moved(self.bound(place_at(self.frame, *shares)))

        PLACING(
            data={
                "picture": data_url(pictures[0], "jpeg"), "drawing": data_url(pictures[1], "png"), "alt": words[0],
                "name": words[1], "place": shares_of(self.frame, self.place), "mm": 1 / width, "wide": wide,
                "tall": self.frame.size[1] / width, "told": st.session_state.setdefault(self._told, 0), "span": span,
                "strength": strength, "most": most,
            },
            key=stage, on_placed_change=on_screen,
        )  # fmt: skip

    def by_numbers(self) -> None:
        """Show the place in numbers that can be typed."""
        place, told = self.place, st.session_state.setdefault(self._told, 0)
        first, second = place.at
        numbers = (
            (self.labels[0], first, "mm", 1.0, None, lambda typed: replace(place, at=(typed, second))),
            (self.labels[1], second, "mm", 1.0, None, lambda typed: replace(place, at=(first, typed))),
            ("Its width", place.width, "mm", 1.0, min(1.0, place.width), lambda typed: replace(place, width=typed)),
            ("Turned", place.turn, "°", 5.0, None, lambda typed: replace(place, turn=typed)),
        )
        for column, (label, value, unit, step, least, change) in zip(st.columns(4), numbers, strict=True):
            # what the screen has told is shown by new widgets; what is typed stays in its own
            widget_key = key(self.name, label, told)
            ask(
                column, label, value, widget_key, unit=unit, step=step, min_value=least,
                on_change=self._typed, args=(widget_key, unit, change),
            )  # fmt: skip
        st.caption(KEYS)

    def _typed(self, widget_key: str, unit: str, change: Callable[[float], Place]) -> None:
        number = st.session_state[widget_key]
        if number is None:
            return
        asked = change(units().kept(float(number), unit))
        place = self.bound(asked)
        self.moved(place)
        if place != asked:  # what was typed is not what is had: the numbers start anew
            st.session_state[self._told] += 1
