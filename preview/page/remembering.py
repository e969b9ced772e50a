"""The browser remembers which work was open in it last: the plain address leads back to it."""

from __future__ import annotations

import streamlit as st

from preview.page.session import go_back_to

MEMORY = st.components.v2.component(
    "memory",
    html="<span></span>",
    js="""
export default function({ data, setTriggerValue }) {
  const last = localStorage.getItem("etch-preview work");
  if (data.fresh && last && last !== data.work && !window.askedForLast) {
    window.askedForLast = true;  // once: it may be gone
    setTriggerValue("last", last);
  } else {
    localStorage.setItem("etch-preview work", data.work);
  }
}
""",
)


def remember_work() -> None:
    """Let the browser keep the work's name, and lead a visitor who came without one back to the last."""
    MEMORY(
        data={"work": st.session_state.work, "fresh": st.session_state.get("fresh", False)}, key="memory",
        on_last_change=lambda: go_back_to(str(st.session_state.memory.get("last") or "")),
    )  # fmt: skip
