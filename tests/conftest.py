from __future__ import annotations

import os
from pathlib import Path

# before numpy is there: a second thread only gets in the way of the many small systems that are solved here
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import pytest
from PIL import Image

from preview.job.file import load_job, make_job
from preview.job.job import Job
from preview.pipeline import Preview, preview

DEMOS = Path(__file__).parent.parent / "demo_patterns"
DEMO_JOBS = sorted(DEMOS.glob("*.toml"))


def without_tang(job: Job) -> Job:
    """Return a job with no tang, so that its pictures show the blade from rim to rim."""
    outline = job.blade.outline.model_copy(update={"tang": 0.0})
    return job.model_copy(update={"blade": job.blade.model_copy(update={"outline": outline})})


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-gallery", action="store_true", help="write the gallery's pictures and numbers anew")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let files with slow tests come first, so that no process is left with a long one at the end."""
    slow = {item.path for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: item.path not in slow)


@pytest.fixture(scope="session", autouse=True)
def _cache_of_our_own(tmp_path_factory):
    """Keep the page's work out of the user's own cache."""
    os.environ["XDG_CACHE_HOME"] = str(tmp_path_factory.mktemp("cache"))


@pytest.fixture(scope="session", params=DEMO_JOBS, ids=lambda path: path.stem)
def demo_path(request: pytest.FixtureRequest) -> Path:
    """Return each demo's job file in turn.

    For all tests of a session: they run demo by demo, so that what the package keeps of one serves them all.
    """
    return request.param


@pytest.fixture(scope="session")
def demo(demo_path: Path) -> Job:
    return load_job(demo_path)


@pytest.fixture(scope="session")
def shown(demo: Job) -> Preview:
    """Return a demo's preview at the gallery's resolution."""
    return preview(demo, px_per_mm=1.5)


@pytest.fixture
def make(tmp_path: Path):
    """Return a maker of jobs: a picture (array of booleans, True bright, or of RGB bytes) and the job's tables."""

    def make(picture: np.ndarray | None = None, **tables) -> Job:
        if picture is None:
            picture = np.zeros((40, 100), dtype=bool)
            picture[:, 50:] = True
        pixels = np.uint8(picture * 255) if picture.dtype == bool else picture
        Image.fromarray(pixels).save(tmp_path / "pattern.png")
        pattern = {"picture": "pattern.png", **tables.pop("pattern", {})}
        return make_job({"pattern": pattern, "folder": tmp_path, **tables})

    return make
