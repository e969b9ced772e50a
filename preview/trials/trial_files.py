"""Trials as files."""

from __future__ import annotations

import json
from pathlib import Path

from preview.base.files import check_folder, write_into
from preview.base.pictures import png_bytes
from preview.base.results import plain
from preview.base.units import METRIC, Units
from preview.job.job import Job
from preview.trials.apart import apart_lines, rows_apart
from preview.trials.ladder import find_ladder, find_taken
from preview.trials.trial_sheet import (
    animation,
    trial_sheet_picture,
)
from preview.trials.trials import TrialGrinds, coming_down, try_grinds

TRIAL_FILES = ("trials.png", "taken.png", "coming_down.webp", "trials.json", "trials.txt")
"""What `save_trials` writes: trials side by side, what the last takes of the first, the bevel coming down, numbers."""


def save_trials(
    job: Job, grinds: TrialGrinds, folder: str | Path, *, units: Units = METRIC, force: bool = False
) -> tuple[Path, ...]:
    """Try grinds and write what comes of it into ``folder``, told in ``units``: the files of `TRIAL_FILES`."""
    folder = Path(folder)
    check_folder(folder, TRIAL_FILES, force=force)
    tried = try_grinds(job, grinds)
    trials = tried.trials
    found = find_ladder(trials)
    first, last = (trials[found.rungs[end]] for end in (0, -1))
    change = find_taken(first, last)
    scale = first.face.grid.px_per_mm
    numbers = {
        "trials": [
            {
                "name": plain(t.name),
                "finest_mm": plain(t.finest),
                "motif_off_share": t.motif_off,
                "ground_off_g": t.ground_off,
                "parts_above": t.crossing.above,
                "parts_crossed": len(t.crossing.on),
                "parts_below": t.crossing.below,
                **plain(t.numbers),
            }
            for t in trials
        ],
        "left_out": [plain(each) for each in tried.left_out],
        "ladder": plain(found),
        "taken": {
            "from": plain(first.name),
            "to": plain(last.name),
            "lost_mm2": change.lost,
            "gained_mm2": change.gained,
        },
    }
    told = [*apart_lines(trials, units), ""]
    for number, (trial, own) in enumerate(zip(trials, rows_apart(trials, units)[0], strict=True), start=1):
        told += [f"{number} · {trial.name.told(units)}", *(f"    {name}: {value}" for name, value in own), ""]
    told += [*(each.told(units) for each in tried.left_out), *found.lines(units), "", change.words(units)]
    contents = (
        png_bytes(trial_sheet_picture(trials, units), scale),
        png_bytes(change.picture(units), scale),
        animation(coming_down(job, grinds.face)),
        (json.dumps(numbers, indent=2) + "\n").encode(),
        ("\n".join(told) + "\n").encode(),
    )
    return write_into(folder, dict(zip(TRIAL_FILES, contents, strict=True)), force=force)
