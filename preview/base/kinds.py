"""One of several settings classes, told apart in a job file by a word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from pydantic import GetCoreSchemaHandler, create_model
from pydantic_core import CoreSchema, core_schema

from preview.base.settings import Settings


@dataclass(frozen=True, eq=False)
class Kinds:
    """What makes a table into settings of one of several kinds; it stands in the field's annotation.

    What only other kinds need may stay in the table from when it was of that kind, and means nothing; any other
    unknown key is refused. Where no kind has the name, the names that there are and all else that is wrong are told.

    Parameters
    ----------
    key
        The key that names the kind.
    classes
        The kinds' classes by their names.
    usual
        The kind that is meant where none is named.
    """

    key: str
    classes: Mapping[str, type[Settings]]
    usual: str

    @staticmethod
    def of(model: type[Settings], name: str) -> Kinds | None:
        """Return the kinds that the field ``name`` of ``model`` may be of; None where it is of one type."""
        return next((each for each in model.model_fields[name].metadata if isinstance(each, Kinds)), None)

    @cached_property
    def _keys(self) -> set[str]:
        return {name for kind in self.classes.values() for name in (*kind.model_fields, *kind.earlier_keys)}

    @cached_property
    def _unknown(self) -> Any:
        names = Literal[tuple(self.classes)]  # type: ignore[valid-type]
        return create_model("Unknown", __base__=self.classes[self.usual], **{self.key: (names, ...)})  # type: ignore[call-overload]

    def read(self, value: Any) -> Any:
        """Return a table as settings of its kind; what is no table is passed on."""
        if not isinstance(value, dict):
            return value
        named = value.get(self.key, self.usual)
        kind = self.classes.get(named, self._unknown) if isinstance(named, str) else self._unknown
        set_aside = self._keys - kind.model_fields.keys() - kind.earlier_keys
        return kind.model_validate({name: given for name, given in value.items() if name not in set_aside})

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))
