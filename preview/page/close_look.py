"""Looking close: the whole blade on the whole screen, nearer by wheel, fingers or keys, and beside what it was before.

It works in the browser, on the picture that stands on the page. The picture's fine pixels are fetched once they can be
seen.
"""

from __future__ import annotations

import streamlit as st

import preview
from preview.page.asking import units
from preview.page.looking import words_of
from preview.page.showing import data_url

FINE = 20.0
"""Pixels in a millimetre of the picture that is fetched once one looks close."""

VIEWER = st.components.v2.component(
    "close_look",
    html="""<div class="ways"><button class="open">Look close</button>
<button class="before" disabled>Before (hold)</button></div>
<img class="over" hidden alt="">
<dialog><div class="room" tabindex="0" role="application"></div><div class="ways">
<button class="nearer" aria-label="Nearer">+</button><button class="farther" aria-label="Farther">&minus;</button>
<button class="whole">Whole</button><button class="before" disabled>Before (hold)</button>
<button class="close">Close</button><span role="status"></span></div></dialog>""",
    css="""
.ways { display: flex; gap: 0.5rem; align-items: center; flex-wrap: wrap; }
button { min-height: 44px; min-width: 44px; padding: 0 0.8rem; font: 0.875rem var(--st-font); cursor: pointer;
  color: var(--st-text-color); background: var(--st-background-color); border: 1px solid var(--st-border-color);
  border-radius: var(--st-button-radius, 8px); touch-action: manipulation; user-select: none;
  -webkit-user-select: none; -webkit-touch-callout: none; }
button:hover:enabled, button:active:enabled { border-color: var(--st-primary-color); color: var(--st-primary-color); }
button:focus-visible { outline: 3px solid var(--st-primary-color); outline-offset: 1px; }
button:disabled { opacity: 0.45; cursor: default; }
.over { position: fixed; z-index: 20; pointer-events: none; border-radius: 4px; }
dialog { width: 100vw; height: 100vh; height: 100dvh; max-width: none; max-height: none; margin: 0; padding: 0;
  border: 0; background: #8b8a88; overflow: hidden; }
dialog .ways { position: absolute; right: 0.6rem; bottom: 0.6rem; left: 0.6rem; justify-content: center;
  pointer-events: none; }
dialog .ways > * { pointer-events: auto; }
dialog button { padding: 0 0.7rem; }
dialog .before:disabled { display: none; }  /* there would be the blade to be read through it */
dialog span { position: absolute; bottom: calc(100% + 0.4rem);
  background: #171614; color: #fff; border-radius: 1rem; padding: 0.2rem 0.7rem;
  font: 0.875rem var(--st-font); }
dialog span:empty { display: none; }
.room { position: absolute; inset: 0; overflow: hidden; touch-action: none; cursor: grab; outline-offset: -4px; }
.room:focus-visible { outline: 3px solid var(--st-primary-color); }
.room img { position: absolute; left: 0; top: 0; max-width: none; transform-origin: 0 0; user-select: none;
  pointer-events: none; }
""",
    js="""
export default function({ data, parentElement, setTriggerValue }) {
  const find = name => parentElement.querySelector(name);
  const dialog = find("dialog"), room = find(".room"), over = find(".over"), status = find("[role=status]");
  // what outlasts a run of the page: the pictures of now and before, where the eye is, fingers, what was asked for
  const held = dialog.held ||= { of: null, now: null, before: null, eye: null, fingers: new Map(), asked: null };
  held.data = data;
  const blade = () => {  // as a picture, or under the wanted picture on its board
    const faces = document.querySelector(".st-key-faces");
    const board = faces?.querySelector("[data-testid=stBidiComponentIsolated]")?.shadowRoot;
    return faces?.querySelector("[data-testid=stImage] img") || board?.querySelector("img.ground[src]");
  };
  const note = () => {
    const standing = blade();
    if (!standing) {  // what was worked out before comes so fast that it is not drawn yet
      held.waits = dialog.isConnected ? requestAnimationFrame(note) : null;
      return;
    }
    if (data.of !== held.of) {
      if (held.now) held.before = held.now;
      Object.assign(held, { of: data.of, fine: data.fine || null });
    }
    held.now = standing.src;
    for (const button of parentElement.querySelectorAll(".before")) button.disabled = !held.before;
  };
  cancelAnimationFrame(held.waits);
  for (const button of parentElement.querySelectorAll(".before")) button.hidden = !data.compares;
  note();
  room.setAttribute("aria-label", data.alt + " Plus and minus go nearer and farther, arrow keys move, 0 shows the"
    + " whole blade, " + (data.compares ? "B held down shows it as it was before, " : "") + "Escape closes.");

  // the eye: what lies in the middle of the room, in the picture's widths, and how many pixels the picture is wide
  const bounded = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));
  const tall = () => held.picture.naturalHeight / held.picture.naturalWidth;
  const free = () => [room.clientWidth, room.clientHeight - 60];  // above the buttons
  const upright = () => free()[1] > free()[0];  // where the room is, the picture stands so too, the upper face's tip up
  const sides = () => upright() ? free().reverse() : free();
  const whole = () => Math.min(sides()[0], sides()[1] / tall());
  const draw = () => {
    if (!held.picture?.naturalWidth || !room.clientWidth) return;
    held.eye ||= { x: 0.5, y: tall() / 2, wide: whole() };
    const { wide } = held.eye, half = sides().map(side => side / wide / 2);
    held.eye.x = half[0] >= 0.5 ? 0.5 : bounded(held.eye.x, half[0], 1 - half[0]);
    held.eye.y = 2 * half[1] >= tall() ? tall() / 2 : bounded(held.eye.y, half[1], tall() - half[1]);
    const middle = free().map(side => side / 2 + "px");
    Object.assign(held.picture.style, { width: wide + "px", transform: `translate(${middle})
      rotate(${upright() ? -90 : 0}deg) translate(${-held.eye.x * wide}px, ${-held.eye.y * wide}px)` });
    const own = wide * devicePixelRatio / (blade()?.naturalWidth || wide);
    if (own > 1.15 && !held.data.fine && held.asked !== held.of) {
      held.asked = held.of;
      status.textContent = "Drawing it finer …";
      setTriggerValue("fine", held.of);
    }
  };
  held.draw = draw;
  const along = (right, down) => upright() ? [-down, right] : [right, down];  // from the screen's to the picture's
  const spot = event => {
    const box = room.getBoundingClientRect(), [wide, high] = free();
    return along(event.clientX - box.left - wide / 2, event.clientY - box.top - high / 2);
  };
  const nearer = (times, there) => {  // what lies there stays there; by keys the upper face, or where one has moved to
    if (!held.eye) return;
    const { x, y, wide } = held.eye, aim = held.aim || { x: 0.5, y: tall() / 4 };
    const [right, down] = there || [(aim.x - x) * wide, (aim.y - y) * wide];
    const most = 2 * data.pixels / devicePixelRatio, next = bounded(wide * times, whole(), most);
    held.eye = { x: x + right / wide - right / next, y: y + down / wide - down / next, wide: next };
    draw();
    if (there) held.aim = { x: held.eye.x, y: held.eye.y };
  };
  const move = (right, down) => {
    if (!held.eye) return;
    held.eye.x -= right / held.eye.wide;
    held.eye.y -= down / held.eye.wide;
    draw();
    held.aim = { x: held.eye.x, y: held.eye.y };
  };
  const all = () => { held.eye = held.aim = null; draw(); };

  const put = async url => {  // the last one stays until the next one can be drawn
    const picture = new Image();
    picture.src = url;
    picture.alt = held.data.alt;
    held.wanted = url;
    await picture.decode().catch(() => null);
    if (held.wanted !== url || !dialog.open) return;
    const last = held.picture;
    held.picture = picture;
    if (last && Math.abs(last.naturalHeight / last.naturalWidth - tall()) > 0.02) held.eye = null;
    room.replaceChildren(picture);
    draw();
  };
  const sharpest = () => held.fine || held.now;
  held.fine = data.fine ? data.fine : null;
  if (dialog.open) {
    if (data.fine) status.textContent = "";
    if (!held.back) put(sharpest());
  }

  const back = on => {
    if (on === !!held.back || (on && !held.before)) return;
    held.back = on;
    if (dialog.open) return put(on ? held.before : sharpest());
    const place = blade();
    over.hidden = !on || !place;
    if (over.hidden) return;
    const box = place.getBoundingClientRect();
    over.src = held.before;
    Object.assign(over.style, { left: box.left + "px", top: box.top + "px", width: box.width + "px",
      height: box.height + "px" });
  };
  for (const button of parentElement.querySelectorAll(".before")) {
    button.onpointerdown = event => { button.setPointerCapture(event.pointerId); back(true); };
    button.onpointerup = button.onpointercancel = button.onblur = () => back(false);
    button.oncontextmenu = event => event.preventDefault();
    button.onkeydown = event => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      back(true);
    };
    button.onkeyup = () => back(false);
  }

  find(".open").onclick = () => {
    const picture = blade();
    if (!picture) return;
    held.now = picture.src;
    held.eye = held.aim = held.picture = null;
    dialog.showModal();
    room.focus();
    put(sharpest());
  };
  find(".close").onclick = () => dialog.close();
  find(".whole").onclick = all;
  find(".nearer").onclick = () => nearer(1.5);
  find(".farther").onclick = () => nearer(1 / 1.5);
  dialog.onclose = () => {
    back(false);
    held.fingers.clear();
    status.textContent = "";
    room.replaceChildren();
    if (held.asked) setTriggerValue("closed", held.of);
    held.asked = null;
    find(".open").focus({ preventScroll: true });
  };
  const far = 60;
  const keys = {
    "+": () => nearer(1.25), "=": () => nearer(1.25), "-": () => nearer(0.8), "0": all,
    ArrowLeft: () => move(...along(far, 0)), ArrowRight: () => move(...along(-far, 0)),
    ArrowUp: () => move(...along(0, far)), ArrowDown: () => move(...along(0, -far)),
    b: () => back(true), B: () => back(true),
  };
  dialog.onkeydown = event => {
    if (!(event.key in keys) || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    keys[event.key]();
  };
  dialog.onkeyup = event => { if (event.key.toLowerCase() === "b") back(false); };
  room.onwheel = event => {
    event.preventDefault();
    nearer(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), spot(event));
  };
  room.ondblclick = event => held.eye && held.eye.wide > 1.05 * whole() ? all() : nearer(3, spot(event));
  room.onpointerdown = event => {
    room.setPointerCapture(event.pointerId);
    held.fingers.set(event.pointerId, spot(event));
  };
  room.onpointermove = event => {
    const fingers = held.fingers, from = fingers.get(event.pointerId);
    if (!from) return;
    const to = spot(event), others = [...fingers].filter(([id]) => id !== event.pointerId).map(([, each]) => each);
    fingers.set(event.pointerId, to);
    if (!others.length) return move(to[0] - from[0], to[1] - from[1]);
    const [still] = others, apart = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]);
    const between = p => [(p[0] + still[0]) / 2, (p[1] + still[1]) / 2], [m, n] = [between(from), between(to)];
    move(n[0] - m[0], n[1] - m[1]);
    nearer(apart(to, still) / Math.max(apart(from, still), 1), n);
  };
  room.onpointerup = room.onpointercancel = event => held.fingers.delete(event.pointerId);
  held.watch ||= new ResizeObserver(() => { held.eye = null; held.draw(); });
  held.watch.observe(room);
}
""",
)


def close_look(job: preview.Job, *, compares: bool = True) -> None:
    """Offer a close look at the blade that stands on the page, ``job``'s; where it ``compares``, also at the last."""
    of = f"{hash(job):x}"

    def fetch() -> None:
        st.session_state.close_at = st.session_state.close_look.get("fine")

    def leave() -> None:
        st.session_state.pop("close_at", None)

    wide, _ = preview.preview(job).view("right").size
    data = {"of": of, "alt": words_of(job), "pixels": round(FINE * wide), "compares": compares}
    if st.session_state.get("close_at") == of:
        fine = preview.preview(job, px_per_mm=FINE, units=units())
        data["fine"] = data_url(preview.jpeg_bytes(fine.picture), "jpeg")
    VIEWER(data=data, key="close_look", on_fine_change=fetch, on_closed_change=leave)
