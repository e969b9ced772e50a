"""What sets trials apart, in words: what is alike in all of them is told once."""

from __future__ import annotations

from collections.abc import Sequence

from preview.base.units import METRIC, Units
from preview.trials.trials import Trial

Rows = list[tuple[str, str]]


def rows_apart(trials: Sequence[Trial], units: Units = METRIC) -> tuple[list[Rows], Rows]:
    """Return each trial's own numbers, and those that are alike in all of several."""
    rows = [trial.rows(units) for trial in trials]
    alike = [row for row in rows[0] if len(rows) > 1 and all(row in other for other in rows)]
    return [[row for row in each if row not in alike] for each in rows], alike


def apart_lines(trials: Sequence[Trial], units: Units = METRIC) -> list[str]:
    """Return what sets the trials apart: where each grind line runs and what it costs, then what is alike in all."""
    _, alike = rows_apart(trials, units)
    each = [
        f"{trial.name.told(units)}: {trial.crossing.words(units)}; {trial.ground_off:.1f} g ground off"
        for trial in trials
    ]
    lines = ["Where the grind line runs, which is what you commit to.", *(f"{line}." for line in each)]
    if alike:
        lines.append(f"Alike in all: {'; '.join(f'{name} {value}' for name, value in alike)}.")
    return lines
