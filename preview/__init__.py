"""See the etched pattern of a two-powder mosaic blade before the can is welded, forged and ground.

Everything a page, a script or the command line needs is here; names are looked up when first used, so that
``import preview`` costs nothing.

Examples
--------
>>> import preview
>>> job = preview.load_job("demo_patterns/plain_start.toml")
>>> shown = preview.preview(job, px_per_mm=2)
>>> shown.picture.shape
(208, 392)
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from preview.calibrate import Fit, fit_readings
    from preview.calibration import Calibration, dump_calibration, load_calibration, save_calibration
    from preview.coupon import parse_box
    from preview.draws import Likely, likely
    from preview.errors import Fault, FileError, JobError, PreviewError
    from preview.exports import (
        jpeg_bytes,
        png_bytes,
        render,
        save_fields,
        save_preview,
        save_text,
        section_bytes,
        trace_table,
    )
    from preview.forge import Learnt, learn
    from preview.job import Job, check_job
    from preview.jobfile import dump_job, load_job, make_job, parse_job, save_job
    from preview.pipeline import Preview, cross_section, fields, preview, trace
    from preview.plots import residual_plot
    from preview.readings import COLUMNS, make_readings, read_readings
    from preview.report import CAUTIONS, TRUST, report_lines, report_text

_HOMES = {
    "calibrate": ("Fit", "fit_readings"),
    "calibration": ("Calibration", "dump_calibration", "load_calibration", "save_calibration"),
    "errors": ("Fault", "FileError", "JobError", "PreviewError"),
    "exports": (
        "jpeg_bytes",
        "png_bytes",
        "render",
        "save_fields",
        "save_preview",
        "save_text",
        "section_bytes",
        "trace_table",
    ),
    "forge": ("Learnt", "learn"),
    "job": ("Job", "check_job"),
    "jobfile": ("dump_job", "load_job", "make_job", "parse_job", "save_job"),
    "coupon": ("parse_box",),
    "draws": ("Likely", "likely"),
    "pipeline": ("Preview", "cross_section", "fields", "preview", "trace"),
    "plots": ("residual_plot",),
    "readings": ("COLUMNS", "make_readings", "read_readings"),
    "report": ("CAUTIONS", "TRUST", "report_lines", "report_text"),
}
_HOME = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "CAUTIONS",
    "COLUMNS",
    "TRUST",
    "Calibration",
    "Fault",
    "FileError",
    "Fit",
    "Job",
    "JobError",
    "Learnt",
    "Likely",
    "Preview",
    "PreviewError",
    "check_job",
    "cross_section",
    "dump_calibration",
    "dump_job",
    "fields",
    "fit_readings",
    "jpeg_bytes",
    "learn",
    "likely",
    "load_calibration",
    "load_job",
    "make_job",
    "make_readings",
    "parse_box",
    "parse_job",
    "png_bytes",
    "preview",
    "read_readings",
    "render",
    "report_lines",
    "report_text",
    "residual_plot",
    "save_calibration",
    "save_fields",
    "save_job",
    "save_preview",
    "save_text",
    "section_bytes",
    "trace",
    "trace_table",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        msg = f"module 'preview' has no attribute {name!r}"
        raise AttributeError(msg)
    return getattr(import_module(f"preview.{_HOME[name]}"), name)
