"""The budget in words, tables and files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from preview.base.cautions import CAUTIONS
from preview.base.files import write_into
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.filling.budget import Budget
from preview.filling.fill import Fill
from preview.forging.carbon import SOUND
from preview.forging.heating import SOAK
from preview.forging.scale import USUAL_SHARE
from preview.job.job import Job
from preview.pattern.powder_kinds import UNKNOWN

SEEN = 0.005
"""Depth (mm) under which a length reads as none."""


def fill_rows(found: Budget, units: Units = METRIC) -> list[tuple[str, str, str, str, str]]:
    """Return the heads, then a row for each powder: name, floor area, tap density and its kind's, weight and nickel."""
    rows = [
        (
            fill.powder,
            units.area(fill.area),
            f"{fill.tap_density:.2f} g/cm³",
            _kind(fill),
            f"{fill.grams:.1f} g, of it nickel {fill.nickel:.2f} g",
        )
        for fill in found.fills
    ]
    return [("powder", "floor without dividers", "tapped to", "its kind taps to", "fill"), *rows]


def _fill(found: Budget) -> str:
    usual = "" if found.usual_fill is None else f"; {found.usual_fill:.3f} as these powders usually tap"
    return f"{found.fill_density:.3f}{usual}"


def _kind(fill: Fill) -> str:
    least, most = fill.taps_to
    return f"at most {most:.2f} (kind unknown)" if fill.kind == UNKNOWN else f"{least:.2f} to {most:.2f} ({fill.kind})"


def stage_rows(found: Budget, units: Units = METRIC) -> list[tuple[str, str, str, str, str]]:
    """Return the heads, then a row for each step: what to do, size cold, size hot, weight, losses."""
    unit = units.name("mm")
    read_at = units.heat(found.read_at, form=".0f")
    rows = [("step", f"cold, {unit}", f"read at {read_at}, {unit}", "bar", "losses")]
    for number, stage in enumerate(found.stages, start=1):
        off = "of wall folded at the sides, still on" if stage.folded else "off"
        lost = [f"{stage.off:.0f} g {off}"] if stage.off >= 0.5 else []
        if stage.scale:
            lost.append(f"scale {units.length(stage.scale_depth, form='.2f')} a side, {stage.scale:.0f} g")
        rows.append(
            (
                f"{number} · {stage.words.told(units)}",
                " x ".join(units.number(side, ".1f") for side in stage.size),
                " x ".join(units.number(side, ".1f") for side in stage.hot or ()),
                f"{stage.grams:.0f} g",
                "; ".join(lost),
            )
        )
    return rows


def budget_lines(found: Budget, units: Units = METRIC) -> list[tuple[str, str]]:
    """Return the totals as pairs of a name and a value with its unit."""
    long, wide = (units.length(abs(spare), form=".1f") for spare in (found.spare_length, found.spare_width))
    over = (
        f"{found.left_over:.0f} g, the saw's dust in it; beyond the {found.cut_out} {long} of length, {wide} of width"
    )
    if found.spare_length < 0:
        over = f"none at the ends: {long} of length are missing for the {found.cut_out}; {wide} of width"
    lines = [
        ("Can, inside", units.volume(found.can_volume)),
        ("Powder in all", f"{found.powder:.1f} g, of it nickel {found.nickel:.2f} g"),
        ("The can itself", f"{found.shell:.0f} g of mild steel"),
        ("Dividers' room, void once they burn out", f"{found.divider_share:.1%} of the inside: {found.dividers}"),
        ("Fill over solid steel", _fill(found)),
        ("Soak at least", _soak(found)),
        ("Steel short of carbon", _carbon(found, units)),
        (f"{found.cut_out.capitalize()} cut out, before grinding", f"{found.blank:.0f} g"),
        (f"{found.cut_out.capitalize()}, ground" if found.tang else "Blade ground", f"{found.blade:.0f} g"),
        ("Bar left over", over),
    ]
    for what, needed in (("length", found.length_needed), ("height", found.depth_needed)):
        value = "no size does" if needed is None else f"{units.length(needed, form='.1f')} inside, the rest as it is"
        lines.append((f"Can {what} for {units.length(found.margin, form='g')} of bar beyond each end", value))
    return lines


def _carbon(found: Budget, units: Units) -> str:
    def told(size: float) -> str:
        return units.length(size, form=".2f")

    skin = found.carbon
    where = f"down to {told(skin.deep)} under the face"
    if skin.under_joint is not None:
        where = f"down to {told(skin.under_joint)} under the joint with the can, {told(skin.deep)} under the face"
    milled = f", of which milling takes {told(skin.milled)}" if skin.milled else ""
    left = "none stays on the blade"
    if found.poor_faces > SEEN:
        left = f"{told(found.poor_faces)} stays under the blade's faces"
    elif skin.left > SEEN:
        left = f"grinding takes the {'other ' if skin.milled else ''}{told(skin.left)}, and {left}"
    return f"{where}{milled}; {left} (under {SOUND:.0%} of the powder's carbon)"


def carbon_milled(found: Budget, units: Units) -> str:
    """Return what the last milling of the faces takes of the steel short of carbon; empty where it takes nothing."""
    skin = found.carbon
    if not skin.milled:
        return ""
    deep, taken = (units.length(size, form=".2f") for size in (skin.deep, skin.milled))
    left = f"leave {units.length(skin.left, form='.2f')}" if skin.left > SEEN else "take all of it"
    return f"Shell and steel short of carbon: {deep} deep. {taken} {left}."


def _soak(found: Budget) -> str:
    soak = found.soak
    return (
        f"{soak.least:.0f} min at heat: {soak.through:.0f} until the middle is hot ({soak.soonest:.0f} to "
        f"{soak.latest:.0f}, as the powder conducts), then {SOAK:.0f}, common practice; longer costs scale only: by "
        f"the rule of an hour for every 25 mm (1 inch) it would be {soak.by_rule:.0f} min"
    )


def budget_tables(
    found: Budget, units: Units = METRIC
) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]], list[tuple[str, str]]]:
    """Return the budget's tables, each a list of rows: fill and steps with their heads, and the totals."""
    return [*fill_rows(found, units)], [*stage_rows(found, units)], budget_lines(found, units)


def budget_text(job: Job, found: Budget, units: Units = METRIC) -> str:
    """Return the whole budget as text."""
    parts = [f"Powder and bar: {job.title or 'budget'}", ""]
    for rows in (fill_rows(found, units), stage_rows(found, units), budget_lines(found, units)):
        parts += [*_table(rows), ""]
    if found.notes:
        parts += ["Look at this:", *(f"- {note.told(units)}" for note in found.notes), ""]
    parts += [
        "Sizes: length x mean width x thickness of metal, the scale knocked off. Hot sizes by EN 1993-1-2, 3.4.1.1.",
        f"Scale, lost before the step: {USUAL_SHARE:.0%} of what iron loses in air by the parabolic law, if the heat",
        "does not say otherwise; a fire rich in air takes all of it, one short of air less. Weights after the weld use",
        f"the mean density of all the steel, {found.mean_density:.3f} g/cm³. Wall of the can that folds at the sides",
        "hangs on until it is milled or ground off; sizes and weights of the bar are without it.",
        "",
        "Cautions:",
        *(f"- {caution}" for caution in CAUTIONS),
    ]
    return "\n".join(parts) + "\n"


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    wide = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return ["  ".join(f"{cell:<{width}}" for cell, width in zip(row, wide, strict=True)).rstrip() for row in rows]


def save_budget(
    job: Job, found: Budget, folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Write a budget into ``folder`` as text, told in ``units``, and as JSON."""
    numbers = json.dumps(plain(found), indent=2, ensure_ascii=False) + "\n"
    text = budget_text(job, found, units)
    contents = {"budget.txt": text.encode(), "budget.json": numbers.encode()}
    return write_into(Path(folder), contents, force=force)
