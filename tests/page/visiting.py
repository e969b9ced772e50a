"""A visitor's page without a browser: the script itself, by Streamlit's AppTest, and how it is gone about."""

from __future__ import annotations

import base64
import io
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from preview import Cache
from preview.job.file import make_job
from preview.job.shelf import Shelf
from preview.job.work import work_folder, work_home
from preview.look import filmstrip
from preview.page import looking
from preview.pattern import clean_sketch
from preview.pipeline import preview
from tests.conftest import DEMOS

APP = Path(__file__).parents[2] / "app.py"
WAIT = 60
_WORKED_OUT = Cache(limit=1_000_000_000)


def make_pictures_small(patch: pytest.MonkeyPatch) -> None:
    """Let the page's pictures be small and coarse, and follow at once."""
    patch.setitem(preview.__kwdefaults__, "width", looking.DRAFT_WIDTH)
    patch.setattr(looking, "LEAD", 0.0)
    patch.setattr(filmstrip, "SMALL_PX_PER_MM", 0.5)
    patch.setattr(filmstrip, "NODE", 4.0)
    patch.setattr(clean_sketch, "LONGER_SIDE", 1000)


def visit(*groups: int, of: AppTest | None = None, **query: str) -> AppTest:
    """Return the page of a fresh visitor, or of one who opens another's link.

    The grind's controls are open, and those of the groups that are told. What one visitor's page has worked out
    serves the next, and below the blade lies the panel that is made soonest: most tests are about neither.
    """
    page = AppTest.from_file(str(APP), default_timeout=WAIT)
    page.session_state["cache"] = _WORKED_OUT
    page.session_state["below"], page.session_state["Hand over"] = "Hand over", "Cautions"
    for number in groups:
        page.session_state[f"group {number}"] = True
    for name, value in (of.query_params if of else query).items():
        page.query_params[name] = value
    page.run()
    assert not page.exception
    return page


def start() -> AppTest:
    """Return the page of a fresh visitor with all groups of controls open."""
    return visit(*range(1, 7))


def open_panel(page: AppTest, tab: str, panel: str) -> None:
    page.session_state["below"], page.session_state[tab] = tab, panel
    page.run()
    assert not page.exception


def picture(page: AppTest) -> np.ndarray:
    url = page.get("image")[0].proto.imgs[0].url
    content = base64.b64decode(url.partition("base64,")[2])
    return np.asarray(Image.open(io.BytesIO(content)))


def control(page: AppTest, kind: str, label: str):
    found = [each for each in getattr(page, kind) if each.label.replace("\xa0", " ") == label]
    assert found, f"no {kind} {label!r}"
    return found[0]


def slider(page: AppTest, label: str) -> dict[str, Any]:
    """Return what a slider shows; it is moved in a browser only."""
    sent = (json.loads(each.proto.json) for each in page.get("bidi_component") if each.proto.component_name == "slider")
    return next(each for each in sent if each["label"].replace("\xa0", " ") == label)


def press(page: AppTest, label: str, nth: int = 0) -> None:
    [each for each in page.button if each.label == label][nth].click().run()
    assert not page.exception


def shelf(page: AppTest) -> Shelf:
    return Shelf(work_folder(work_home(), page.session_state.work))


def names(page: AppTest) -> list[str]:
    """Return what the visitor's jobs are called that are kept."""
    return [each.name for each in shelf(page).jobs()]


def moved(page: AppTest) -> list[str]:
    """Return what is told to have moved, below the blade and, at the side, again at its control."""
    told = [each.value.strip("*").replace("\\", "") for each in page.caption if " moved to " in each.value]
    return list(dict.fromkeys(told))


def open_job(page: AppTest, **tables) -> None:
    """Open a job with a short blade; another one of the page's own may lie there."""
    job = make_job(
        {
            "pattern": {"picture": "plain_start.png"}, "folder": DEMOS, "forging": [{"step": "consolidate"}],
            "can": {"length": 120, "width": 30, "height": 50, "wall": 0, "fill_density": 0.6},
            "blade": {"thickness": 4, "outline": {"length": 50, "height": 20}},
        }
    )  # fmt: skip
    table = {**job.model_dump(mode="json", exclude_none=True), "folder": job.folder, "forge": None, **tables}
    page.session_state.table = table
    page.session_state.opened += 1
    page.run()


def seems_well(page: AppTest, what: str) -> None:
    assert not page.exception, what
    assert not page.error, f"{what}: {page.error[0].value}"
