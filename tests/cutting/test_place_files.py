"""Places in the bar as files."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from preview.blade.blade import Placement
from preview.cutting.cut import Cut
from preview.cutting.place_files import save_places
from preview.cutting.places import Places
from preview.job.file import load_job
from tests.cutting.test_places import patches


def test_the_measured_bar_is_kept_and_searched_in_again(make, tmp_path):
    job = make(
        patches((50, 15, 60, 25)),
        can={"length": 120, "width": 40, "height": 12, "wall": 0, "fill_density": 0.6},
        forging=[{"step": "consolidate"}],
        blade={"thickness": 4, "outline": {"shape": "sheepsfoot", "length": 80, "height": 24, "tang": 0}},
        grind={"right": {"height": 4}},
    )
    bar = job.history.bar
    size = round(bar.length + 3, 1), round(bar.width + 1, 1)
    save_places(job, Cut(bar=size), tmp_path / "first")
    placed = load_job(tmp_path / "first/place.toml")
    assert placed.measured_bar == size
    save_places(placed, Cut(), tmp_path / "again")
    assert load_job(tmp_path / "again/place.toml").measured_bar == size
    told = [json.loads((tmp_path / each / "place.json").read_text()) for each in ("first", "again")]
    assert told[0]["best"][0]["in_steel_share"] == told[1]["best"][0]["in_steel_share"] == 1


@pytest.mark.parametrize(
    ("asked", "before", "kept"),
    [((90.0, 30.0), None, (90.0, 30.0)), ((90.0, 30.0), (80.0, 31.0), (90.0, 30.0)), (None, (80.0, 31.0), (80.0, 31.0)),
     (None, None, None)],
)  # fmt: skip
def test_a_place_is_taken_with_the_bar_as_it_was_measured_last(make, asked, before, kept):
    """And with nothing else of the work that was searched: what was changed since stays."""
    searched = make(title="Before")
    job = searched.model_copy(update={"title": "Since", "measured_bar": before})
    there = searched.model_copy(
        update={"blade": searched.blade.model_copy(update={"placement": Placement(off=(2.0, 1.0))})}
    )
    found = Places(Cut(bar=asked), *(None,) * 5)
    laid = found.laid_so(job, SimpleNamespace(job=there))
    assert laid.measured_bar == kept
    assert laid.blade.placement == there.blade.placement
    assert laid.title == "Since"
