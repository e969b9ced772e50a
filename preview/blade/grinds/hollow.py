"""A hollow grind."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import model_validator

from preview.base.arrays import Array
from preview.base.errors import Fault
from preview.base.limits import Limit
from preview.base.settings import LENGTH_UNITS, Control, PositiveLength, quantity
from preview.base.units import Sentence, Units, mm, say
from preview.blade.grinds.arc import ArcBevel
from preview.blade.grinds.base import BevelLines

LOWEST = 1.0
"""Height (mm) that a wheel has to be large enough for at least."""


class Hollow(ArcBevel):
    """Ground on a contact wheel of ``wheel_diameter`` mm.

    The wheel may be no lower anywhere than at the edge, or it would grind thinner behind the edge than at it. At
    the limit it is tangent to the blade's plane there, and the rise is the sagitta of a chord twice as long as the
    bevel is high: ``rise = R - sqrt(R**2 - height**2)``. Files of earlier versions give ``wheel_radius``.
    """

    kind: Literal["hollow"] = "hollow"
    wheel_diameter: Annotated[
        PositiveLength, Control("Wheel diameter", "mm", "Of the contact wheel.", least=10.0, step=5.0)
    ] = 250.0

    title: ClassVar[str] = "hollow grind"
    bulges: ClassVar[bool] = False
    cause: ClassVar[str] = "this wheel"
    earlier_keys: ClassVar[frozenset[str]] = frozenset({"wheel_radius"})

    @model_validator(mode="before")
    @classmethod
    def _by_radius(cls, given: Any) -> Any:
        if not isinstance(given, dict) or "wheel_radius" not in given:
            return given
        if "wheel_diameter" in given:
            msg = "wheel_diameter and wheel_radius say the same thing: one of them is needed, not both"
            raise ValueError(msg)
        radius = quantity(given["wheel_radius"], LENGTH_UNITS)
        if not isinstance(radius, (int, float)):
            msg = f"wheel_radius needs to be a number; given {radius!r}"
            raise ValueError(msg)
        return {
            **{name: value for name, value in given.items() if name != "wheel_radius"},
            "wheel_diameter": 2 * radius,
        }

    def radius(self, chord: Array) -> Array:
        """See `ArcBevel.radius`."""
        return np.full_like(chord, self.wheel_diameter / 2)

    def heights(self, rise: Array) -> tuple[Array, Array]:
        """See `GroundBevel.heights`: the sagitta, solved for half its chord."""
        return np.zeros_like(rise), np.sqrt(np.maximum(rise * (self.wheel_diameter - rise), 0))

    def own_limits(self, lines: BevelLines, blade_height: float) -> Iterator[Limit]:  # noqa: ARG002 - the contract
        """See `GroundBevel.own_limits`."""
        least = self.smallest_wheel(lines.face - lines.foot, LOWEST)
        yield Limit("wheel_diameter", self.wheel_diameter, least, "this thickness", most=False)

    @staticmethod
    def smallest_wheel(rise: Array, height: float) -> float:
        """Return the least diameter (mm) of a wheel that grinds ``height`` (mm) where the face rises by ``rise``."""
        return float((rise + height**2 / rise).max())

    def instead(self, rise: Array, height: float) -> Sentence:
        """See `GroundBevel.instead`."""
        words = "{} high takes a wheel of diameter {} or more"
        return say(words, mm(height), mm(ceil(self.smallest_wheel(rise, height) - 1e-6), form="g"))

    def fault(self, lines: BevelLines) -> Fault | None:
        """See `Bevel.fault`."""
        rise = lines.face - lines.foot
        _, most = self.heights(rise)
        if (lines.height <= most + 1e-9).all():
            return None
        at = int(np.argmax(lines.height - most))
        wheel, high = mm(self.wheel_diameter, form="g"), float(lines.height[at])
        words = "a wheel of diameter {} grinds at most {} high here; {}"
        reached = mm(floor(10 * float(most[at]) + 1e-6) / 10, form="g")
        key = "height" if self.held_angle is None else "angle"
        return Fault(key, say(words, wheel, reached, self.instead(rise[at : at + 1], high)))

    def words(self, units: Units) -> str:
        """See `Bevel.words`."""
        return f"{super().words(units)}, on a wheel of diameter {units.length(self.wheel_diameter, form='g')}"
