"""The forging steps and their registry: a new step is one class and one line here."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.forging.steps.base import Heat, PrismaticStep, Step
from preview.forging.steps.consolidate import Consolidate, Shares
from preview.forging.steps.forge_bevel import ForgeBevel
from preview.forging.steps.press import Press
from preview.forging.steps.taper import Taper
from preview.forging.steps.tile import Tile
from preview.forging.steps.trim import Trim
from preview.forging.steps.turn import Turn
from preview.forging.steps.twist import Twist

STEPS: tuple[type[Step], ...] = (Consolidate, Press, Turn, Twist, Tile, Taper, ForgeBevel, Trim)
"""Every step there is, in the order a smith meets them; the tests' battery runs over it."""

AnyStep = Annotated[Consolidate | Press | Turn | Twist | Tile | Taper | ForgeBevel | Trim, Field(discriminator="step")]

__all__ = [
    "STEPS",
    "AnyStep",
    "Consolidate",
    "ForgeBevel",
    "Heat",
    "Press",
    "PrismaticStep",
    "Shares",
    "Step",
    "Taper",
    "Tile",
    "Trim",
    "Turn",
    "Twist",
]
