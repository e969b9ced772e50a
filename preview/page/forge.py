"""The visitor's own forge: readings, coupon and marks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import streamlit as st

import preview
from preview.page.asking import Table, labelled, units
from preview.page.session import saved, use_forge
from preview.page.showing import as_lines, data_url
from preview.page.telling import told
from preview.page.typed_table import typed_table

TABLES = ["csv", "ods", "xlsx"]
"""Endings of tables that are taken."""

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

CAN_READINGS = {
    "powder_weight": ("powder", "g", "Weight of all the powder in the can: weigh it empty and filled."),
    "welded_length": ("welded length", "mm", "Length outside, once welded and clean of scale."),
    "welded_width": ("welded width", "mm", "Width outside, once welded and clean of scale."),
    "welded_thickness": ("welded height", "mm", "Height outside, once welded and clean of scale."),
    "scale_weight": ("lost to scale", "g", "Weight lost from the filled can to the welded one, clean of scale."),
}
"""What is read of the can, likewise."""


def show_forge(job: preview.Job, table: Table) -> None:
    if job.forge:
        st.success(
            f"This work is calibrated ({job.forge.date or 'no date'}, {job.forge.rows} rows): spread "
            f"{job.forge.spread_factor:.2f} ± {job.forge.spread_factor_error:.2f} of the law's, friction factor "
            f"{job.forge.friction:.2f} ± {job.forge.friction_error:.2f}."
        )
        if job.forge.settling:
            st.success(
                f"Its can is measured: it fills to {job.forge.settling.fill_factor:.2f} ± "
                f"{job.forge.settling.fill_factor_error:.2f} of what is set. That is counted already."
            )
    st.markdown("**Caliper readings**, a row for each pass: type them in, or paste them from a spreadsheet")
    st.caption(
        f"Sizes in {'inches' if units().sizes == 'inch' else 'mm'}, before and after. Thickness and bite are needed, "
        "and a width before; leave the rest empty where it was not read. Width at the face is where the dies touch. "
        f"Sizes read hot need the steel's heat, {units().name('°C')}."
    )
    columns = {name: (labelled(label, unit), words) for name, (label, unit, words) in READINGS.items()}
    rows = typed_table(
        "Caliper readings", columns, "Fit these readings", key=f"readings in {units().sizes}, {units().heats}"
    )
    st.markdown("**The can**, weighed and measured: what narrows most where the pattern may lie at heel and tip")
    columns = {name: (labelled(label, unit), words) for name, (label, unit, words) in CAN_READINGS.items()}
    rows += typed_table("The can", columns, "Fit the can", key=f"can in {units().sizes}", least=1)
    if not any(cell.strip() for row in rows for cell in row.values()):
        rows = []
    left, right = st.columns(2)
    coupon = left.file_uploader("Photo of an etched coupon", type=["png", "jpg", "jpeg", "webp", "tif"], key="coupon")
    marks = right.file_uploader(
        "Marks on an etched section or face (CSV, ODS, XLSX)", type=TABLES, key="marks",
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
            "Points of known place on the marks' photo (CSV, ODS, XLSX)", type=TABLES, key="ruler",
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
            units=units(),
        )
    except preview.RequestError as error:
        st.error(told(preview.RequestError(replace(fault, where=_by_heading(fault.where)) for fault in error.faults)))
        return
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


def _by_heading(where: str) -> str:
    """Return the place of a fault in the readings by its column's heading."""
    known = READINGS | CAN_READINGS
    return ", ".join(known[part][0] if part in known else part for part in where.split(", "))
