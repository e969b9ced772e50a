"""The board that a drawing is placed on: what follows the finger, in the browser.

It is given, and tells back when the hand lets go, a place in shares of the picture's sides; see `preview.page.placing`.
"""

from __future__ import annotations

import streamlit as st

BOARD = st.components.v2.component(
    "board",
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
