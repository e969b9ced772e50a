"""The base of every settings class, and the kinds of number a job file may hold.

A bare number is in millimetres, degrees, degrees Celsius or minutes. Text with a unit is taken too, for
those who measure so: ``"1/4 in"``, ``"1 1/2 in"``, ``"2200 F"``, ``"1.5 h"``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, ClassVar, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool

_TEXT = re.compile(r"^\s*(?P<number>[-+]?\d+(?:\.\d+)?(?:\s*/\s*\d+)?(?:\s+\d+\s*/\s*\d+)?)\s*(?P<unit>\D*?)\s*$")
_COMMA = re.compile(r"^\s*(?P<number>[-+]?\d+,\d+)(?:\s*\D*)$")

LONGEST_QUANTITY = 60
"""Characters of a number with its unit, some of which may be spaces."""

LARGEST, LONGEST_HEAT = 1e5, 1e5
"""Sizes in mm (100 m), and minutes (ten weeks), that no smith's work comes near: over them sums lose their meaning."""

_Scale = Callable[[Fraction], Fraction]


class Settings(BaseModel):
    """A frozen, hashable value, checked once when it is made; unknown keys are refused.

    ``either`` names the fields that exclude each other, where a class has such; ``earlier_keys`` are keys that files
    of earlier versions may hold for it, and that it still reads.
    """

    # built when first used, so that a command pays for what it touches alone; pydantic before 2.14.4 may stumble over
    # two threads that do so at once
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)
    either: ClassVar[Either | None] = None
    earlier_keys: ClassVar[frozenset[str]] = frozenset()

    @classmethod
    def control(cls, name: str) -> Control | None:
        """Return how a person is asked for the field called ``name``; None for one that nobody is asked for."""
        return next((each for each in cls.model_fields[name].metadata if isinstance(each, Control)), None)

    @classmethod
    def part(cls, name: str) -> type[Settings]:
        """Return the class of the settings, or of each of the settings, that the field called ``name`` holds."""
        kinds = [cls.model_fields[name].annotation]
        while kinds:
            kind = kinds.pop(0)
            if isinstance(kind, type) and issubclass(kind, Settings):
                return kind
            kinds += get_args(kind)
        raise KeyError(name)

    @classmethod
    def asked(cls) -> tuple[str, ...]:
        """Return the names of the fields that a person is asked for, in their order."""
        return tuple(name for name in cls.model_fields if cls.control(name))


@dataclass(frozen=True)
class Either:
    """Fields that are several ways to say one thing: at most one of them is given.

    Parameters
    ----------
    label
        What they all say.
    fields
        Their names, the usual one first.
    """

    label: str
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Control:
    """How a person is asked for a field; it stands in the field's own annotation.

    What kind of control it takes (number, switch, choice) follows from the field's type. Bounds are what is usually
    offered; the field's own check is what is allowed.

    Parameters
    ----------
    label
        What it is called, without its unit.
    unit
        ``mm``, ``°C``, ``°`` and so on; mm and °C are shown and typed in the reader's units.
    help
        A word beside it.
    least, most, step
        Range offered, and by how much it moves, in ``unit``.
    slider
        Whether it is moved rather than typed.
    offer
        For a field that may be left out: the words that offer to give it.
    start
        The value such a field, or one of an `Either`, starts from once it is given.
    ends
        For one amount each of two opposite sides: what the sides are called.
    """

    label: str
    unit: str = ""
    help: str = ""
    least: float | None = None
    most: float | None = None
    step: float | None = None
    slider: bool = False
    offer: str = ""
    start: Any = None
    ends: tuple[str, str] = ("", "")


def _times(factor: str) -> _Scale:
    return lambda value: value * Fraction(factor)


def _from_fahrenheit(value: Fraction) -> Fraction:
    return (value - 32) / Fraction("1.8")


MM_PER_INCH = 25.4

LENGTH_UNITS: Mapping[str, _Scale] = {
    "mm": _times("1"),
    "cm": _times("10"),
    "in": _times("25.4"),
    "inch": _times("25.4"),
    '"': _times("25.4"),
}
ANGLE_UNITS: Mapping[str, _Scale] = {"deg": _times("1"), "°": _times("1")}
TEMPERATURE_UNITS: Mapping[str, _Scale] = {
    "C": _times("1"),
    "°C": _times("1"),
    "F": _from_fahrenheit,
    "°F": _from_fahrenheit,
}
WEIGHT_UNITS: Mapping[str, _Scale] = {
    "g": _times("1"),
    "kg": _times("1000"),
    "oz": _times("28.349523125"),
    "lb": _times("453.59237"),
}
"""Ounce and pound are avoirdupois: 0.45359237 kg a pound by the international agreement of 1959."""
DURATION_UNITS: Mapping[str, _Scale] = {"min": _times("1"), "h": _times("60"), "s": _times("1/60")}


def quantity(value: Any, units: Mapping[str, _Scale]) -> Any:
    """Return ``value`` in the base unit; text is parsed with ``units``, numbers are passed on.

    Raises
    ------
    ValueError
        If the text is no number with one of the units, or the value is true or false.

    Examples
    --------
    >>> quantity("1 1/2 in", LENGTH_UNITS)
    38.1
    >>> round(quantity("2200 F", TEMPERATURE_UNITS), 1)
    1204.4
    """
    if isinstance(value, bool):
        raise ValueError("a number is needed")
    if not isinstance(value, str):
        return value
    if len(value) > LONGEST_QUANTITY:
        msg = f"a number is needed, of at most {LONGEST_QUANTITY} characters"
        raise ValueError(msg)
    match = _TEXT.match(value)
    unit = match["unit"] if match else ""
    comma = _COMMA.match(value)
    if comma:
        msg = f"{comma['number']}: write {comma['number'].replace(',', '.')}"
        raise ValueError(msg)
    if match is None or (unit and unit not in units):
        known = ", ".join(units) or "none, a bare number"
        msg = f"a number is needed, with a unit if it is text (known units: {known})"
        raise ValueError(msg)
    if units and not unit and "/" in match["number"]:
        msg = f"a fraction needs its unit, one of {', '.join(units)}"
        raise ValueError(msg)
    try:
        number = sum((Fraction(part) for part in re.sub(r"\s*/\s*", "/", match["number"]).split()), Fraction(0))
    except ZeroDivisionError:
        msg = "a fraction needs a denominator other than 0"
        raise ValueError(msg) from None
    return float(units[unit](number) if unit else number)


def _kind(units: Mapping[str, _Scale]) -> BeforeValidator:
    return BeforeValidator(lambda value: quantity(value, units))


def _no_bool(value: Any) -> Any:
    if isinstance(value, (bool, str)):
        msg = "a whole number is needed"
        raise ValueError(msg)
    return value


Length = Annotated[float, _kind(LENGTH_UNITS), Field(ge=-LARGEST, le=LARGEST)]
PositiveLength = Annotated[float, _kind(LENGTH_UNITS), Field(gt=0, le=LARGEST)]
NonNegativeLength = Annotated[float, _kind(LENGTH_UNITS), Field(ge=0, le=LARGEST)]
Angle = Annotated[float, _kind(ANGLE_UNITS), Field(ge=-3600, le=3600)]
Temperature = Annotated[float, _kind(TEMPERATURE_UNITS), Field(ge=0, le=1500)]
Minutes = Annotated[float, _kind(DURATION_UNITS), Field(ge=0, le=LONGEST_HEAT)]
Number = Annotated[float, _kind({}), Field(ge=-LARGEST, le=LARGEST)]
Share = Annotated[float, _kind({}), Field(ge=0, le=1)]
Percent = Annotated[float, _kind({}), Field(ge=0, le=100)]
Lightness = Annotated[float, _kind({}), Field(ge=0, le=100)]
Count = Annotated[int, BeforeValidator(_no_bool)]
Switch = StrictBool
