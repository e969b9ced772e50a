"""Numbers as smiths type them into a box: a decimal comma, and in inches a fraction.

Browsers drop both from a number's box, so that 1,5 becomes 15 and 1/8 becomes 18.
"""

from __future__ import annotations

import streamlit as st

NUMBERS = st.components.v2.component(
    "typed_numbers",
    html="<span></span>",
    js="""
export default function() {
  if (window.numbersAreHeard) return;
  window.numbersAreHeard = true;
  const boxOf = event => event.composedPath()[0];
  const comma = (event, text) => {
    if (boxOf(event).type !== "number" || !text.includes(",")) return;
    event.preventDefault();
    document.execCommand("insertText", false, text.trim().replace(",", "."));
  };
  // with its first space or slash a number's box takes any text, until what stands in it is settled as a number
  const begin = event => {
    const box = boxOf(event);
    if (box.type !== "number" || ![" ", "/"].includes(event.key) || !box.value) return;
    box.type = "text";
    box.dataset.fraction = "";
    box.setSelectionRange(box.value.length, box.value.length);
  };
  const settle = box => {
    if (box.dataset?.fraction === undefined) return;
    delete box.dataset.fraction;
    const parts = /^(?:(\\d+)\\s+)?(\\d+)\\s*\\/\\s*(\\d+)$/.exec(box.value.trim());
    const number = parts ? Number(parts[1] || 0) + parts[2] / parts[3] : parseFloat(box.value);
    const text = Number.isFinite(number) ? String(Math.round(number * 1e4) / 1e4) : "";
    Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, "value").set.call(box, text);
    box.dispatchEvent(new Event("input", { bubbles: true }));
    box.type = "number";
  };
  document.addEventListener("keydown", event => {
    comma(event, event.key);
    begin(event);
    if (event.key === "Enter") settle(boxOf(event));
  }, true);
  document.addEventListener("paste", event => comma(event, event.clipboardData.getData("text")), true);
  document.addEventListener("focusout", event => settle(boxOf(event)), true);
}
""",
)


def hear_numbers() -> None:
    """Let a decimal comma be a point, and a fraction the number it is, in any number's box of the page."""
    NUMBERS(key="typed_numbers")
