"""A table to type numbers into: rows of boxes, that a column or a block from a spreadsheet can be pasted into.

Its boxes are plain ones, so that no key stroke is lost (the first one is, in Streamlit's own table, whose editor is
fetched only then) and a phone shows its number keys. Where the page is narrow, a row is a card with a name to each box.
"""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

TABLE = st.components.v2.component(
    "typed_table",
    html="""<div class="room"><div class="table" role="group"></div><button type="button"></button></div>""",
    css="""
.room { container-type: inline-size; font: 0.875rem var(--st-font); color: var(--st-text-color); }
.row { display: grid; grid-template-columns: 1.75rem repeat(var(--columns), minmax(0, 1fr)); gap: 2px;
  margin-bottom: 2px; }
.row > * { min-width: 0; }
.head { align-items: end; }
.head span, .number { opacity: 0.75; padding: 2px 4px; }
.number { align-self: center; text-align: right; }
label > span { display: none; }
input { width: 100%; height: 2.25rem; box-sizing: border-box; padding: 0 0.5rem; text-align: right; font: inherit;
  color: inherit; background: var(--st-secondary-background-color);
  border: 1px solid transparent; border-radius: 4px; }
input:focus { outline: 2px solid var(--st-primary-color); }
button { margin-top: 0.75rem; min-height: 2.5rem; padding: 0.25rem 0.75rem; font: inherit; color: inherit;
  cursor: pointer; background: var(--st-background-color); border: 1px solid #80808080; border-radius: 0.5rem; }
button:hover, button:focus-visible { border-color: var(--st-primary-color); color: var(--st-primary-color); }
@container (max-width: 720px) {
  .head { display: none; }
  .row { grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 6px; padding: 8px 0 14px;
    border-bottom: 1px solid #80808040; }
  .number { grid-column: 1 / -1; text-align: left; font-weight: 600; opacity: 1; }
  .number::before { content: "Row "; }
  label > span { display: block; }
  input { height: 2.75rem; }
}
""",
    js="""
export default function({ data, parentElement, setStateValue }) {
  const table = parentElement.querySelector(".table"), button = parentElement.querySelector("button");
  button.textContent = data.button;
  button.onclick = () => setStateValue("rows", rows().map(boxes => boxes.map(box => box.value)));
  table.setAttribute("aria-label", data.name);
  const rows = () => [...table.querySelectorAll(".row:not(.head)")].map(row => [...row.querySelectorAll("input")]);
  if (table.children.length) return;  // what has been typed outlasts a run of the page

  const make = (kind, parent, text = "", look = "") => {
    const made = parent.appendChild(document.createElement(kind));
    made.textContent = text;
    made.className = look;
    return made;
  };
  table.style.setProperty("--columns", data.columns.length);
  const head = make("div", table, "", "row head");
  make("span", head);
  for (const { name, help } of data.columns) make("span", head, name).title = help;

  const add = () => {
    const row = make("div", table, "", "row"), number = rows().length;
    make("span", row, number, "number");
    data.columns.forEach(({ name, help }, column) => {
      const label = make("label", row);
      make("span", label, name);
      const box = make("input", label);
      Object.assign(box, { type: "text", inputMode: "decimal", autocomplete: "off", title: help });
      box.setAttribute("aria-label", `${name}, row ${number}`);
      box.oninput = () => { if (number === rows().length) add(); };
      box.onkeydown = event => {
        const down = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
        const next = down && rows()[number - 1 + down];
        if (!next) return;
        event.preventDefault();
        next[column].focus();
        next[column].select();
      };
      box.onpaste = event => {
        const text = event.clipboardData.getData("text").trim();
        if (!/[\\t\\n]/.test(text)) return;
        event.preventDefault();
        text.split(/\\r?\\n/).forEach((line, down) => {
          while (rows().length <= number + down) add();
          line.split("\\t").forEach((cell, right) => {
            const into = rows()[number - 1 + down][column + right];
            if (into) into.value = cell.trim();
          });
        });
      };
    });
  };
  for (let each = 0; each < data.least; each++) add();
}
""",
)


def typed_table(
    name: str, columns: Mapping[str, tuple[str, str]], button: str, *, key: str, least: int = 4
) -> list[dict[str, str]]:
    """Show a table to type into, and return its rows as they were when ``button`` was pressed last.

    Parameters
    ----------
    name
        What the table is called.
    columns
        Each column's heading and a word on it, by the name that its cells are returned under.
    button
        What the button says.
    key
        What the table is kept by.
    least
        Rows that it has at first; another follows when the last is typed into.
    """
    told = TABLE(
        data={"name": name, "columns": [{"name": label, "help": words} for label, words in columns.values()],
              "button": button, "least": least},
        key=key, default={"rows": []}, on_rows_change=lambda: None,
    )  # fmt: skip
    return [dict(zip(columns, row, strict=True)) for row in told.rows or []]
