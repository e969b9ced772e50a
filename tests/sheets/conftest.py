from __future__ import annotations

import pytest

from preview.base.units import Units
from preview.job.file import load_job
from preview.sheets.sheet_files import make_sheet_words, sheet_pdf
from tests.conftest import DEMOS


@pytest.fixture(scope="session")
def job():
    return load_job(DEMOS / "running_wave.toml")


@pytest.fixture(scope="session")
def shop(job):
    return sheet_pdf(job, "shop", make_sheet_words({"maker": "Łukasz & Søn (invented)"}))


@pytest.fixture(scope="session")
def inch_shop(job):
    said = make_sheet_words({"story": "A wave of 50 mm."})
    return sheet_pdf(job, "shop", said, "letter", Units(sizes="inch", heats="°F"))
