"""The board that a drawing is placed on: what follows the finger, in the browser.

It is given, and tells back when the hand lets go, a place in shares of the picture's sides; see `preview.page.placing`.
"""

from __future__ import annotations

import streamlit as st

from preview.page.hand import HAND_CSS, HAND_JS

BOARD = st.components.v2.component(
    "board",
    html="""<div class="stage"><div class="sheet"><img class="ground">
<div class="drawing" tabindex="0" role="application"><img alt=""></div>
<span class="handle turn"></span>
<span class="handle corner"></span><span class="handle corner"></span>
<span class="handle corner"></span><span class="handle corner"></span></div></div>
<label><span></span><input type="range" min="0" max="100"></label>""",
    css=HAND_CSS
    + """
.drawing { position: absolute; box-sizing: border-box; touch-action: none; cursor: move; outline: 2px solid #ff7a2f; }
.drawing img { width: 100%; height: 100%; user-select: none; pointer-events: none; }
.drawing:focus-visible { outline: 4px solid var(--st-primary-color); outline-offset: 1px; }
.turn { cursor: grab; }
.turn::after { border-radius: 50%; background: #ff7a2f; }
label { display: flex; gap: 1rem; align-items: center; margin: 0.4rem 0 0; font: 0.875rem var(--st-font);
  color: var(--st-text-color); }
input { flex: 1; min-width: 4rem; accent-color: var(--st-primary-color); }
""",
    js=HAND_JS
    + """
export default function({ data, parentElement, setTriggerValue }) {
  const find = name => parentElement.querySelector(name);
  const sheet = find(".sheet"), drawing = find(".drawing"), turner = find(".turn"), strength = find("input");
  const corners = [...parentElement.querySelectorAll(".corner")];
  const picture = drawing.firstElementChild;
  const { mm, tall, wide } = data;  // a millimetre and the picture's height, in its widths; the drawing's proportions
  picture.src = data.drawing;
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
  const draw = (place, pixels) => {
    const { x, y, width, turn } = place;
    Object.assign(drawing.style, { left: 100 * x + "%", top: 100 * y / tall + "%", width: 100 * width + "%",
      aspectRatio: wide, transform: `translate(-50%, -50%) rotate(${-turn}deg)` });
    const put = (handle, dx, dy, least) => {  // never too near the middle to be told apart, never out of reach
      const far = Math.max(1, least / (pixels * Math.hypot(dx, dy))), rim = 6;
      handle.style.left = bounded((x + far * dx) * pixels, -rim, pixels + rim) + "px";
      handle.style.top = bounded((y + far * dy) * pixels, -rim, pixels * tall + rim) + "px";
    };
    corners.forEach((each, n) => {
      const [cx, cy] = corner(signs[n], place);
      put(each, cx - x, cy - y, 34);
      each.style.cursor = (n % 2 ? "nesw" : "nwse") + "-resize";
    });
    put(turner, ...turned(0, -(width / wide / 2 + 30 / pixels), turn), 50);
  };
  strength.oninput = () => { picture.style.opacity = strength.value / 100; };
  if (sheet.strength !== data.strength) {
    sheet.strength = strength.value = data.strength;
    strength.oninput();
  }

  const [right, down, width, turn] = data.place;
  const [top, foot] = data.span.map(each => each * tall);
  const { draggable, keyed } = inHand({
    parentElement, data, draw,
    place: { x: right, y: down * tall, width, turn },  // in the picture's widths
    within: place => ({ ...place, x: bounded(place.x, 0, 1), y: bounded(place.y, top, foot),
      width: bounded(place.width, mm, 4) }),
    tell: ({ x, y, width, turn }, told) => setTriggerValue("placed", [x, y / tall, width, turn, told]),
  });
  draggable(drawing, (from, [px, py], [qx, qy]) => ({ ...from, x: from.x + qx - px, y: from.y + qy - py }));
  draggable(turner, (from, [px, py], [qx, qy]) => {
    const angle = (x, y) => Math.atan2(from.y - y, x - from.x) * 180 / Math.PI;
    return { ...from, turn: from.turn + angle(qx, qy) - angle(px, py) };
  }, drawing);
  const sized = sign => (from, [px, py], [qx, qy]) => {  // the corner across from it stays
    const [cx, cy] = corner(sign, from), [ax, ay] = corner(sign.map(each => -each), from);
    const [dx, dy] = [cx - ax, cy - ay];
    const grown = 1 + ((qx - px) * dx + (qy - py) * dy) / (dx * dx + dy * dy);
    const width = bounded(from.width * grown, mm, 4), scale = width / from.width / 2;
    return { ...from, x: ax + scale * dx, y: ay + scale * dy, width };
  };
  corners.forEach((each, n) => draggable(each, sized(signs[n]), drawing));

  const steps = {
    ArrowLeft: ({ x }, far) => ({ x: x - far }), ArrowRight: ({ x }, far) => ({ x: x + far }),
    ArrowUp: ({ y }, far) => ({ y: y - far }), ArrowDown: ({ y }, far) => ({ y: y + far }),
    "+": ({ width }) => ({ width: width + mm }), "-": ({ width }) => ({ width: width - mm }),
    "[": ({ turn }) => ({ turn: turn + 1 }), "]": ({ turn }) => ({ turn: turn - 1 }),
  };
  keyed(drawing, (place, key, times) => key in steps && { ...place, ...steps[key](place, times * mm / 2) });
}
""",
)
