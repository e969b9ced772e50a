from __future__ import annotations

import pytest

from preview.base.units import Units
from preview.job.faults import make_settings
from preview.job.file import load_job
from preview.sheets.client import SheetWords
from preview.sheets.sheets import sheet_pdf
from tests.conftest import DEMOS


@pytest.fixture(scope="session")
def job():
    """Return the running wave on a bare blade, whose sizes on paper are reckoned by hand."""
    job = load_job(DEMOS / "running_wave.toml")
    bare = {"ricasso": 0.0, "choil": 0.0, "tang": 0.0, "tang_height": None}
    outline = job.blade.outline.model_copy(update=bare)
    return job.model_copy(
        update={
            "blade": job.blade.model_copy(update={"outline": outline}),
            "grind": job.grind.model_copy(update={"heel_flat": 12.0, "plunge": 0.0}),
        }
    )


@pytest.fixture(scope="session")
def shop(job):
    return sheet_pdf(job, "shop", make_settings(SheetWords, {"maker": "Łukasz & Søn (invented)"}, "sheet"))


@pytest.fixture(scope="session")
def inch_shop(job):
    said = make_settings(SheetWords, {"story": "A wave of 50 mm."}, "sheet")
    return sheet_pdf(job, "shop", said, "letter", Units(sizes="inch", heats="°F"))
