"""Forecast against found over the blades of a log: numbers, and a plot of the same arrays."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import shorten
from typing import Any

import numpy as np

from preview.base.arrays import Array
from preview.base.errors import RequestError
from preview.base.files import write_into
from preview.base.units import METRIC, Units
from preview.log.findings import EIGHT_IN_TEN, QUANTITIES, findings
from preview.log.log import Blade

CSV_NAME, PLOT_NAME = "over_time.csv", "over_time.png"
COLUMNS = ("forecast", "forecast_error", "found", "found_error")

MOST_NAMED = 14
"""Blades whose names stand under a plot; of more than that each second or third is named."""

PAPER, FORECAST, FOUND = "white", "#8a6d1f", "#1f5f8a"

BAND = 0.56
"""Width of the band round a forecast, of the room that a blade has."""


@dataclass(frozen=True, eq=False)
class OverTime:
    """What was forecast and found of all blades of a log.

    Parameters
    ----------
    names, days
        Of the blades, the oldest first.
    values
        Of each quantity (by its name in `QUANTITIES`) that any blade has: forecast and its standard deviation, found
        and its standard deviation, (blades, 4), NaN where there is none; sizes in mm.
    """

    names: tuple[str, ...]
    days: tuple[str, ...]
    values: Mapping[str, Array]

    def csv(self) -> str:
        """Return all of it as CSV: a row for each quantity of a blade that was found."""
        stream = io.StringIO()
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(("day", "blade", "what", "unit", *COLUMNS, "found_less_forecast"))
        for what, values in self.values.items():
            for day, name, row in zip(self.days, self.names, values.tolist(), strict=True):
                if np.isfinite(row[0]):
                    cells = ["" if cell != cell else f"{cell:.6g}" for cell in (*row, row[2] - row[0])]
                    writer.writerow((day, name, what, QUANTITIES[what].unit, *cells))
        return stream.getvalue()

    def plot(self, units: Units = METRIC) -> bytes:
        """Return a PNG: each quantity by blade; of sizes found less forecast, of the rest both.

        A band round each forecast holds what is found of four blades of five; what was found stands on it.
        """
        from matplotlib.figure import Figure

        shown = list(self.values)
        columns = min(2, len(shown))
        rows = -(-len(shown) // columns)
        figure = Figure(figsize=(4.8 * columns + 0.6, 2.4 * rows + 1.2), layout="constrained", facecolor=PAPER)
        grid = figure.subplots(rows, columns, squeeze=False, sharex=True)
        for what, axes in zip(shown, grid.flat, strict=False):
            self._draw(axes, what, units)
        for axes in grid.flat[len(shown) :]:  # only the blades' names stand there, so that each row lies close
            axes.spines[:].set_visible(False)
            axes.yaxis.set_visible(False)
            axes.tick_params(length=0)
        self._name_blades(grid[-1])
        figure.legend(
            *grid.flat[0].get_legend_handles_labels(), loc="outside upper left", ncols=3, fontsize=8, frameon=False
        )
        stream = io.BytesIO()
        figure.savefig(stream, format="png", dpi=130)
        return stream.getvalue()

    def _draw(self, axes: Any, what: str, units: Units) -> None:
        """Draw one quantity of all blades."""
        quantity, values, places = QUANTITIES[what], self.values[what], np.arange(len(self.names), dtype=float)
        size = quantity.unit == "mm"
        scale, level = (units.shown(1.0, "mm"), values[:, 0]) if size else (1.0, 0.0 * values[:, 0])
        forecast, found = (values[:, 0] - level) * scale, (values[:, 2] - level) * scale
        within, read = (np.nan_to_num(values[:, column]) * EIGHT_IN_TEN * scale for column in (1, 3))
        axes.bar(places, 2 * within, BAND, forecast - within, color=FORECAST, alpha=0.3, label="four of five lie here")
        axes.hlines(forecast, places - BAND / 2, places + BAND / 2, color=FORECAST, lw=2, label="forecast")
        axes.errorbar(places, found, read, fmt="D", ms=5, color=FOUND, lw=1.2, label="found, as well as it was read")
        axes.set_title(quantity.label, fontsize=9, loc="left")
        axes.set_ylabel(f"found less forecast, {units.name('mm')}" if size else quantity.axis, fontsize=8)
        axes.use_sticky_edges = False
        axes.margins(y=0.15)
        axes.spines[["top", "right"]].set_visible(False)
        axes.grid(axis="y", alpha=0.3)
        axes.set_axisbelow(True)
        axes.tick_params(labelsize=8)

    def _name_blades(self, lowest: Any) -> None:
        """Write the blades' names under the lowest plots."""
        places = np.arange(len(self.names))
        each = -(-len(places) // MOST_NAMED)
        named = [
            f"{shorten(name, 18, placeholder='…')}\n{day}" for name, day in zip(self.names, self.days, strict=True)
        ]
        for axes in lowest:
            axes.set_xticks(places[::each], named[::each], rotation=35, ha="right", fontsize=7)
            axes.set_xlim(-0.6, len(places) - 0.4)


def over_time(blades: Sequence[Blade]) -> OverTime:
    """Return what was forecast and found of all blades.

    Raises
    ------
    RequestError
        If nothing was measured of any of them.
    """
    values: dict[str, Array] = {}
    for number, blade in enumerate(blades):
        for each in findings(blade):
            rows = values.setdefault(each.name, np.full((len(blades), len(COLUMNS)), np.nan))
            rows[number] = (each.forecast, each.forecast_error, each.found, each.found_error)
    if not values:
        msg = "nothing was measured of the blades in it, so there is no forecast to compare with what was found"
        raise RequestError.at("log", msg)
    return OverTime(
        tuple(blade.record.name for blade in blades),
        tuple(blade.record.day.isoformat() for blade in blades),
        {name: values[name] for name in QUANTITIES if name in values},
    )


def save_over_time(
    blades: Sequence[Blade], folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Write the plot of `over_time`, and its numbers as CSV, into ``folder``; sizes in the plot in ``units``."""
    found = over_time(blades)
    return write_into(Path(folder), {CSV_NAME: found.csv().encode(), PLOT_NAME: found.plot(units)}, force=force)
