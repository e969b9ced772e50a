"""The public names, each written once: the type checker reads them here, and the package looks them up here."""

# isort: skip_file

# a job: read, made, checked, written
from .job.checks import check_job as check_job, own_size as own_size
from .job.job import Job as Job
from .job.file import (
    load_job as load_job,
    make_job as make_job,
    dump_job as dump_job,
    pack_job as pack_job,
    open_packed as open_packed,
)
from .job.uncut import uncut as uncut
from .job.limits import Nearest as Nearest, nearest_job as nearest_job
from .job.arranging import arranged as arranged, forging_fault as forging_fault
from .job.picture import exchange_picture as exchange_picture, fit_picture as fit_picture
from .pattern.pattern import box_of as box_of, fitted_size as fitted_size, round_down as round_down
from .job.faults import make_settings as make_settings
from .base.words import tidy as tidy

# looking: the preview, its numbers, what lies behind it
from .pipeline import preview as preview, Preview as Preview, steps_at_a_glance as steps_at_a_glance
from .pipeline import after_years as after_years
from .sheets.wear_words import wear_lines as wear_lines
from .pipeline import trace as trace, fields as fields
from .sheets.report import report_lines as report_lines, report_text as report_text, TRUST as TRUST
from .forge.draws import likely as likely
from .forge.bands import worst_first as worst_first
from .in_hand.views import views as views
from .in_hand.glb import blade_glb as blade_glb
from .base.pictures import jpeg_bytes as jpeg_bytes, png_bytes as png_bytes
from .look.numbered import numbered as numbered
from .pattern.on_screen import screen_picture as screen_picture

# a drawing on paper made clean
from .pattern.sketch import Sketch as Sketch
from .pattern.clean_sketch import (
    CleanSketch as CleanSketch,
    clean_sketch as clean_sketch,
    find_sheet as find_sheet,
    lay_straight as lay_straight,
)
from .pattern.sketch_files import save_sketch as save_sketch
from .face.numbers import FINEST_FILLED as FINEST_FILLED

# the blade's outline, named or drawn
from .blade.outlines import DrawnOutline as DrawnOutline, Outline as Outline
from .job.drawing import exchange_outline as exchange_outline, read_outline as read_outline
from .look.profile import profile_picture as profile_picture

# what is better changed before the steel is
from .advice.advise import advise as advise
from .advice.can import too_small as too_small
from .advice.advice_words import advice_text as advice_text

# trying grinds
from .trials.trials import (
    TrialGrinds as TrialGrinds,
    Trial as Trial,
    try_grinds as try_grinds,
    coming_down as coming_down,
)
from .trials.apart import apart_lines as apart_lines, rows_apart as rows_apart
from .trials.ladder import find_ladder as find_ladder, find_taken as find_taken
from .trials.trial_sheet import trial_sheet_picture as trial_sheet_picture, animation as animation

# where in the bar the blade is cut
from .cutting.cut import Cut as Cut, parse_keep as parse_keep
from .cutting.places import Places as Places, find_places as find_places
from .cutting.table import place_rows as place_rows
from .cutting.words import (
    drawing_words as drawing_words,
    marking_words as marking_words,
    place_text as place_text,
    place_verdict as place_verdict,
    place_words as place_words,
)
from .cutting.picture import places_picture as places_picture

# filling the can
from .filling.wanted import Wanted as Wanted
from .filling.layout import Layout as Layout, lay_out as lay_out, agreement_of as agreement_of
from .filling.wanted_picture import WantedPicture as WantedPicture, see_wanted as see_wanted
from .filling.layout_files import laid_out as laid_out
from .filling.dividers import Printing as Printing
from .filling.insert import Insert as Insert, insert_of as insert_of, insert_notes as insert_notes
from .filling.can_plan import Room as Room, can_plan as can_plan
from .filling.on_screen import insert_picture as insert_picture, wall_picture as wall_picture
from .filling.printing import (
    DIVIDER_FILES as DIVIDER_FILES,
    dividers_of as dividers_of,
    divider_words as divider_words,
    printable_files as printable_files,
    insert_names as insert_names,
    insert_words as insert_words,
    insert_files as insert_files,
)
from .filling.regions import Regions as Regions, read_regions as read_regions
from .filling.filled import filled_job as filled_job, parse_fill as parse_fill
from .filling.fill import tapped_fill as tapped_fill
from .forging.bar import LEAST_FILL as LEAST_FILL
from .filling.budget import weigh as weigh
from .filling.budget_words import budget_tables as budget_tables, budget_text as budget_text

# the day at the forge
from .day.shop_file import dump_shop as dump_shop, load_shop as load_shop
from .day.planning import make_plan as make_plan
from .day.suiting import suit as suit
from .day.batch import make_batch as make_batch
from .day.tools import Shop as Shop
from .day.plan_rows import plan_sums as plan_sums, plan_tables as plan_tables, plan_verdict as plan_verdict
from .day.batch_words import (
    batch_lines as batch_lines,
    batch_verdict as batch_verdict,
    blanks_svg as blanks_svg,
    cost_rows as cost_rows,
    time_rows as time_rows,
)
from .day.plan_words import PLAN_NOTES as PLAN_NOTES, after_forging as after_forging
from .day.plan_words import day_text as day_text, suited_text as suited_text

# your own forge
from .forge.measurements import learn as learn
from .job.calibration import Calibration as Calibration, dump_calibration as dump_calibration

# a photograph of the real bar or blade
from .job.seen import dump_seen as dump_seen
from .seen.face_photo import find_face as find_face
from .seen.both import match_both as match_both
from .seen.match import match as match
from .seen.card import CARD_SIZE as CARD_SIZE
from .seen.agreeing import contradiction as contradiction
from .seen.match_pictures import MatchPictures as MatchPictures, match_pictures as match_pictures
from .seen.match_files import (
    match_text as match_text,
    save_match as save_match,
    save_refusal as save_refusal,
    seen_job as seen_job,
)

# the blade log
from .log.log import (
    Blade as Blade,
    find_blade as find_blade,
    load_blade as load_blade,
    load_log as load_log,
    zipped_log as zipped_log,
)
from .log.adding import Known as Known, add_blade as add_blade, add_to_blade as add_to_blade, parse_dip as parse_dip
from .log.bars import taught as taught
from .log.findings import findings as findings
from .log.log_words import (
    compare as compare,
    compare_text as compare_text,
    listed as listed,
    log_text as log_text,
)
from .log.over_time import over_time as over_time, save_over_time as save_over_time
from .log.over_blades import forge_over as forge_over, forge_words as forge_words
from .log.past import past_of as past_of

# handing over
from .sheets.client import SheetWords as SheetWords, without_handle as without_handle
from .sheets.client_words import client_words as client_words, told_of_years as told_of_years
from .sheets.rings import rings_picture as rings_picture
from .sheets.view import save_view as save_view, turning_page as turning_page
from .sheets.sheets import sheet_pdf as sheet_pdf
from .sheets.paper import page_pictures as page_pictures
from .base.cautions import CAUTIONS as CAUTIONS, FOOT as FOOT
from .base.packed import pack as pack

# files, all of a set or none
from .sheets.render import (
    render as render,
    save_fields as save_fields,
    save_text as save_text,
    save_profile as save_profile,
    trace_table as trace_table,
)
from .sheets.uncut_files import render_uncut as render_uncut
from .trials.trial_files import save_trials as save_trials
from .cutting.place_files import save_places as save_places
from .filling.layout_files import save_layout as save_layout
from .filling.printing import save_dividers as save_dividers
from .filling.filled import save_filled as save_filled
from .filling.budget_words import save_budget as save_budget
from .day.plan_files import save_plan as save_plan
from .job.calibration import save_calibration as save_calibration
from .job.file import save_packed as save_packed
from .sheets.sheets import save_sheet as save_sheet

# what went wrong
from .base.errors import (
    PreviewError as PreviewError,
    JobError as JobError,
    RequestError as RequestError,
    FileError as FileError,
)

# for those who build on it: units, how a field is asked for, what is kept, how far work has come
from .base.units import Units as Units
from .base.settings import Settings as Settings, Control as Control, Either as Either
from .base.kinds import Kinds as Kinds
from .forging.steps import STEPS as STEPS
from .forging.steps.base import Step as Step
from .blade.grinds import GRIND_KINDS as GRIND_KINDS, Bevel as Bevel
from .forging.order import came_from as came_from
from .base.cache import Cache as Cache, find_caches_by as find_caches_by
from .base.progress import listening as listening
from .job.work import new_work as new_work, work_folder as work_folder, work_home as work_home
from .job.work import put_upload as put_upload, new_draft as new_draft
from .base.files import put_into as put_into
from .job.room import (
    Visit as Visit,
    make_room as make_room,
    taken as taken,
    MOST_OF_ONE as MOST_OF_ONE,
    DAYS_KEPT as DAYS_KEPT,
)
from .job.shelf import Shelf as Shelf
