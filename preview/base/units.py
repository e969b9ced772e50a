"""Inches and degrees Fahrenheit for those who measure so; inside, lengths stay in mm and heats in °C."""

from __future__ import annotations

import re
from typing import Literal

from preview.base.settings import MM_PER_INCH, Settings

_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_LENGTHS = re.compile(rf"{_NUMBER}(?:(?: x | / | to | and |, |; )(?:up to )?{_NUMBER})* ?mm(?![²³\w/])")
_HEATS = re.compile(rf"({_NUMBER}) ?°C")


class Units(Settings):
    """The units that sizes and heats are shown and typed in.

    Examples
    --------
    >>> Units(length="inch").words("85.0 x 39.0 mm, 2 mm² and 1000 °C")
    '3.346 x 1.535 in, 2 mm² and 1000 °C'
    >>> Units(temperature="°F").words("1000 °C")
    '1832 °F'
    """

    length: Literal["mm", "inch"] = "mm"
    temperature: Literal["°C", "°F"] = "°C"

    def named(self, unit: str) -> str:
        """Return the name that ``mm`` or ``°C`` goes by."""
        return {"mm": "in" if self.length == "inch" else "mm", "°C": self.temperature}.get(unit, unit)

    def shown(self, value: float, unit: str) -> float:
        """Return ``value``, in mm or °C as ``unit`` says, in the units chosen."""
        if unit == "mm" and self.length == "inch":
            return value / MM_PER_INCH
        if unit == "°C" and self.temperature == "°F":
            return value * 1.8 + 32
        return value

    def kept(self, value: float, unit: str) -> float:
        """Return what was typed in the units chosen, in mm or °C as ``unit`` says."""
        if unit == "mm" and self.length == "inch":
            return value * MM_PER_INCH
        if unit == "°C" and self.temperature == "°F":
            return (value - 32) / 1.8
        return value

    def words(self, text: str, places: int = 3) -> str:
        """Return ``text`` with its lengths in mm and heats in °C said in the units chosen, inches to ``places``."""
        if self.length == "inch":
            text = _LENGTHS.sub(lambda found: self.sizes(found[0].removesuffix("mm").rstrip(), places) + " in", text)
        if self.temperature == "°F":
            text = _HEATS.sub(lambda found: f"{float(found[1]) * 1.8 + 32:.0f} °F", text)
        return text

    def sizes(self, text: str, places: int = 3) -> str:
        """Return ``text``, bare numbers in mm, in the units chosen, inches to ``places``."""
        if self.length == "mm":
            return text
        signed = re.compile(_NUMBER)
        return signed.sub(lambda n: f"{'+' if n[0][0] == '+' else ''}{float(n[0]) / MM_PER_INCH:.{places}f}", text)


METRIC = Units()
"""The units of job files."""
