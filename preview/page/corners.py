"""The board on which the corners of something flat are set, on its photograph: what follows the finger, in the browser.

It is given, and tells back when the hand lets go, four corners (upper left, upper right, lower right, lower left), each
rightwards and downwards in shares of the photograph; see `preview.page.four_corners`.
"""

from __future__ import annotations

import streamlit as st

from preview.page.hand import HAND_CSS, HAND_JS

CORNERS_BOARD = st.components.v2.component(
    "corners_board",
    html="""<div class="stage"><div class="sheet"><img class="ground">
<svg class="over"><path class="off" fill-rule="evenodd"/><polygon class="sides"/></svg>
<span class="handle corner" tabindex="0" role="application"></span>
<span class="handle corner" tabindex="0" role="application"></span>
<span class="handle corner" tabindex="0" role="application"></span>
<span class="handle corner" tabindex="0" role="application"></span>
<svg class="loupe"><image preserveAspectRatio="none"/><polygon class="sides"/></svg></div></div>""",
    css=HAND_CSS
    + """
.stage { padding: 18px; }
.over { position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; pointer-events: none; }
.off { fill: #0007; }
.sides { fill: none; stroke: #ff7a2f; stroke-width: 2px; vector-effect: non-scaling-stroke; stroke-linejoin: round; }
.crossed .sides { stroke: #d00000; stroke-dasharray: 6 4; }
.crossed .off { display: none; }
.corner { cursor: grab; outline: none; }
.corner::after { inset: 3px; border-radius: 50%; background: none; border: 3px solid #ff7a2f;
  box-shadow: 0 0 0 1px #fffc, inset 0 0 0 1px #fffc; }
.corner:focus-visible::after { border-color: var(--st-primary-color); border-width: 5px; }
@media (pointer: coarse) { .handle { width: 44px; height: 44px; margin: -22px 0 0 -22px; }
  .corner::after { inset: 9px; } }
.loupe { position: absolute; width: 112px; height: 112px; margin: -56px 0 0 -56px; display: none; background: #000;
  border: 3px solid #fff; box-shadow: 0 1px 8px #000a; border-radius: 50%; box-sizing: border-box;
  pointer-events: none; }
""",
    js=HAND_JS
    + """
export default function({ data, parentElement, setTriggerValue }) {
  const { tall } = data, names = ["Upper left", "Upper right", "Lower right", "Lower left"];
  const find = name => parentElement.querySelector(name), all = name => [...parentElement.querySelectorAll(name)];
  const handles = all(".corner"), loupe = find(".loupe"), enlarged = 3, size = 112, rim = 6;
  find(".over").setAttribute("viewBox", `0 0 1 ${tall}`);
  const photo = find("image");
  photo.setAttribute("href", data.picture);
  photo.setAttribute("width", 1);
  photo.setAttribute("height", tall);
  handles.forEach((each, n) => each.setAttribute("aria-label", names[n]
    + " corner of " + data.thing + ". Arrow keys move it, with Shift ten times as far; Escape takes the change back."));

  const crossed = corners => corners.some(([x, y], n) => {
    const [[ax, ay], [bx, by]] = [corners[(n + 1) % 4], corners[(n + 2) % 4]];
    return (ax - x) * (by - ay) - (ay - y) * (bx - ax) <= 0;
  });
  const draw = (corners, pixels, drag) => {
    const places = corners.map(([x, y]) => [x, y * tall]);
    all(".sides").forEach(each => each.setAttribute("points", places.join(" ")));
    find(".off").setAttribute("d", `M0 0H1V${tall}H0Z M${places.map(each => each.join(" ")).join("L")}Z`);
    find(".stage").classList.toggle("crossed", crossed(corners));
    places.forEach(([x, y], n) => {
      handles[n].style.left = bounded(x * pixels, -rim, pixels + rim) + "px";
      handles[n].style.top = bounded(y * pixels, -rim, tall * pixels + rim) + "px";
    });
    // beside the corner in hand, towards the middle of the photograph, where no finger lies
    const lifted = handles.findIndex(each => drag ? each === drag.node : each.matches(":focus-visible"));
    loupe.style.display = lifted < 0 ? "none" : "block";
    if (lifted < 0) return;
    const [x, y] = places[lifted], seen = size / enlarged / pixels;
    loupe.setAttribute("viewBox", `${x - seen / 2} ${y - seen / 2} ${seen} ${seen}`);
    loupe.style.left = x * pixels + (x < 0.5 ? 1 : -1) * 0.9 * size + "px";
    loupe.style.top = bounded(y * pixels - size / 2, size / 2, tall * pixels - size / 2) + "px";
  };

  const { draggable, keyed } = inHand({
    parentElement, data, draw, place: data.place,
    tell: (corners, told) => setTriggerValue("placed", [...corners, told]),
  });
  const moved = (corners, n, right, down) => {  // as far as the hand sees
    const beyond = rim / (find(".sheet").clientWidth || 1), [x, y] = corners[n];
    return corners.with(n, [bounded(x + right, -beyond, 1 + beyond),
      bounded(y + down, -beyond / tall, 1 + beyond / tall)]);
  };
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  handles.forEach((each, n) => {
    draggable(each, (from, [px, py], [qx, qy]) => moved(from, n, qx - px, (qy - py) / tall));
    keyed(each, (corners, key, times) =>
      key in steps && moved(corners, n, ...steps[key].map(way => way * times / 1000)));
  });
}
""",
)
