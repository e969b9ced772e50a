"""Sizes and heats in the reader's units; inside, lengths stay in mm and heats in °C.

A quantity is put into words where the sentence is made. Where the reader is not known yet (an error, a note), the
sentence is kept with its quantities in it, and told later.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from preview.base.settings import MM_PER_INCH, Settings


class Units(Settings):
    """The units that sizes and heats are shown and typed in; ``places`` are those of a size in inches.

    Examples
    --------
    >>> Units(sizes="inch").length(85, 39, form=".1f")
    '3.346 x 1.535 in'
    >>> Units().length(85, 39, form=".1f")
    '85.0 x 39.0 mm'
    >>> Units(sizes="inch").area(1545), Units(sizes="inch").volume(96), Units().volume(96)
    ('2.39 in²', '5.86 in³', '96.0 cm³')
    >>> Units(heats="°F").heat(1000)
    '1832 °F'
    """

    sizes: Literal["mm", "inch"] = "mm"
    heats: Literal["°C", "°F"] = "°C"
    places: int = 3

    def name(self, unit: str) -> str:
        """Return the name that ``mm`` or ``°C`` goes by; other units keep theirs."""
        return {"mm": "in" if self.sizes == "inch" else "mm", "°C": self.heats}.get(unit, unit)

    def shown(self, value: float, unit: str) -> float:
        """Return ``value``, in mm or °C as ``unit`` says, in the units chosen."""
        if unit == "mm" and self.sizes == "inch":
            return value / MM_PER_INCH
        if unit == "°C" and self.heats == "°F":
            return value * 1.8 + 32
        return value

    def kept(self, value: float, unit: str) -> float:
        """Return what was typed in the units chosen, in mm or °C as ``unit`` says."""
        if unit == "mm" and self.sizes == "inch":
            return value * MM_PER_INCH
        if unit == "°C" and self.heats == "°F":
            return (value - 32) / 1.8
        return value

    def number(self, value: float, form: str = ".4g") -> str:
        """Return a size in mm as a bare number in the units chosen; ``form`` is how it is written in mm."""
        if self.sizes == "mm":
            return f"{value:{form}}"
        return f"{value / MM_PER_INCH:{'+' if form.startswith('+') else ''}.{self.places}f}"

    def length(self, *sizes: float, form: str = ".4g", between: str = " x ") -> str:
        """Return sizes in mm in words, with their unit; ``form`` is how each is written in mm."""
        return f"{between.join(self.number(size, form) for size in sizes)} {self.name('mm')}"

    def area(self, area: float, form: str = ".0f") -> str:
        """Return an area in mm² in words, with its unit; ``form`` is how it is written in mm²."""
        if self.sizes == "mm":
            return f"{area:{form}} mm²"
        return f"{area / MM_PER_INCH**2:.3g} in²"

    def volume(self, volume: float, form: str = ".1f") -> str:
        """Return a volume in cm³ in words, with its unit; ``form`` is how it is written in cm³."""
        if self.sizes == "mm":
            return f"{volume:{form}} cm³"
        return f"{volume * 1e3 / MM_PER_INCH**3:.3g} in³"

    def heat(self, *temperatures: float, form: str = "g", between: str = " to ") -> str:
        """Return temperatures in °C in words, with their unit."""
        if self.heats == "°F":
            form = ".0f"
        told = (f"{self.shown(temperature, '°C'):{form}}" for temperature in temperatures)
        return f"{between.join(told)} {self.heats}"


METRIC = Units()
"""The units of job files."""


@dataclass(frozen=True)
class Quantity:
    """Sizes (mm), areas (mm²) or temperatures (°C) in a sentence, how each is written, and what stands between them."""

    values: tuple[float, ...]
    unit: Literal["mm", "mm²", "°C"]
    form: str
    between: str

    def told(self, units: Units) -> str:
        """Return it in words, in the reader's units."""
        if self.unit == "mm²":
            return self.between.join(units.area(area, self.form) for area in self.values)
        tell = units.length if self.unit == "mm" else units.heat
        return tell(*self.values, form=self.form, between=self.between)


def mm(*sizes: float, form: str = ".4g", between: str = " x ") -> Quantity:
    """Return sizes in mm to put into a sentence."""
    return Quantity(sizes, "mm", form, between)


def mm2(area: float, form: str = ".0f") -> Quantity:
    """Return an area in mm² to put into a sentence."""
    return Quantity((area,), "mm²", form, " ")


def celsius(*temperatures: float, form: str = "g", between: str = " to ") -> Quantity:
    """Return temperatures in °C to put into a sentence."""
    return Quantity(temperatures, "°C", form, between)


@dataclass(frozen=True)
class Sentence:
    """A sentence whose quantities are told in the reader's units, once it is known who reads it.

    Parameters
    ----------
    text
        The sentence, with ``{}`` where a part goes.
    parts
        What goes there, in order: a `Quantity`, a `Sentence`, a function of `Units` as a step's ``words`` is, or
        anything else as it is.

    Examples
    --------
    >>> found = say("The {} powder needs {}.", "0.5 mm", mm(25.4))
    >>> print(found)
    The 0.5 mm powder needs 25.4 mm.
    >>> found.told(Units(sizes="inch"))
    'The 0.5 mm powder needs 1.000 in.'
    """

    text: str
    parts: tuple[Any, ...]

    def told(self, units: Units) -> str:
        """Return it in the reader's units."""
        parts = (getattr(part, "told", part) for part in self.parts)
        return self.text.format(*(part(units) if callable(part) else part for part in parts))

    def __str__(self) -> str:
        return self.told(METRIC)


def say(text: str, *parts: Any) -> Sentence:
    """Return a sentence; see `Sentence`."""
    return Sentence(text, parts)
