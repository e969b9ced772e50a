"""Advice in words, for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from preview.advice.advice import Advice
from preview.base.units import METRIC, Units


def advice_text(found: Sequence[Advice], units: Units = METRIC, most: int = 2) -> str:
    """Return the first ``most`` pieces of advice, a line each, under a heading; nothing where there are none."""
    if not found:
        return ""
    lines = [f"- {each.sentence.told(units)}" for each in found[:most]]
    return "\n".join(["What costs most steel as it is:", *lines, "", ""])
