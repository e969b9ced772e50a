"""Between what a number may lie, given what comes before it in the work: can, forging, blade, grind."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Literal

from preview.base.units import Quantity, Sentence, mm, say


@dataclass(frozen=True)
class Limit:
    """The most, or the least, that a number of the job may be.

    Parameters
    ----------
    where
        Key path of the number, in the job or below the settings that know the limit.
    given
        What it is now.
    bound
        What it may just be, in ``unit``.
    cause
        What sets the bound, such as ``this wheel``.
    most
        Whether the bound is the most; else it is the least.
    fine
        The round numbers that a moved number is one of: multiples of this.
    open
        Whether the bound itself is out of reach already.
    unit
        ``mm`` or ``°``.
    instead
        What else would make the given number possible, where that can be said.
    """

    where: str
    given: float
    bound: float
    cause: str
    most: bool = True
    fine: float = 0.1
    open: bool = False
    unit: Literal["mm", "°"] = "mm"
    instead: Sentence | None = None

    @property
    def nearest(self) -> float:
        """The round number nearest to the bound that can still be had."""
        steps = self.bound / self.fine
        off = 1e-6 if self.open else -1e-6
        whole = floor(steps - off) if self.most else ceil(steps + off)
        return round(whole * self.fine, 6)

    @property
    def holds(self) -> bool:
        """Whether the given number is possible."""
        off = 0 if self.open else 1e-9
        over = self.given - self.bound if self.most else self.bound - self.given
        return over < off or (over <= off and not self.open)

    def under(self, parent: str) -> Limit:
        """Return the same limit with its path placed below ``parent``."""
        return replace(self, where=f"{parent}.{self.where}")

    @property
    def told(self) -> Quantity | str:
        """The nearest number with its unit, to put into a sentence."""
        return mm(self.nearest, form="g") if self.unit == "mm" else f"{self.nearest:g}{self.unit}"

    def words(self) -> Sentence:
        """Return it in words, to stand beside the number."""
        return say("{} {} with {}", "up to" if self.most else "from", self.told, self.cause)

    def fault(self) -> Sentence:
        """Return in words what is wrong with the given number, where the limit does not hold."""
        bound, given = (
            mm(size) if self.unit == "mm" else f"{size:.4g}{self.unit}" for size in (self.bound, self.given)
        )
        need = ("under" if self.open else "at most") if self.most else ("over" if self.open else "at least")
        return say("has to be {} {} with {}; given {}", need, bound, self.cause, given)

    def moved(self, label: str) -> Sentence:
        """Return in words that a number, which is called ``label``, had to move to the nearest one, and why."""
        why = say(
            "{} moved to {}: the {} that {} allows.", label, self.told, "most" if self.most else "least", self.cause
        )
        return why if self.instead is None else say("{} {}.", why, self.instead)
