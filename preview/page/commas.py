"""A decimal comma in a number's box, which browsers drop so that 1,5 becomes 15: it is taken as the point it is."""

from __future__ import annotations

import streamlit as st

COMMAS = st.components.v2.component(
    "commas",
    html="<span></span>",
    js="""
export default function() {
  if (window.commasArePoints) return;
  window.commasArePoints = true;
  const put = (event, text) => {
    if (event.composedPath()[0].type !== "number" || !text.includes(",")) return;
    event.preventDefault();
    document.execCommand("insertText", false, text.trim().replace(",", "."));
  };
  document.addEventListener("keydown", event => put(event, event.key), true);
  document.addEventListener("paste", event => put(event, event.clipboardData.getData("text")), true);
}
""",
)


def take_commas() -> None:
    """Let a decimal comma that is typed or pasted into any number's box of the page be a point."""
    COMMAS(key="commas")
