"""Sizes of paper."""

from __future__ import annotations

from typing import Literal

PaperName = Literal["a4", "letter", "a3", "tabloid"]

PAPERS: dict[PaperName, tuple[float, float]] = {
    "a4": (297.0, 210.0),
    "letter": (279.4, 215.9),
    "a3": (420.0, 297.0),
    "tabloid": (431.8, 279.4),
}
"""Width and height in mm, landscape: ISO 216, and ANSI/ASME Y14.1 A and B."""
