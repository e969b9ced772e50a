"""What a tool can do at the most where a pass is too much for it."""

from __future__ import annotations

from math import floor

from preview.day.tools import Tool
from preview.forging.squeeze import Squeeze
from preview.forging.steps.press import NARROW


def greatest_bite(tool: Tool, squeeze: Squeeze, temperature: float) -> float | None:
    """Return the widest bite (whole mm) that the tool manages a pass with; None where one has to be too narrow.

    Bites narrower than a third of the height work the skin only, and so do not count.
    """
    for bite in range(floor(min(squeeze.bite, tool.die_width)), 0, -1):
        if bite < NARROW * squeeze.h0:
            return None
        if tool.load(squeeze.in_bites(float(bite)), temperature) <= 1:
            return float(bite)
    return None


def greatest_down(tool: Tool, squeeze: Squeeze, temperature: float) -> float | None:
    """Return down to what height (mm) the tool manages a pass with its bite; None where it hardly moves it."""
    low, high = squeeze.h1, squeeze.h0 - 0.1
    if high <= low or tool.load(squeeze.only_to(high), temperature) > 1:
        return None
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (low, middle) if tool.load(squeeze.only_to(middle), temperature) <= 1 else (middle, high)
    return high
