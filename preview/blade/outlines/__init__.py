"""The outlines and their registry: a trade name is one line in `named`, another way to draw one is a class and here."""

from __future__ import annotations

from typing import Annotated

from pydantic import SerializeAsAny

from preview.base.kinds import Kinds
from preview.blade.outlines.base import Outline
from preview.blade.outlines.drawn import DrawnOutline
from preview.blade.outlines.named import FORMS, NamedOutline

OUTLINES: dict[str, type[Outline]] = {**dict.fromkeys(FORMS, NamedOutline), "drawn": DrawnOutline}
"""Every outline there is, by its name in a job file."""

AnyOutline = Annotated[SerializeAsAny[Outline], Kinds("shape", OUTLINES, NamedOutline().shape)]
"""Any of them, as it stands in a job."""

__all__ = ["OUTLINES", "AnyOutline", "DrawnOutline", "NamedOutline", "Outline"]
