"""The visitor's own forge: readings, coupon and marks."""

from __future__ import annotations

from datetime import date

import streamlit as st

import preview
from preview.page.asking import Table, labelled, units
from preview.page.session import saved, use_forge
from preview.page.showing import as_lines, data_url
from preview.page.telling import told

READINGS = {
    "thickness_before": ("thick before", "mm", "Thickness before the pass. Needed."),
    "thickness_after": ("thick after", "mm", "Thickness after the pass. Needed."),
    "bite": ("bite", "mm", "Bite of the die. Needed."),
    "temperature": ("heat", "°C", "Temperature of the steel, if the sizes were read hot."),
    "width_face_before": ("face before", "mm", "Width where the dies touch, before."),
    "width_face_after": ("face after", "mm", "Width where the dies touch, after."),
    "width_mid_before": ("mid before", "mm", "Width at mid-height, before."),
    "width_mid_after": ("mid after", "mm", "Width at mid-height, after."),
    "length_before": ("long before", "mm", "Length before."),
    "length_after": ("long after", "mm", "Length after."),
}
"""What is read at the anvil: its column's name and unit, and what it is."""


def show_forge(job: preview.Job, table: Table) -> None:
    if job.forge:
        st.success(
            f"This work is calibrated ({job.forge.date or 'no date'}, {job.forge.rows} rows): spread "
            f"{job.forge.spread_factor:.2f} ± {job.forge.spread_factor_error:.2f} of the law's, friction factor "
            f"{job.forge.friction:.2f} ± {job.forge.friction_error:.2f}."
        )
    st.markdown("**Caliper readings**, a row for each pass: type them in, or paste them from a spreadsheet")
    st.caption(
        f"Sizes in {units().name('mm')}, before and after. Thickness and bite are needed, and a width before; leave "
        "the rest empty where it was not read. Width at the face is where the dies touch. Sizes read hot need the "
        f"steel's heat, {units().name('°C')}."
    )
    with st.form("readings_form", border=False):
        typed = st.data_editor(
            {name: [None] * 4 for name in READINGS},
            column_config={
                name: st.column_config.NumberColumn(labelled(label, unit), help=words, min_value=0.0, format="%g")
                for name, (label, unit, words) in READINGS.items()
            },
            num_rows="dynamic", hide_index=True, key=f"readings in {units().sizes}, {units().heats}", width="stretch",
            placeholder="",
        )  # fmt: skip
        st.form_submit_button("Fit these readings", key="fit_readings")
    rows = [
        {
            name: units().kept(cell, READINGS[name][1])
            for name, cell in zip(typed, cells, strict=True)
            if cell is not None and cell == cell
        }
        for cells in zip(*typed.values(), strict=True)
    ]
    rows = [row for row in rows if row]
    left, right = st.columns(2)
    coupon = left.file_uploader("Photo of an etched coupon", type=["png", "jpg", "jpeg", "webp", "tif"], key="coupon")
    marks = right.file_uploader(
        "Marks on an etched section or face (CSV)", type=["csv"], key="marks",
        help="Section: columns x, y (mm across and through), can_across, can_up (mm, where they were laid). "
        "Face: x, y (mm along and across), can_along, can_across.",
    )  # fmt: skip
    boxes, ruler = {}, None
    with st.expander("Regions of the coupon, and a ruler for the marks"):
        st.caption(
            "Regions in shares of the photo's sides: left, top, right, bottom, such as 0.1, 0.2, 0.3, 0.4. Left empty, "
            "the photo is split in two by its tones. The card is a middle-grey card, as photographers use it."
        )
        for column, zone in zip(st.columns(3), ("bright", "dark", "card"), strict=True):
            text = column.text_input(f"{zone.capitalize()} region", key=f"region_{zone}")
            if text.strip():
                boxes[zone] = text
        ruler = st.file_uploader(
            "Points of known place on the marks' photo (CSV)", type=["csv"], key="ruler",
            help="Columns x, y (photo pixels), across, through (mm). The marks' x and y are then pixels.",
        )  # fmt: skip
    if not rows and coupon is None and marks is None:
        st.info("With a few readings the picture becomes that of your forge, and says how sure it is.")
        return
    try:
        learnt = preview.learn(
            job,
            readings=rows or None,
            marks=saved(marks) if marks else None,
            ruler=saved(ruler) if ruler else None,
            coupon=saved(coupon) if coupon else None,
            boxes=boxes,
            date=date.today().isoformat(),
        )
    except preview.PreviewError as error:
        st.error(told(error))
        return
    st.markdown(as_lines("\n".join(word.told(units()) for word in learnt.words)))
    residuals = learnt.residuals()
    if residuals:
        st.image(data_url(residuals, "png"), width="stretch", alt="Residuals of the fit by row.")
    use, keep = st.columns(2)
    use.button("Use it in this work", key="use_forge", on_click=use_forge, args=(table, learnt.calibration))
    keep.download_button(
        "Calibration file", key="save_forge", on_click="ignore", mime="application/toml", file_name="forge.toml",
        data=lambda: preview.dump_calibration(learnt.calibration),
    )  # fmt: skip
