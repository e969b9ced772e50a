from __future__ import annotations

import pytest

from preview.day.shop_file import load_shop
from preview.day.tools import Shop
from tests.conftest import DEMOS

SHOPS = sorted((DEMOS / "shops").glob("*.toml"))


@pytest.fixture(scope="session", params=SHOPS, ids=lambda path: path.stem)
def shop(request: pytest.FixtureRequest) -> Shop:
    """Return each made-up shop in turn."""
    return load_shop(request.param)


@pytest.fixture(scope="session")
def shops() -> dict[str, Shop]:
    return {path.stem: load_shop(path) for path in SHOPS}
