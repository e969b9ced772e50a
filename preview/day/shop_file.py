"""The one reader and writer of shop files."""

from __future__ import annotations

from pathlib import Path

from preview.base.errors import FileError
from preview.base.files import read_text
from preview.base.toml import parse_toml
from preview.day.tools import Shop
from preview.job.faults import make_settings

LARGEST_FILE = 1_000_000


def load_shop(path: str | Path) -> Shop:
    """Read a shop file (TOML).

    Raises
    ------
    FileError
        If it cannot be read, or is no TOML.
    RequestError
        With every fault found in it.
    """
    text = read_text(Path(path), LARGEST_FILE, "a shop file")
    try:
        values = parse_toml(text)
    except ValueError as error:
        msg = f"{path}: the text cannot be understood: {error}"
        raise FileError(msg) from None
    return make_settings(Shop, values, "shop")


def dump_shop(shop: Shop) -> str:
    """Return a shop as the text of a shop file (TOML)."""
    import tomli_w

    return tomli_w.dumps(shop.model_dump(mode="json", exclude_none=True))
