"""What was forecast of a blade, and what was found: bar sizes, lightness, and what its readings taught of the forge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import nan
from typing import Literal

from preview.base.units import METRIC, Units
from preview.forge.fitting import CALIPER_ERROR
from preview.forge.readings import CanReading, make_can_reading, read_table
from preview.forge.welding import SHELL_ERROR
from preview.job.calibration import Calibration
from preview.log.bars import forecast_bar
from preview.log.log import Blade

TOLD = 0.9
"""Share of its error before anything is measured under which a fitted value has learnt something from a blade."""

EIGHT_IN_TEN = 1.2816
"""Standard deviations to either side within which four of five lie."""

Unit = Literal["mm", "", "of 100"]


@dataclass(frozen=True)
class Quantity:
    """Something that is forecast, and found: what it is called, its unit, and what a plot's axis says of it."""

    label: str
    unit: Unit
    axis: str = ""


SIZES = ("length", "width", "thickness")

QUANTITIES = {
    **{f"welded_{size}": Quantity(f"welded can, {size}", "mm") for size in SIZES},
    **{f"bar_{size}": Quantity(f"bar, {size}", "mm") for size in SIZES},
    "bright": Quantity("bright steel, lightness", "of 100", "black 0, white 100"),
    "dark": Quantity("dark steel, lightness", "of 100", "black 0, white 100"),
    "spread": Quantity("spread, of the law's", "", "times the law's"),
    "friction": Quantity("friction of the dies", "", "0 none, 1 sticks fast"),
    "fill": Quantity("fill density", "", "share of solid steel"),
    "scale": Quantity("scale, of what is reckoned", "", "times what is reckoned"),
}
"""All of them, in the order in which they are told."""


@dataclass(frozen=True)
class Finding:
    """One quantity of one blade; errors are standard deviations, NaN where they are not known.

    Parameters
    ----------
    name
        One of `QUANTITIES`.
    forecast, forecast_error
        Before the blade was made, by what was known of the forge then.
    found, found_error
        Measured.
    """

    name: str
    forecast: float
    forecast_error: float
    found: float
    found_error: float

    @property
    def quantity(self) -> Quantity:
        """What it is."""
        return QUANTITIES[self.name]

    @property
    def off(self) -> float:
        """Found less forecast."""
        return self.found - self.forecast

    def words(self, units: Units = METRIC) -> tuple[str, str, str]:
        """Return what it is, what was forecast (four of five within so much) and what was found, in words."""
        unit = self.quantity.unit
        form = {"mm": ".1f", "of 100": ".0f"}.get(unit, ".2f")

        def told(value: float) -> str:
            return units.number(value, form) if unit == "mm" else f"{value:{form}}"

        label = f"{self.quantity.label}, {units.name('mm')}" if unit == "mm" else self.quantity.label
        within = "" if self.forecast_error != self.forecast_error else f" ± {told(EIGHT_IN_TEN * self.forecast_error)}"
        return label, f"{told(self.forecast)}{within}", told(self.found)


def findings(blade: Blade) -> tuple[Finding, ...]:
    """Return what was forecast and found of a blade, in the order of `QUANTITIES`; empty where nothing was measured.

    Raises
    ------
    FileError, RequestError
        If its readings cannot be used.
    """
    can = _can(blade)
    found = {finding.name: finding for finding in (*_sizes(blade, can), *_tones(blade), *_lessons(blade, can))}
    return tuple(found[name] for name in QUANTITIES if name in found)


def _can(blade: Blade) -> CanReading:
    """Return what was read of its can."""
    readings = blade.table("readings")
    return (make_can_reading(read_table(readings)) if readings else None) or CanReading()


def _sizes(blade: Blade, can: CanReading) -> Iterator[Finding]:
    weld = next((number for number, step in enumerate(blade.job.forging) if step.welds), None)
    measured = (
        ("welded", (weld or 0) + 1, _welded(can) if weld is not None else (), SHELL_ERROR),
        ("bar", len(blade.job.forging), blade.record.bar or (), CALIPER_ERROR),
    )
    for what, step, sizes, error in measured:
        if any(size is not None for size in sizes):
            forecast = forecast_bar(blade.job, step)
            for name, size, *told in zip(SIZES, sizes, forecast.sizes.tolist(), forecast.errors.tolist(), strict=True):
                if size is not None:
                    # a size that nothing unsure changes is as good as the smith sets it, which nobody has said
                    yield Finding(f"{what}_{name}", told[0], told[1] or nan, size, error)


def _welded(can: CanReading) -> tuple[float | None, ...]:
    return (can.welded_length, can.welded_width, can.welded_thickness)


def _tones(blade: Blade) -> Iterator[Finding]:
    learnt = blade.learnt
    if learnt is None or learnt.bright is None or learnt.dark is None:
        return
    etch = blade.job.etching
    dark = etch.dark if etch.dark_finish is None else min(etch.dark, etch.dark_finish)
    # how evenly one coupon took the etch says nothing of how the next one will
    yield Finding("bright", etch.bright, nan, learnt.bright, learnt.bright_error or nan)
    yield Finding("dark", dark, nan, learnt.dark, learnt.dark_error or nan)


def _lessons(blade: Blade, can: CanReading) -> Iterator[Finding]:
    """Yield what the forge was taken for and what the blade's own measurements say of it, where they say anything."""
    learnt, before, nothing = blade.learnt, blade.job.forge or Calibration(), Calibration()
    if learnt is None:
        return
    for name, key in (("spread", "spread_factor"), ("friction", "friction")):
        error = getattr(learnt, f"{key}_error")
        if learnt.rows and error < TOLD * getattr(nothing, f"{key}_error"):
            known = getattr(before, key), getattr(before, f"{key}_error")
            yield Finding(name, *known, getattr(learnt, key), error)
    for name, key, weighed in (
        ("fill", "fill_density", can.powder_weight),
        ("scale", "scale_factor", can.scale_weight),
    ):
        if learnt.settling is not None and weighed is not None:
            known = getattr(blade.job.settling, key), getattr(blade.job.settling, f"{key}_error")
            yield Finding(name, *known, getattr(learnt.settling, key), getattr(learnt.settling, f"{key}_error"))
