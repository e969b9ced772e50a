"""The kinds of grind and their registry: a new kind is one class and one line here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BeforeValidator, SerializeAsAny, create_model

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
    _Named = str
    GroundKind = str
else:
    _Named = Literal[tuple(GRIND_KINDS)]
    GroundKind = Literal[tuple(GROUND_KINDS)]

_KEYS = {name for kind in GRIND_KINDS.values() for name in kind.model_fields}
_UNKNOWN: type[Bevel] = create_model("Unknown", __base__=Flat, kind=(_Named, ...))
"""Reads a bevel of a kind that there is not: so the names that there are, and all else that is wrong, are told."""


def _of_its_kind(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    named = value.get("kind", Flat.name())
    kind = GRIND_KINDS.get(named, _UNKNOWN) if isinstance(named, str) else _UNKNOWN
    # what another kind needs stays in a file from when the bevel was of that kind, and means nothing
    set_aside = _KEYS - kind.model_fields.keys()
    return kind.model_validate({name: given for name, given in value.items() if name not in set_aside})


AnyBevel = Annotated[SerializeAsAny[Bevel], BeforeValidator(_of_its_kind)]
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
