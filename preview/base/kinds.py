"""One of several settings classes, told apart in a job file by a word."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BeforeValidator, create_model

from preview.base.settings import Settings


def chosen_by(key: str, kinds: Mapping[str, type[Settings]], usual: str) -> BeforeValidator:
    """Return what makes a table into settings of the kind that its ``key`` names, or of the ``usual`` one.

    What only other kinds need may stay in the table from when it was of that kind, and means nothing; any other
    unknown key is refused. Where no kind has the name, the names that there are and all else that is wrong are told.
    """
    keys = {name for kind in kinds.values() for name in kind.model_fields}
    reader: Any = create_model("Unknown", __base__=kinds[usual], **{key: (Literal[tuple(kinds)], ...)})  # type: ignore[call-overload]

    def made(value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        named = value.get(key, usual)
        kind = kinds.get(named, reader) if isinstance(named, str) else reader
        set_aside = keys - kind.model_fields.keys()
        return kind.model_validate({name: given for name, given in value.items() if name not in set_aside})

    return BeforeValidator(made)
