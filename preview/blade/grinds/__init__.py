"""The kinds of grind and their registry: a new kind is one class and one line here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import SerializeAsAny

from preview.base.kinds import Kinds
from preview.blade.grinds.base import Bevel, BevelLines, GroundBevel
from preview.blade.grinds.compound import Compound
from preview.blade.grinds.convex import Convex
from preview.blade.grinds.flat import Flat
from preview.blade.grinds.hollow import Hollow
from preview.blade.grinds.unground import Unground

GRIND_KINDS: dict[str, type[Bevel]] = {kind.name(): kind for kind in (Flat, Hollow, Convex, Compound, Unground)}
"""Every kind there is, by its name in a job file; flat is meant where none is named."""

GROUND_KINDS = {name: kind for name, kind in GRIND_KINDS.items() if issubclass(kind, GroundBevel)}
"""Those that take metal off."""

if TYPE_CHECKING:
    GroundKind = str
else:
    GroundKind = Literal[tuple(GROUND_KINDS)]

AnyBevel = Annotated[SerializeAsAny[Bevel], Kinds("kind", GRIND_KINDS, Flat.name())]
"""A bevel of any kind, as it stands in a job."""

__all__ = [
    "GRIND_KINDS",
    "GROUND_KINDS",
    "AnyBevel",
    "Bevel",
    "BevelLines",
    "Compound",
    "Convex",
    "Flat",
    "GroundBevel",
    "GroundKind",
    "Hollow",
    "Unground",
]
