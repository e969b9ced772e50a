"""The slider: a number set by hand, told while it moves and kept once the hand lets go.

It works in the browser. While it moves, each value goes to whoever listens on the page (`preview.page.following`), so
that the blade follows; let go, or still for a moment where keys moved it, it is told to the page, once for the whole
move. Streamlit's own slider tells nothing before it is let go.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

import streamlit as st

from preview.page.turns import hear_change

MOVES = "a slider moves"
"""Name of the event that tells the page what a slider says while it moves: name, number, time; None at the end."""


class Followed(NamedTuple):
    """What follows a slider while it moves, where that is not the blade.

    Parameters
    ----------
    place
        Key of the container in which its picture stands.
    draw
        Makes a quick picture of what is set now, and returns its URL.
    """

    place: str
    draw: Callable[[], str]


SLIDER = st.components.v2.component(
    "slider",
    html="""<label><span></span></label><div class="way"><input type="range" step="any">
<output aria-hidden="true"></output></div>""",
    css="""
label { display: block; font: 0.875rem/1.4 var(--st-font); color: var(--st-text-color); padding-bottom: 0.1rem; }
label:not(:has(span:not(:empty))) { display: none; }
.way { position: relative; height: 28px; --thumb: 20px; }
label:not(:has(span:not(:empty))) + .way { margin-top: -0.5rem; }  /* it belongs to the box above it */
input { appearance: none; -webkit-appearance: none; width: 100%; height: 100%; margin: 0; background: none;
  cursor: pointer; touch-action: pan-y; outline: none; }
.way::before { content: ""; position: absolute; left: 0; right: 0; top: calc(50% - 2px); height: 4px;
  border-radius: 2px; pointer-events: none; background: linear-gradient(to right, var(--st-primary-color) var(--there),
  color-mix(in srgb, var(--st-text-color) 45%, var(--st-background-color)) var(--there)); }
input::-webkit-slider-thumb { -webkit-appearance: none; width: var(--thumb); height: var(--thumb); border-radius: 50%;
  border: 3px solid var(--st-background-color); background: var(--st-primary-color); position: relative;
  box-shadow: 0 0 0 1px var(--st-primary-color); }
input::-moz-range-thumb { width: calc(var(--thumb) - 6px); height: calc(var(--thumb) - 6px); border-radius: 50%;
  border: 3px solid var(--st-background-color); background: var(--st-primary-color);
  box-shadow: 0 0 0 1px var(--st-primary-color); }
input:focus-visible { outline: 3px solid var(--st-primary-color); outline-offset: 1px; border-radius: 6px; }
input:disabled { cursor: default; }
.way:has(input:disabled) { opacity: 0.45; }
output { position: absolute; bottom: 100%; left: var(--at); transform: translateX(-50%); display: none;
  padding: 0.1rem 0.5rem; border-radius: 1rem; font: 0.875rem var(--st-font);
  background: var(--st-text-color); color: var(--st-background-color);
  white-space: nowrap; pointer-events: none; z-index: 9; }
.moving output { display: block; }
@media (pointer: coarse), (max-width: 768px) { .way { height: 44px; --thumb: 28px; } }
""",
    js="""
const STILL = 250;  // ms after the last stroke of a key until it is told
export default function({ data, parentElement, setTriggerValue }) {
  const input = parentElement.querySelector("input"), way = parentElement.querySelector(".way");
  const { low, high, step } = data;
  const bounded = value => Math.min(high, Math.max(low, value));
  const round = value => Number(value.toFixed(6));
  const written = value => (data.decimals === null ? String(value) : value.toFixed(data.decimals)) + data.unit;
  // what outlasts a run of the page: the number, what it was before the hand came, how often it was told
  if (way.held?.name !== data.name) way.held = { name: data.name, value: data.value, before: null, told: 0 };
  const held = way.held;

  const draw = () => {
    const share = high > low ? (held.value - low) / (high - low) : 0;
    way.style.setProperty("--there", 100 * share + "%");
    way.style.setProperty("--at", `calc(${share} * (100% - var(--thumb)) + var(--thumb) / 2)`);
    const moving = held.before !== null, box = document.querySelector(data.box);
    way.classList.toggle("moving", moving);
    if (box) box.style.opacity = moving ? 0.35 : "";  // it still has the number of before
    way.querySelector("output").textContent = input.ariaValueText = written(held.value);
    if (!held.down) input.value = held.value;
  };
  parentElement.querySelector("span").textContent = data.shown ? data.label : "";
  input.setAttribute("aria-label", data.label);
  if (data.told >= held.told && held.before === null) Object.assign(held, { value: data.value, told: data.told });
  Object.assign(input, { min: low, max: high, disabled: !(high > low) });
  draw();

  const stamp = () => performance.timeOrigin + performance.now();
  const say = what => document.dispatchEvent(new CustomEvent(data.moves, { detail: what }));
  const change = value => {
    if (value === held.value) return;
    held.before ??= held.value;
    held.value = value;
    draw();
    say([data.name, value, stamp()]);
  };
  const tell = () => {
    clearTimeout(held.timer);
    held.timer = null;
    if (held.before === null) return draw();
    say(null);
    held.before = null;
    held.told += 1;
    draw();
    setTriggerValue("kept", [held.value, held.told, stamp()]);
  };
  held.tell = tell;
  const back = () => {
    held.down = false;
    if (held.before === null) return draw();
    held.value = held.before;
    tell();
  };

  input.oninput = () => {
    if (held.left) return draw();  // taken back, while the finger is still on it
    const value = Number(input.value), inside = round(Math.round(value / step) * step);
    change(value >= high ? high : value <= low ? low : bounded(inside));
    if (!held.down) keep();  // a screen reader moved it
  };
  const keep = () => {
    clearTimeout(held.timer);
    held.timer = setTimeout(() => held.tell(), STILL);
  };
  input.onpointerdown = event => {
    if (event.button) return;
    if (held.timer) tell();
    held.down = true;
    held.left = false;
  };
  input.onpointerup = input.onchange = () => {
    if (held.timer) return;
    held.down = held.left = false;
    tell();
  };
  input.onpointercancel = back;  // the finger scrolls the page
  input.onblur = () => { if (held.timer) tell(); };
  const far = Math.max(step, round(Math.round((high - low) / 10 / step) * step));
  const next = (value, by) => round((Math.floor(value / by + 1e-6) + 1) * by);  // to round numbers, from wherever it is
  const keys = {
    ArrowRight: value => next(value, step), ArrowUp: value => next(value, step),
    ArrowLeft: value => next(value, -step), ArrowDown: value => next(value, -step),
    PageUp: value => round(value + far), PageDown: value => round(value - far), Home: () => low, End: () => high,
  };
  input.onkeydown = event => {
    if (event.key === "Escape" && held.before !== null) {
      event.preventDefault();
      held.left = held.down;
      return back();
    }
    if (!(event.key in keys) || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    change(bounded(keys[event.key](held.value)));
    keep();
  };
}
""",
)


def slide(
    label: str, value: float, widget_key: str, box_key: str, heard: Callable[[float], None], *, low: float, high: float,
    step: float, unit: str, decimals: int | None, named: bool, followed: Followed | None,
) -> None:  # fmt: skip
    """Show a slider; what it says once it is let go is ``heard``, before the page runs.

    Parameters
    ----------
    label
        What it sets; shown where it is to be ``named`` there, and told to screen readers.
    value, low, high, step
        Where it stands, its ends, and the steps between, all as they are shown.
    widget_key, box_key
        What it is kept by, and the box of the same number, which is greyed while it moves.
    unit, decimals
        How its number is written while it moves: with how many decimals, None for as many as it has.
    followed
        What follows it while it moves; None where it is the blade.
    """
    told = st.session_state.setdefault("slid", {})

    def on_kept() -> None:
        kept = st.session_state[widget_key].get("kept")
        if kept:
            value, st.session_state.slid[widget_key], at = kept
            hear_change()
            hear_slider(widget_key, value, at)

    data = {
        "label": label, "shown": named, "value": value, "low": low, "high": high, "step": step, "decimals": decimals,
        "unit": f"\u00a0{unit}" if unit else "", "name": widget_key, "moves": MOVES,
        "told": told.get(widget_key, 0), "box": ".st-key-" + re.sub("[^a-zA-Z0-9_-]", "-", box_key),
    }  # fmt: skip
    SLIDER(data=data, key=widget_key, on_kept_change=on_kept)
    st.session_state.setdefault("sliders", {})[widget_key] = heard, followed


def hear_slider(name: str, value: float, at: float) -> bool:
    """Hear what a slider says; return whether it is news.

    ``at`` is when it said so (the browser's clock, ms): what it said while it moved may come after what it said last.
    """
    st.session_state.slider_told = True
    known = st.session_state.get("sliders", {})
    if name not in known or at < st.session_state.get("slid_at", 0.0):
        return False
    st.session_state.slid_at = at
    heard, _ = known[name]
    heard(value)
    return True


def followed_by(name: str) -> Followed | None:
    """Return what follows a slider; None where it is the blade."""
    followed: Followed | None
    _, followed = st.session_state.get("sliders", {}).get(name, (None, None))
    return followed
