from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated

from preview.base.results import Grams, In, Micrometres, Mm, ShareOf, plain


@dataclass(frozen=True)
class Inner:
    grams: Annotated[float, In("g", "weight")]
    count: int


@dataclass(frozen=True)
class Outer:
    size: tuple[Mm, Mm]
    bright_share: ShareOf
    softening: Micrometres | None
    finest: dict[str, Mm]
    shell: Grams
    parts: tuple[Inner, ...]
    notes: tuple[str, ...]


def test_names_end_in_their_units():
    found = plain(Outer((1.0, 2.0), 0.5, None, {"plain": float("nan")}, 3.0, (Inner(4.0, 5),), ("a note",)))
    assert found == {
        "size_mm": [1.0, 2.0],
        "bright_share": 0.5,
        "softening_um": None,
        "finest_mm": {"plain": None},
        "shell_g": 3.0,
        "parts": [{"weight_g": 4.0, "count": 5}],
        "notes": ["a note"],
    }
    assert json.loads(json.dumps(found, allow_nan=False)) == found
