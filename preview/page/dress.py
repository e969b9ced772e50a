"""How the page is dressed: what stands where at each width, and that nothing jumps while the blade is worked out."""

from __future__ import annotations

import streamlit as st

import preview

LIGHT = {"GROUND": "#ffffff", "SOFT": "#5c5853"}
DARK = {"GROUND": "#171614", "SOFT": "#b9b5ae"}

STYLE = """
<style>
[data-testid="stMainBlockContainer"] { padding: 1.5rem max(1rem, min(5rem, 4vw)) 6rem; }
[data-testid="stSidebarHeader"] { height: 2.5rem; margin-bottom: 0; }
.st-key-head { gap: 0.2rem; }
.st-key-head h3 { padding: 0.2rem 0; font-size: 1.5rem; }
:is(.st-key-head, .st-key-invitation, .st-key-said) [data-testid="stMarkdownContainer"],
:is(.st-key-head, .st-key-invitation, .st-key-said) [data-testid="stCaptionContainer"] { margin-bottom: 0; }
:is(.st-key-head, .st-key-said) [data-testid="stCaptionContainer"] p { margin: 0; line-height: 1.3; }

/* the blade stays in sight while the page below it scrolls; its box has its picture's proportions from the start */
div:has(> .st-key-stage) { position: sticky; top: 0; z-index: 5; background: GROUND; }
[data-testid="stMain"] { scroll-padding: calc(max(46vh, 100vh - 34rem) + 5rem) 0 2rem; }  /* for the keyboard's focus */
.st-key-stage { gap: 0.4rem; padding-bottom: 0.2rem; }
.st-key-faces [data-testid="stImage"] img { aspect-ratio: var(--wide, 1.75); object-fit: fill; margin: 0 auto;
  width: min(100%, calc(var(--most) * var(--wide, 1.75))) !important; border-radius: 4px; }
.st-key-faces { --most: max(46vh, 100vh - 34rem); position: relative; }
.st-key-faces :is(:has(> [data-testid="stImage"]), [data-testid="stImage"], [data-testid="stImageContainer"]) {
  width: 100%; }
.st-key-faces [data-testid="stElementToolbar"] { display: none; }  /* the close look does it better */

/* the last picture stays as it is until the next one is there, with a sign that it is being worked out */
.st-key-faces [data-stale="true"] { opacity: 1 !important; transition: none !important; }
.st-key-faces::after { content: "Working …"; position: absolute; top: 0.5rem; right: 0.5rem; z-index: 6;
  padding: 0.1rem 0.6rem; border-radius: 1rem; background: #171614; color: #fff; font-size: 0.875rem;
  visibility: hidden; pointer-events: none; }
[data-test-script-state="running"] .st-key-faces::after { visibility: visible; animation: 0.4s step-end come; }
@keyframes come { from { opacity: 0; } }

/* what there is to read below the controls is told on the picture, where it moves nothing */
div:has(> .st-key-way) { position: absolute; top: 0.4rem; left: 0.4rem; z-index: 6; width: auto; }
.st-key-way a { display: block; padding: 0.25rem 0.7rem; border-radius: 1rem; background: #171614; color: #fff;
  font-size: 0.875rem; line-height: 1.2rem; text-decoration: underline; }
.st-key-way p { margin: 0; }

/* long work can be stopped while its bar is there, which says so itself: looking for it here costs each move 50 ms */
.st-key-stop { display: none; position: fixed; bottom: 1rem; right: 1rem; z-index: 8; width: auto; }

/* words below the blade: a place of fixed height; what is longer reaches up over the picture, and moves nothing */
.st-key-stage .st-key-under { display: grid; grid-template-columns: minmax(0, 1fr) auto auto; gap: 0.4rem 0.5rem; }
.st-key-under .st-key-said { height: 2.6rem; flex: none; justify-content: flex-end; position: relative; z-index: 7; }
.st-key-said > * { flex: none; background: GROUND; border-radius: 8px; }
.st-key-said > :last-child { margin-bottom: auto; }
.st-key-said [data-testid="stAlert"] { max-height: 40vh; overflow: auto; }
.st-key-said [data-testid="stAlertContainer"] { padding: 0.5rem 0.8rem; }
.st-key-said [data-testid="stAlertContainer"] :is(p, ul) { margin-bottom: 0; }

/* the ways back and closer stay with the blade at every width; where words have no room, their signs alone are seen */
.st-key-stage .st-key-undoing { gap: 0.5rem; flex-wrap: nowrap; }
.st-key-undoing button { min-height: 44px; min-width: 44px; padding: 0 0.8rem; }
@media (max-width: 1279px) {
  .st-key-undoing button { padding: 0; }
  .st-key-undoing button [data-testid="stMarkdownContainer"] { position: absolute; clip-path: inset(50%); }
}
@media (max-width: 1023px) {
  .st-key-stage .st-key-under { grid-template-columns: auto minmax(0, 1fr); }
  .st-key-under > :has(> .st-key-said) { grid-column: 1 / -1; }
}

/* the grind's controls flow beside each other below the blade; words and what is wide take a row, or two places */
.st-key-grind [data-testid="stExpanderDetails"] > [data-testid="stVerticalBlock"] { display: grid;
  grid-template-columns: repeat(auto-fill, minmax(min(13rem, 100%), 1fr)); align-items: start; gap: 0.6rem 1.5rem; }
.st-key-grind [data-testid="stHorizontalBlock"] { align-items: flex-end; }
.st-key-grind [data-testid="stElementContainer"]:has(> :is([data-testid="stMarkdown"], [data-testid="stAlert"])) {
  grid-column: 1 / -1; }
.st-key-grind [class*="-grind-two"] { grid-column-start: 1; }  /* it stays there, whatever a kind asks for before it */

/* an invitation that leaves room for the blade */
.st-key-invitation { padding: 0.6rem 0.9rem; gap: 0.3rem; }
.st-key-invitation [data-testid="stHorizontalBlock"] { gap: 0.2rem 1.6rem; align-items: center; }
.st-key-invitation [data-testid="stColumn"] { width: auto; min-width: 0; flex: 0 1 auto; }
.st-key-invitation button { min-height: 2rem; padding: 0 0.8rem; }
.st-key-invitation p { margin: 0; font-size: 0.875rem; line-height: 1.35; }

/* a slider that is made anew keeps its place */
[class*="-slider "] { min-height: calc(28px - 0.5rem); }

/* targets for a finger: at least 24 px (WCAG 2.2, 2.5.8), however small their sign is */
[data-testid="stTooltipHoverTarget"] > button, [data-testid="stTooltipIcon"] button { min-width: 24px;
  min-height: 24px; }
:is([data-testid="stCheckbox"], [data-testid="stRadio"]) label { min-height: 24px; }
[data-testid="stSlider"] div:has(> [data-testid="stSliderThumbValue"])::before { content: ""; position: absolute;
  inset: -10px; }
[data-testid="stTabs"] [role="tablist"] { flex-wrap: wrap; row-gap: 0; }
[data-testid="stTabs"] [role="tab"] { min-height: 2rem; }

@media (min-width: 560px) {
  .st-key-grind [data-testid="stLayoutWrapper"]:has(> [data-testid="stHorizontalBlock"]),
  .st-key-grind [data-testid="stElementContainer"]:has(> [data-testid="stRadio"]) { grid-column: span 2; }
}
@media (pointer: coarse), (max-width: 768px) { [class*="-slider "] { min-height: calc(44px - 0.5rem); } }
@media (max-width: 768px) {  /* the bar with the way to the other controls stays on top */
  [data-testid="stMainBlockContainer"] { padding: 2.75rem 1rem 6rem; }
  .st-key-head h3 { font-size: 1.15rem; }
  .st-key-head [data-testid="stCaptionContainer"] { min-height: 2.6em; }  /* its words may take two lines */
  div:has(> .st-key-stage) { top: 3.25rem; }
  [data-testid="stExpandSidebarButton"] { width: auto; padding: 0 0.5rem; }
  [data-testid="stExpandSidebarButton"]::after { content: "Can, forging, blade, etch"; font-size: 0.875rem; }
  .st-key-faces { --most: 30vh; }
  [data-testid="stMain"] { scroll-padding-top: calc(30vh + 11rem); }

  /* what is too wide to be read here is moved sideways within its box */
  .st-key-places { overflow-x: auto; }
  .st-key-places::before { content: "Push it sideways to see all of it."; position: sticky; left: 0; width: 100%;
    min-width: 0; font-size: 0.875rem; color: SOFT; }
  [data-testid="stTable"] tr:has(> :nth-child(6)) > * { min-width: 5.5rem; }
  .st-key-places > *, .st-key-places [data-testid="stImage"] img { min-width: 56rem; }

  /* the controls at the side come from below, no higher than lets the blade be seen above them */
  [data-testid="stSidebar"] { position: fixed !important; inset: auto 0 0 !important; height: 54vh !important;
    width: 100% !important; max-width: none; box-shadow: 0 0 1rem rgb(0 0 0 / 0.3); }
  [data-testid="stSidebar"][data-collapsed="true"] { transform: translateY(105%); }
  [data-testid="stSidebar"][data-collapsed="false"] ~ * .st-key-head { display: none; }
  [data-testid="stSidebarContent"], [data-testid="stSidebarHeader"] { background: inherit; }
  [data-testid="stSidebarHeader"] { position: sticky; top: 0; z-index: 1; height: 2rem; }
  :is([data-testid="stSidebarCollapseButton"], [data-testid="stExpandSidebarButton"])
    [data-testid="stIconMaterial"] { transform: rotate(-90deg); }
  [data-testid="stSidebarUserContent"] { padding: 0 1rem 2rem; }
  [data-testid="stSidebar"] [data-testid="stHorizontalBlock"] { flex-wrap: nowrap; }
  [data-testid="stSidebar"] [data-testid="stColumn"] { min-width: 0; }
}

/* two fields side by side stand on one line, however their labels break, and have the room to break between words */
[data-testid="stSidebar"] [data-testid="stExpander"] [data-testid="stHorizontalBlock"] { align-items: flex-end; }
[data-testid="stSidebar"] [data-testid="stExpanderDetails"] { padding-inline: 0.6rem; }
/* small print that everybody can read: WCAG 2.2 AA asks for a contrast of 4.5 */
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] p { color: SOFT; opacity: 1; }
</style>
"""


def dress() -> None:
    """Dress the page."""
    style = STYLE
    for name, colour in (DARK if st.context.theme.type == "dark" else LIGHT).items():
        style = style.replace(name, colour)
    st.html(style)


def frame_faces(job: preview.Job) -> None:
    """Give the box of the faces the proportions of ``job``'s picture."""
    width, height = preview.preview(job).view("right").size
    st.html(f"<style>.st-key-faces {{ --wide: {width / (2 * height):.4f}; }}</style>")
