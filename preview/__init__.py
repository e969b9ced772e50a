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
    from preview.base.cautions import CAUTIONS
    from preview.base.errors import Fault, FileError, JobError, PreviewError
    from preview.base.units import Units
    from preview.blade.grinds import GRIND_KINDS, GROUND_KINDS
    from preview.blade.outlines import OUTLINES
    from preview.filling.budget import Budget, weigh
    from preview.filling.budget_words import budget_lines, fill_rows, stage_rows, whole_budget
    from preview.filling.dividers import Dividers, Printing, trouble_lines
    from preview.filling.drawings import svg_text
    from preview.filling.layout import Layout, agreement_of, lay_out
    from preview.filling.regions import Regions, fill_regions, numbered_picture, read_regions, region_at
    from preview.filling.shop_files import (
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
    from preview.filling.wanted import Wanted
    from preview.forge.coupon import parse_box
    from preview.forge.draws import Likely, likely
    from preview.forge.fitting import Fit, fit_readings
    from preview.forge.measurements import Learnt, learn
    from preview.forge.readings import COLUMNS, make_readings, read_readings
    from preview.forge.residuals import residual_plot
    from preview.job.calibration import Calibration, dump_calibration, load_calibration, save_calibration
    from preview.job.file import dump_job, load_job, make_job, parse_job, save_job
    from preview.job.job import Job, check_job
    from preview.job.work import keep_work, new_work, reopen_work, work_folder, work_home
    from preview.look.closer import step_pictures, surviving_lines
    from preview.look.spots import Spot, can_picture, can_spots, face_spot, marked, place_in_can, place_on_face
    from preview.look.thickness import thickness_plot
    from preview.pipeline import Preview, cross_section, fields, preview, trace
    from preview.sheets.client import SheetWords
    from preview.sheets.exports import (
        jpeg_bytes,
        png_bytes,
        render,
        save_fields,
        save_preview,
        save_text,
        section_bytes,
        trace_table,
    )
    from preview.sheets.paper import page_pictures
    from preview.sheets.report import TRUST, report_lines, report_text
    from preview.sheets.sheet_files import make_sheet_words, make_trial_grinds, save_sheet, save_trials, sheet_pdf
    from preview.trials.trial_sheet import (
        animation,
        ladder_lines,
        taken_picture,
        taken_words,
        trial_rows,
        trial_sheet_picture,
    )
    from preview.trials.trials import Ladder, Trial, TrialGrinds, coming_down, ladder, taken, try_grinds

_HOMES = {
    "base.cautions": ("CAUTIONS",),
    "blade.grinds": ("GRIND_KINDS", "GROUND_KINDS"),
    "blade.outlines": ("OUTLINES",),
    "filling.budget": (
        "Budget",
        "weigh",
    ),
    "filling.budget_words": (
        "budget_lines",
        "fill_rows",
        "stage_rows",
        "whole_budget",
    ),
    "filling.dividers": (
        "Dividers",
        "Printing",
        "trouble_lines",
    ),
    "filling.layout": (
        "Layout",
        "agreement_of",
        "lay_out",
    ),
    "filling.wanted": ("Wanted",),
    "filling.regions": (
        "Regions",
        "fill_regions",
        "numbered_picture",
        "read_regions",
        "region_at",
    ),
    "filling.shop_files": (
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
    "filling.drawings": ("svg_text",),
    "trials.trials": (
        "Ladder",
        "Trial",
        "TrialGrinds",
        "coming_down",
        "ladder",
        "taken",
        "try_grinds",
    ),
    "trials.trial_sheet": (
        "animation",
        "ladder_lines",
        "taken_picture",
        "taken_words",
        "trial_rows",
        "trial_sheet_picture",
    ),
    "sheets.sheet_files": (
        "make_sheet_words",
        "make_trial_grinds",
        "save_sheet",
        "save_trials",
        "sheet_pdf",
    ),
    "sheets.paper": ("page_pictures",),
    "sheets.client": ("SheetWords",),
    "base.units": ("Units",),
    "job.work": (
        "keep_work",
        "new_work",
        "reopen_work",
        "work_folder",
        "work_home",
    ),
    "look.spots": (
        "Spot",
        "can_picture",
        "can_spots",
        "face_spot",
        "marked",
        "place_in_can",
        "place_on_face",
    ),
    "look.closer": (
        "step_pictures",
        "surviving_lines",
    ),
    "look.thickness": ("thickness_plot",),
    "forge.fitting": ("Fit", "fit_readings"),
    "job.calibration": ("Calibration", "dump_calibration", "load_calibration", "save_calibration"),
    "base.errors": ("Fault", "FileError", "JobError", "PreviewError"),
    "sheets.exports": (
        "jpeg_bytes",
        "png_bytes",
        "render",
        "save_fields",
        "save_preview",
        "save_text",
        "section_bytes",
        "trace_table",
    ),
    "forge.measurements": ("Learnt", "learn"),
    "job.job": ("Job", "check_job"),
    "job.file": ("dump_job", "load_job", "make_job", "parse_job", "save_job"),
    "forge.coupon": ("parse_box",),
    "forge.draws": ("Likely", "likely"),
    "pipeline": ("Preview", "cross_section", "fields", "preview", "trace"),
    "forge.residuals": ("residual_plot",),
    "forge.readings": ("COLUMNS", "make_readings", "read_readings"),
    "sheets.report": ("TRUST", "report_lines", "report_text"),
}
_HOME = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "CAUTIONS",
    "COLUMNS",
    "GRIND_KINDS",
    "GROUND_KINDS",
    "OUTLINES",
    "TRUST",
    "Budget",
    "Calibration",
    "Dividers",
    "Fault",
    "FileError",
    "Fit",
    "Job",
    "JobError",
    "Ladder",
    "Layout",
    "Learnt",
    "Likely",
    "Preview",
    "PreviewError",
    "Printing",
    "Regions",
    "SheetWords",
    "Spot",
    "Trial",
    "TrialGrinds",
    "Units",
    "Wanted",
    "agreement_of",
    "agreement_words",
    "animation",
    "beside_picture",
    "budget_lines",
    "can_picture",
    "can_spots",
    "check_job",
    "coming_down",
    "cross_section",
    "dividers_of",
    "dump_calibration",
    "dump_job",
    "face_spot",
    "fields",
    "fill_regions",
    "fill_rows",
    "filled_job",
    "fit_readings",
    "jpeg_bytes",
    "keep_work",
    "ladder",
    "ladder_lines",
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
    "make_sheet_words",
    "make_trial_grinds",
    "make_wanted",
    "marked",
    "new_work",
    "numbered_picture",
    "page_pictures",
    "parse_box",
    "parse_fill",
    "parse_job",
    "place_in_can",
    "place_on_face",
    "png_bytes",
    "preview",
    "printable_files",
    "read_readings",
    "read_regions",
    "region_at",
    "render",
    "reopen_work",
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
    "save_sheet",
    "save_text",
    "save_trials",
    "section_bytes",
    "sheet_pdf",
    "stage_rows",
    "step_pictures",
    "surviving_lines",
    "svg_text",
    "taken",
    "taken_picture",
    "taken_words",
    "thickness_plot",
    "trace",
    "trace_table",
    "trial_rows",
    "trial_sheet_picture",
    "trouble_lines",
    "try_grinds",
    "weigh",
    "whole_budget",
    "work_folder",
    "work_home",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        msg = f"module 'preview' has no attribute {name!r}"
        raise AttributeError(msg)
    return getattr(import_module(f"preview.{_HOME[name]}"), name)
