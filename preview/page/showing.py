"""How things are shown: pictures in the page itself, words as lines, pictures one can point at."""

from __future__ import annotations

import base64
import re
from collections import Counter
from collections.abc import Callable, Sequence

import streamlit as st

SMALLER_BLADE = "<style>.st-key-stage .st-key-faces { --most: 30vh; }</style>"
"""So that the blade and what is laid below it are seen at once."""

BLADE_AT_REST = "<style>div:has(> .st-key-stage) { position: static !important; }</style>"
"""So that the blade leaves the window to what does not change it yet."""


def as_lines(message: str, hide: str = "") -> str:
    """Return an error for the page: a line for each fault, without the folder, and those in it, of the server."""
    if hide:
        message = re.sub(rf"{re.escape(hide)}[/\\](?:[^\s/\\]+[/\\])*", "", message)
    return "\n".join(f"- {line}" for line in message.splitlines())


def plain(text: str) -> str:
    """Return a person's words so that Markdown shows them as they stand."""
    return re.sub(r"([\\`*_{}\[\]()#+\-.!|<>~$:])", r"\\\1", text)


def data_url(content: bytes, kind: str) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(content).decode()}"


def url_in(place: str, content: bytes, kind: str) -> str:
    """Return a picture's URL in the container keyed ``place``, whose picture may follow a slider.

    It is one of its own after each picture that the browser has put there by itself, so that it takes that one's place.
    """
    return data_url(content, f"{kind};after={ahead()[place]}")


def ahead() -> Counter[str]:
    """Return how often the browser was given a picture ahead of those that the page draws, by its place."""
    count: Counter[str] = st.session_state.setdefault("ahead", Counter())
    return count


SPOT = st.components.v2.component(
    "picture_spot",
    html='<div class="frame"><img tabindex="0" role="button"><span class="mark"></span></div>',
    css="""
.frame { position: relative; line-height: 0; }
img { width: 100%; cursor: crosshair; }
img:focus-visible { outline: 3px solid var(--st-primary-color); }
.mark { position: absolute; width: 14px; height: 14px; margin: -7px 0 0 -7px; border: 2px solid #ff7a2f;
  border-radius: 50%; box-sizing: border-box; pointer-events: none; display: none; }
""",
    js="""
export default function({ data, parentElement, setTriggerValue }) {
  const image = parentElement.querySelector("img"), mark = parentElement.querySelector(".mark");
  image.src = data.url;  // the chosen spot is drawn into it
  mark.style.display = "none";
  image.alt = data.alt;
  image.setAttribute("aria-label", data.alt + " Arrow keys move the mark, Enter chooses.");
  const show = (x, y) => {
    mark.style.display = "block";
    mark.style.left = 100 * x + "%";
    mark.style.top = 100 * y + "%";
    image.spot = [x, y];
  };
  image.onclick = (event) => {
    const box = image.getBoundingClientRect();
    show((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
    setTriggerValue("spot", image.spot);
  };
  image.onkeydown = (event) => {
    const steps = { ArrowLeft: [-0.01, 0], ArrowRight: [0.01, 0], ArrowUp: [0, -0.02], ArrowDown: [0, 0.02] };
    const [x, y] = image.spot || [0.5, 0.5];
    if (event.key in steps) {
      event.preventDefault();
      show(Math.min(1, Math.max(0, x + steps[event.key][0])), Math.min(1, Math.max(0, y + steps[event.key][1])));
    } else if (event.key === "Enter") {
      show(x, y);
      setTriggerValue("spot", image.spot);
    }
  };
}
""",
)


def picture_spot(picture: bytes, alt: str, key: str, chosen: Callable[[float, float], None]) -> None:
    """Show a JPEG and call ``chosen`` with the spot that was clicked on it, in shares of its width and height."""

    def told() -> None:
        spot = st.session_state[key].get("spot")
        if spot:
            chosen(*spot)

    SPOT(data={"url": data_url(picture, "jpeg"), "alt": alt}, key=key, on_spot_change=told)


def columns_of(heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> dict[str, list[str]]:
    """Return a table's columns by their heads."""
    return dict(zip(heads, map(list, zip(*rows, strict=True)), strict=True))


WIPE = st.components.v2.component(
    "wipe",
    html="""<div class="frame"><img class="under"><img class="over"><div class="edge"></div></div>
<label><span></span><input type="range" min="0" max="100" value="50"></label>""",
    css="""
.frame { position: relative; line-height: 0; }
img { width: 100%; }
.over { position: absolute; inset: 0; }
.edge { position: absolute; top: 0; bottom: 0; width: 2px; background: #ff7a2f; pointer-events: none; }
label { display: block; font: 0.9rem var(--st-font); margin-top: 0.4rem; color: var(--st-text-color); }
input { display: block; width: 100%; margin: 0.3rem 0 0; accent-color: var(--st-primary-color); }
""",
    js="""
export default function({ data, parentElement }) {
  const [under, over] = parentElement.querySelectorAll("img");
  const range = parentElement.querySelector("input"), edge = parentElement.querySelector(".edge");
  [over.src, under.src] = data.urls;
  [over.alt, under.alt] = data.names;
  parentElement.querySelector("span").textContent = data.names[0] + "  |  " + data.names[1];
  range.setAttribute("aria-label", "How much of " + data.names[0] + " is shown over " + data.names[1]);
  const show = () => {
    over.style.clipPath = `inset(0 ${100 - range.value}% 0 0)`;
    edge.style.left = range.value + "%";
  };
  range.oninput = show;
  show();
}
""",
)


def wipe(pictures: tuple[bytes, bytes], names: tuple[str, str], key: str) -> None:
    """Lay one JPEG over another of the same size, parted by an edge that the visitor moves."""
    WIPE(data={"urls": [data_url(each, "jpeg") for each in pictures], "names": list(names)}, key=key)
