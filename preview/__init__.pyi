"""The public names, each written once: the type checker reads them here, and the package looks them up here."""

from .base.cache import Cache as Cache, find_caches_by as find_caches_by
from .base.cautions import CAUTIONS as CAUTIONS
from .base.errors import (
    FileError as FileError,
    JobError as JobError,
    PreviewError as PreviewError,
    RequestError as RequestError,
)
from .base.kinds import Kinds as Kinds
from .base.pictures import jpeg_bytes as jpeg_bytes, png_bytes as png_bytes
from .base.progress import listening as listening
from .base.settings import Control as Control, Either as Either, Settings as Settings
from .base.units import Units as Units
from .blade.grinds import GRIND_KINDS as GRIND_KINDS
from .face.numbers import FINEST_FILLED as FINEST_FILLED
from .filling.budget import weigh as weigh
from .filling.budget_words import (
    budget_lines as budget_lines,
    fill_rows as fill_rows,
    save_budget as save_budget,
    stage_rows as stage_rows,
    whole_budget as whole_budget,
)
from .filling.dividers import Printing as Printing, trouble_lines as trouble_lines
from .filling.drawings import svg_text as svg_text
from .filling.filled import filled_job as filled_job, parse_fill as parse_fill, save_filled as save_filled
from .filling.layout import agreement_of as agreement_of, lay_out as lay_out
from .filling.layout_files import (
    agreement_words as agreement_words,
    beside_picture as beside_picture,
    laid_out as laid_out,
    save_layout as save_layout,
)
from .filling.printing import (
    dividers_of as dividers_of,
    printable_files as printable_files,
    save_dividers as save_dividers,
)
from .filling.regions import (
    Regions as Regions,
    fill_regions as fill_regions,
    numbered_picture as numbered_picture,
    read_regions as read_regions,
    region_at as region_at,
)
from .filling.wanted import Wanted as Wanted
from .forge.coupon import parse_box as parse_box
from .forge.draws import likely as likely
from .forge.measurements import learn as learn
from .forge.residuals import residual_plot as residual_plot
from .forging.steps import STEPS as STEPS
from .job.calibration import (
    Calibration as Calibration,
    dump_calibration as dump_calibration,
    save_calibration as save_calibration,
)
from .job.faults import make_settings as make_settings
from .job.file import (
    dump_job as dump_job,
    load_job as load_job,
    make_job as make_job,
    save_job as save_job,
)
from .job.job import Job as Job, check_job as check_job
from .job.work import (
    keep_work as keep_work,
    new_work as new_work,
    reopen_work as reopen_work,
    work_folder as work_folder,
    work_home as work_home,
)
from .look.spots import marked as marked
from .pattern.clean_sketch import CleanSketch as CleanSketch, clean_sketch as clean_sketch
from .pattern.sketch import Sketch as Sketch
from .pattern.sketch_files import save_sketch as save_sketch, sketch_svg as sketch_svg
from .pipeline import (
    Preview as Preview,
    cross_section as cross_section,
    fields as fields,
    find_spots as find_spots,
    preview as preview,
    step_pictures as step_pictures,
    surviving_lines as surviving_lines,
    thickness_plot as thickness_plot,
    trace as trace,
)
from .sheets.client import SheetWords as SheetWords
from .sheets.paper import page_pictures as page_pictures
from .sheets.render import (
    render as render,
    save_fields as save_fields,
    save_text as save_text,
    section_bytes as section_bytes,
    trace_table as trace_table,
)
from .sheets.report import TRUST as TRUST, report_lines as report_lines, report_text as report_text
from .sheets.sheets import save_sheet as save_sheet, sheet_pdf as sheet_pdf
from .trials.trial_files import save_trials as save_trials
from .trials.trial_sheet import (
    animation as animation,
    ladder_lines as ladder_lines,
    taken_picture as taken_picture,
    taken_words as taken_words,
    trial_rows as trial_rows,
    trial_sheet_picture as trial_sheet_picture,
)
from .trials.trials import (
    Trial as Trial,
    TrialGrinds as TrialGrinds,
    coming_down as coming_down,
    ladder as ladder,
    taken as taken,
    try_grinds as try_grinds,
)
