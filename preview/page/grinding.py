"""Trying grinds before the steel is gone: side by side, one over the other, and the order in which to go."""

from __future__ import annotations

import numpy as np
import streamlit as st

import preview
from preview.page.asking import Table, key, units
from preview.page.session import use_bevel
from preview.page.showing import as_lines, data_url, plain, wipe
from preview.page.telling import told
from preview.page.working import unless_stopped, working

GROUND_KINDS = [name for name, kind in preview.GRIND_KINDS.items() if kind.is_ground]
LISTED = {"heights": "Grind heights", "angles": "Grind angles", "kinds": "Kinds of grind"}


def usual(job: preview.Job, listed: str) -> str:
    """Return a list to start from: six grinds round the job's own."""
    if listed == "angles":
        return "3, 4, 5, 6, 8, 10"
    high = job.blade.outline.height
    chosen = units()
    values = (chosen.shown(float(height), "mm") for height in np.round(np.linspace(0.3, 1.0, 6) * high))
    return ", ".join(f"{value:.3g}" for value in values)


def show_trials(job: preview.Job, table: Table) -> None:
    what, face = st.columns(2)
    listed = what.selectbox("Try several", list(LISTED), format_func=LISTED.__getitem__, key="trial_list")
    side = face.selectbox("On the face", ["right", "left"], key="trial_face")
    if listed == "kinds":
        chosen = st.multiselect("Kinds", list(GROUND_KINDS), list(GROUND_KINDS), key="trial_kinds")
    else:
        unit = units().name("mm") if listed == "heights" else "° a side"
        text = st.text_input(
            f"Up to twelve ({unit}), with commas between", usual(job, listed), key=key("trial_values", listed)
        )
        chosen = [part.strip() for part in text.split(";" if ";" in text else ",") if part.strip()]
    asked = st.button("Try them", key="try_them")
    if asked:
        try:
            with working("Grinding on paper"):
                grinds = preview.make_settings(
                    preview.TrialGrinds,
                    {listed: typed(chosen) if listed == "heights" else chosen, "face": side},
                    "trials",
                )
                st.session_state.trials = (job, preview.try_grinds(job, grinds))
        except preview.PreviewError as error:
            st.session_state.pop("trials", None)
            st.error(told(error))
    if "trials" not in st.session_state:
        st.info("Steel never comes back: try the grinds here, in the order in which you could go.")
        return
    of, tried = st.session_state.trials
    trials = tried.trials
    if of.model_copy(update={"grind": job.grind}) != job:
        st.warning("The work has changed since: try them again.")
    if tried.left_out:
        st.warning(as_lines("\n".join(line.told(units()) for line in tried.left_out)))
    cards(trials, table)
    if len(trials) > 1:
        compare(trials)
    side_tried = trials[0].face.side
    frames = unless_stopped(
        "coming down", "Letting the bevel down", (job, side_tried),
        lambda: preview.coming_down(job, side_tried, width=700),
    )  # fmt: skip
    if frames is None:
        return
    st.markdown("**The bevel coming down** to the grind of your work")
    st.image(
        data_url(preview.animation(frames), "webp"), alt="The bevel comes down from a low one to that of your work."
    )
    st.download_button(
        "This as GIF", key="save_animation", on_click="ignore", mime="image/gif", file_name="bevel.gif",
        data=lambda: preview.animation(frames, "GIF"),
    )  # fmt: skip


def typed(parts: list[str]) -> list[str]:
    """Return heights as typed in the units chosen, in mm; words stay as they are, to be refused by name."""
    chosen = units()
    try:
        return [str(chosen.kept(float(part), "mm")) for part in parts]
    except ValueError:
        return parts


def cards(trials: tuple[preview.Trial, ...], table: Table) -> None:
    """Show what sets the trials apart, then each with its own numbers, three in a row."""
    chosen = units()
    lead, *lines = preview.apart_lines(trials, chosen)
    st.markdown("  \n".join([f"**{lead}**", *map(plain, lines)]))
    lined = st.checkbox("Draw the grind line", value=True, key="trial_lines")
    own, _ = preview.rows_apart(trials, chosen)
    a_row = 2 if len(trials) in (2, 4) else 3
    for start in range(0, len(trials), a_row):
        for column, trial in zip(st.columns(a_row), trials[start : start + a_row], strict=False):
            number = trials.index(trial)
            name = trial.name.told(chosen)
            with column:
                url = data_url(preview.jpeg_bytes(trial.of_blade(lined=lined)), "jpeg")
                st.image(url, width="stretch", alt=f"Trial {number + 1}, {name}.")
                st.markdown(f"**{number + 1} · {name}**")
                st.caption("  \n".join(f"{what} {value}" for what, value in own[number] if what != "it runs"))
                st.button("Grind so", key=key("grind_so", number), on_click=use_bevel, args=(table, trial.job))
    st.download_button(
        "All of them (PNG)", key="save_trials", on_click="ignore", mime="image/png", file_name="trials.png",
        data=lambda: preview.png_bytes(preview.trial_sheet_picture(trials, chosen), trials[0].face.grid.px_per_mm),
    )  # fmt: skip


def compare(trials: tuple[preview.Trial, ...]) -> None:
    """Lay any two over each other, map what goes between them, and say in which order to go."""
    chosen, numbers = units(), range(len(trials))
    found = preview.find_ladder(trials)
    first, then = st.columns(2)
    names = [f"{number + 1} · {trial.name.told(chosen)}" for number, trial in enumerate(trials)]
    one = first.selectbox("Lay", numbers, found.rungs[0], format_func=names.__getitem__, key=key("lay"))
    other = then.selectbox("over", numbers, found.rungs[-1], format_func=names.__getitem__, key=key("over"))
    pictures = (preview.jpeg_bytes(trials[one].picture), preview.jpeg_bytes(trials[other].picture))
    wipe(pictures, (names[one], names[other]), "wipe")
    low, deep = sorted((trials[one], trials[other]), key=lambda trial: trial.ground_off)
    change = preview.find_taken(low, deep)
    st.markdown(f"**What going deeper takes away.** {change.words(chosen)}")
    st.image(
        data_url(preview.png_bytes(change.picture(chosen), 8.0), "png"), width="stretch",
        alt="Map of the face: bright pattern that goes in orange, that comes in blue, both grind lines.",
    )  # fmt: skip
    st.markdown("**The order in which to go**")
    st.markdown(as_lines("\n".join(found.lines(chosen))))
