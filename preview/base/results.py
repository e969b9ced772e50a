"""Numbers of a result by the units that they are in, and results as plain values for JSON.

A field says its unit in its annotation (``slide: Mm``); in a file its name ends in it (``slide_mm``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from math import isnan
from typing import Annotated, Any, get_args, get_type_hints

from preview.base.units import Sentence


@dataclass(frozen=True)
class In:
    """A number's unit, as its name in a file ends; ``name`` is what it is called there, if not as the field."""

    unit: str
    name: str = ""


Mm = Annotated[float, In("mm")]
Mm2 = Annotated[float, In("mm2")]
Cm3 = Annotated[float, In("cm3")]
Micrometres = Annotated[float, In("um")]
MmPerMm = Annotated[float, In("mm_per_mm")]
Degrees = Annotated[float, In("deg")]
Grams = Annotated[float, In("g")]
GramsPerCm3 = Annotated[float, In("g_per_cm3")]
Celsius = Annotated[float, In("celsius")]
Minutes = Annotated[float, In("min")]
Money = Annotated[float, In("money")]
"""In whatever currency the smith writes his prices."""
ShareOf = Annotated[float, In("share")]
"""From 0 to 1."""
CieLightness = Annotated[float, In("lightness")]
"""CIE L*, 0 to 100."""


def plain(value: Any) -> Any:
    """Return a dataclass as plain values for JSON, each number's name with its unit; what is no number (NaN) as None.

    Examples
    --------
    >>> @dataclass(frozen=True)
    ... class Spot:
    ...     place: str
    ...     slide: Mm
    ...     bright_share: ShareOf
    >>> plain(Spot("edge", 0.5, 0.3))
    {'place': 'edge', 'slide_mm': 0.5, 'bright_share': 0.3}
    """
    if isinstance(value, Sentence):
        return str(value)
    if is_dataclass(value):
        hints = get_type_hints(type(value), include_extras=True)
        each = ((field.name, getattr(value, field.name)) for field in fields(value))
        return {_named(name, _unit(hints[name])): plain(found) for name, found in each}
    if isinstance(value, Mapping):
        return {key: plain(found) for key, found in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(found) for found in value]
    return None if isinstance(value, float) and isnan(value) else value


def _unit(hint: Any) -> In | None:
    """Return the unit that an annotation holds, however deep."""
    if isinstance(hint, In):
        return hint
    return next((unit for part in get_args(hint) if (unit := _unit(part)) is not None), None)


def _named(name: str, unit: In | None) -> str:
    if unit is None:
        return name
    name = unit.name or name
    return name if name.endswith(f"_{unit.unit}") else f"{name}_{unit.unit}"
