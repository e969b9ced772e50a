"""The forging steps and their registry: a new step is one class in a file of its own, and one line in `STEPS`."""

from __future__ import annotations

from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from preview.forging.steps.base import Step
from preview.forging.steps.consolidate import Consolidate
from preview.forging.steps.forge_bevel import ForgeBevel
from preview.forging.steps.press import Press
from preview.forging.steps.taper import Taper
from preview.forging.steps.tile import Tile
from preview.forging.steps.trim import Trim
from preview.forging.steps.turn import Turn
from preview.forging.steps.twist import Twist
from preview.forging.steps.upset import Upset

STEPS: tuple[type[Step], ...] = (Consolidate, Press, Upset, Turn, Twist, Tile, Trim, ForgeBevel, Taper)
"""Every step there is, in the order they are offered."""

if TYPE_CHECKING:
    AnyStep = Step
else:
    AnyStep = Annotated[reduce(or_, STEPS), Field(discriminator="step")]
