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
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="session")
def shop(job):
    return sheet_pdf(job, "shop", make_settings(SheetWords, {"maker": "Łukasz & Søn (invented)"}, "sheet"))


@pytest.fixture(scope="session")
def inch_shop(job):
    said = make_settings(SheetWords, {"story": "A wave of 50 mm."}, "sheet")
    return sheet_pdf(job, "shop", said, "letter", Units(sizes="inch", heats="°F"))
