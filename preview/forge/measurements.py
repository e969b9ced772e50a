"""From a smith's measurements to the calibration of his forge: readings, marks, and an etched coupon."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preview.base.errors import RequestError
from preview.base.tables import read_rows
from preview.base.units import METRIC, Sentence, Units, mm, say
from preview.forge.coupon import parse_box, read_coupon
from preview.forge.fitting import Fit, fit_readings
from preview.forge.marks import LAID, LAID_UNDER_FACE, RULED, SEEN, fit_marks, photo_to_mm, read_table
from preview.forge.readings import make_can_reading, make_readings, read_table as read_readings_table
from preview.forge.residuals import residual_plot
from preview.forge.welding import fit_settling
from preview.job.calibration import Calibration
from preview.job.job import Job


@dataclass(frozen=True)
class Learnt:
    """A calibration, what was learnt in words, and the fit to readings where there were any."""

    calibration: Calibration
    words: tuple[Sentence, ...]
    fit: Fit | None

    def residuals(self) -> bytes | None:
        """Return a PNG of each reading's residual; see `preview.forge.residuals.residual_plot`."""
        return None if self.fit is None else residual_plot(self.fit)


def learn(
    job: Job,
    *,
    readings: Path | Sequence[Mapping[str, Any]] | None = None,
    marks: Path | None = None,
    ruler: Path | None = None,
    coupon: Path | None = None,
    boxes: Mapping[str, str] | None = None,
    card_lightness: float = 50.0,
    date: str = "",
    units: Units = METRIC,
) -> Learnt:
    """Learn what the given files say, on top of the job's calibration.

    Parameters
    ----------
    job
        The job whose bar was measured.
    readings
        CSV table of caliper readings, or its rows; see `preview.forge.readings.COLUMNS`. Of the can, its weighings and
        sizes once it is welded; see `preview.forge.readings.CAN_COLUMNS`.
    marks, ruler
        CSV tables of marks seen on an etched section (x, y, can_across, can_up) or on the bar's upper face (x, y,
        can_along, can_across), and of points of known place on the same photo (x, y, across, through; on a face
        along and across under the same names); without a ruler x and y are those millimetres.
    coupon, boxes, card_lightness
        Photo of an etched coupon; regions ``bright``, ``dark`` and ``card``, each four shares in text; see
        `preview.forge.coupon.read_coupon`.
    date
        Written into the calibration.
    units
        What the sizes and heats of rows are in where they name no unit; a file's are in mm and °C.

    Raises
    ------
    FileError
        If a file cannot be used, with the reason.
    RequestError
        If nothing, or not just this, can be learnt, with the reason.
    """
    if readings is not None and marks is not None:
        problem = "readings and marks each fit spread and friction anew; give one of them at a time"
        raise RequestError.at("calibrate", problem)
    if readings is None and marks is None and coupon is None:
        raise RequestError.at("calibrate", "nothing to calibrate from: readings, marks or a coupon is needed")
    calibration = job.forge or Calibration()
    words: list[Sentence] = []
    fit = None
    if readings is not None:
        rows, units = (read_readings_table(readings), METRIC) if isinstance(readings, Path) else (readings, units)
        passes, can = make_readings(rows, units), make_can_reading(rows, units)
        if passes:
            fit = fit_readings(passes, date)
            calibration = _with_flow(calibration, fit.calibration)
            words += [say("{}", word) for word in fit.words]
        if can is not None:
            settling, said = fit_settling(job, can)
            calibration = calibration.model_copy(update={"settling": settling, "date": date})
            words += said
    if marks is not None:
        seen = read_table(marks, SEEN)
        on_face = LAID_UNDER_FACE[0] in read_rows(marks).rows[0]
        laid = read_table(marks, LAID_UNDER_FACE if on_face else LAID)
        if ruler is not None:
            seen = photo_to_mm(seen, read_table(ruler, RULED))
        fitted, misfit = fit_marks(job.history, laid, seen, date, on_face=on_face)
        calibration = _with_flow(calibration, fitted)
        flow = (
            f"{len(seen)} marks: spread {fitted.spread_factor:.2f} ± {fitted.spread_factor_error:.2f} of the law's, "
            f"friction factor {fitted.friction:.2f} ± {fitted.friction_error:.2f}"
        )
        words.append(say("{}; what is left over is {} as a rule.", flow, mm(misfit, form=".2f")))
    if coupon is not None:
        regions = {zone: parse_box(text) for zone, text in (boxes or {}).items()}
        tones = read_coupon(
            coupon,
            bright=regions.get("bright"),
            dark=regions.get("dark"),
            card=regions.get("card"),
            card_lightness=card_lightness,
        )
        known = {
            "bright": tones.bright, "bright_error": tones.bright_error,
            "dark": tones.dark, "dark_error": tones.dark_error, "date": date,
        }  # fmt: skip
        calibration = calibration.model_copy(update=known)
        bright, dark = f"{tones.bright:.1f} ± {tones.bright_error:.1f}", f"{tones.dark:.1f} ± {tones.dark_error:.1f}"
        words.append(
            say("Coupon: lightness of the bright steel {}, of the dark {} (black 0, white 100).", bright, dark)
        )
        words += tones.notes
    return Learnt(calibration, tuple(words), fit)


def _with_flow(kept: Calibration, fitted: Calibration) -> Calibration:
    """Return ``fitted`` with the tones, and the can, that are known already."""
    known = {name: getattr(kept, name) for name in ("bright", "bright_error", "dark", "dark_error", "settling")}
    return fitted.model_copy(update=known)
