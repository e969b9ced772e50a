"""The section marks where the can has drunk the powder's carbon."""

from __future__ import annotations

import numpy as np
import pytest

from preview.forging.carbon import carbon_skin
from preview.job.file import load_job
from preview.pipeline import preview
from tests.conftest import DEMOS

PX_PER_MM = 40.0


def is_blue(rgb: np.ndarray) -> np.ndarray:
    return rgb[..., 2].astype(int) - rgb[..., 0] > 20


def test_steel_short_of_carbon_is_marked_as_deep_as_it_is():
    """Over the bar's middle, counted in pixels from its face; nowhere once the faces are milled that much more."""
    job = load_job(DEMOS / "plain_start.toml")
    bar, skin = job.history.bar, carbon_skin(job.history)
    cut = preview(job, width=200).section(job.blade.outline.length / 2, PX_PER_MM)
    column = int(np.abs(cut.across - job.blade.outline.height / 2).argmin())  # the blade lies in the bar's middle
    marked = is_blue(cut.rgb[:, column])
    upper, lower = np.split(marked, 2)
    assert upper.sum() / PX_PER_MM == pytest.approx(skin.left, abs=0.06)
    assert lower.sum() == pytest.approx(upper.sum(), abs=2)
    first = int(np.flatnonzero(upper)[0])
    assert (len(marked) / 2 - first) / PX_PER_MM == pytest.approx(bar.thickness / 2, abs=0.06)
    assert cut.poor
    weld, press, mill = job.forging
    thin = {"forging": (weld, press, mill.milling_more(0.8)), "blade": job.blade.model_copy(update={"thickness": 3.2})}
    sound = preview(job.model_copy(update=thin), width=200)
    assert not sound.section(60.0, PX_PER_MM).poor


def test_what_is_ground_away_is_sand_coloured_and_steel_that_stays_is_grey():
    job = load_job(DEMOS / "running_wave.toml")
    cut = preview(job, width=200).section(job.blade.outline.length / 2, PX_PER_MM)
    rows = len(cut.rgb)
    column = int(np.quantile(np.isfinite(cut.right).nonzero()[0], 0.2))  # where much is ground away
    red, _, blue = np.moveaxis(cut.rgb[:, column].astype(int), -1, 0)
    ends = rows / 2 - np.array([cut.right[column], cut.left[column]]) * PX_PER_MM
    number = np.arange(rows)
    stays = (number > ends[0] + 6) & (number < ends[1] - 6)
    np.testing.assert_array_equal(red[stays], blue[stays])
    bar = job.history.bar.thickness / 2 * PX_PER_MM
    gone = (number > rows / 2 - bar + 6) & (number < ends[0] - 6)
    assert gone.any()
    assert ((red - blue)[gone & ~is_blue(cut.rgb[:, column])] > 25).all()


def test_a_section_that_is_explained_has_a_scale_of_ten_marks_a_millimetre_apart():
    job = load_job(DEMOS / "running_wave.toml")
    cut = preview(job, width=200).section(job.blade.outline.length / 2, PX_PER_MM)
    below = cut.explained[len(cut.rgb) :]
    marks = np.flatnonzero(np.diff((below[round(0.3 * PX_PER_MM), :, 0] < 100).astype(int)) == 1)
    assert len(marks) == 11
    assert np.diff(marks) == pytest.approx([PX_PER_MM] * 10, abs=1)
