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
    from preview.budget import Budget, weigh
    from preview.budget_text import budget_lines, fill_rows, stage_rows, whole_budget
    from preview.calibrate import Fit, fit_readings
    from preview.calibration import Calibration, dump_calibration, load_calibration, save_calibration
    from preview.cautions import CAUTIONS
    from preview.coupon import parse_box
    from preview.dividers import Dividers, Printing, trouble_lines
    from preview.drawings import svg_text
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
    from preview.layout import Layout, agreement_of, lay_out
    from preview.pipeline import Preview, cross_section, fields, preview, trace
    from preview.plots import residual_plot
    from preview.readings import COLUMNS, make_readings, read_readings
    from preview.regions import Regions, fill_regions, numbered_picture, read_regions, region_at
    from preview.report import TRUST, report_lines, report_text
    from preview.shop_files import (
        agreement_words,
        beside_picture,
        dividers_of,
        filled_job,
        laid_out,
        layout_text,
        make_printing,
        make_wanted,
        parse_fill,
        printable_files,
        save_budget,
        save_dividers,
        save_filled,
        save_layout,
    )
    from preview.wanted import Wanted

_HOMES = {
    "cautions": ("CAUTIONS",),
    "budget": (
        "Budget",
        "weigh",
    ),
    "budget_text": (
        "budget_lines",
        "fill_rows",
        "stage_rows",
        "whole_budget",
    ),
    "dividers": (
        "Dividers",
        "Printing",
        "trouble_lines",
    ),
    "layout": (
        "Layout",
        "agreement_of",
        "lay_out",
    ),
    "wanted": ("Wanted",),
    "regions": (
        "Regions",
        "fill_regions",
        "numbered_picture",
        "read_regions",
        "region_at",
    ),
    "shop_files": (
        "agreement_words",
        "beside_picture",
        "printable_files",
        "dividers_of",
        "filled_job",
        "laid_out",
        "layout_text",
        "make_printing",
        "make_wanted",
        "parse_fill",
        "save_budget",
        "save_dividers",
        "save_filled",
        "save_layout",
    ),
    "drawings": ("svg_text",),
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
    "report": ("TRUST", "report_lines", "report_text"),
}
_HOME = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "CAUTIONS",
    "COLUMNS",
    "TRUST",
    "Budget",
    "Calibration",
    "Dividers",
    "Fault",
    "FileError",
    "Fit",
    "Job",
    "JobError",
    "Layout",
    "Learnt",
    "Likely",
    "Preview",
    "PreviewError",
    "Printing",
    "Regions",
    "Wanted",
    "agreement_of",
    "agreement_words",
    "beside_picture",
    "budget_lines",
    "check_job",
    "cross_section",
    "dividers_of",
    "dump_calibration",
    "dump_job",
    "fields",
    "fill_regions",
    "fill_rows",
    "filled_job",
    "fit_readings",
    "jpeg_bytes",
    "laid_out",
    "lay_out",
    "layout_text",
    "learn",
    "likely",
    "load_calibration",
    "load_job",
    "make_job",
    "make_printing",
    "make_readings",
    "make_wanted",
    "numbered_picture",
    "parse_box",
    "parse_fill",
    "parse_job",
    "png_bytes",
    "preview",
    "printable_files",
    "read_readings",
    "read_regions",
    "region_at",
    "render",
    "report_lines",
    "report_text",
    "residual_plot",
    "save_budget",
    "save_calibration",
    "save_dividers",
    "save_fields",
    "save_filled",
    "save_job",
    "save_layout",
    "save_preview",
    "save_text",
    "section_bytes",
    "stage_rows",
    "svg_text",
    "trace",
    "trace_table",
    "trouble_lines",
    "weigh",
    "whole_budget",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        msg = f"module 'preview' has no attribute {name!r}"
        raise AttributeError(msg)
    return getattr(import_module(f"preview.{_HOME[name]}"), name)
