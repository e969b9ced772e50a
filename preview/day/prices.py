"""The smith's own prices and times, as the shop file holds them: none is filled in for him."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Control, Minutes, Number, Settings

Price = Annotated[Number, Field(ge=0)]


class PowderPrice(Settings):
    """What a kilogram of one powder costs; ``name`` is the powder's in the job."""

    name: str
    kilo: Price


class Prices(Settings):
    """What things cost, in the smith's own ``money``; what is left out is told as not given, and not summed."""

    money: str = ""
    hour: Annotated[Price | None, Control("An hour of your work")] = None
    fire_hour: Annotated[Price | None, Control("An hour of fire", help="Gas or current.")] = None
    can: Annotated[Price | None, Control("A can", help="Tube, lids, dividers.")] = None
    blade: Annotated[Price | None, Control("A blade", help="Belts, etchant, handle.")] = None
    powders: tuple[PowderPrice, ...] = ()

    def kilo(self, powder: str) -> float | None:
        """Return what a kilogram of a powder costs; None where that is not given."""
        return next((each.kilo for each in self.powders if each.name == powder), None)


class Times(Settings):
    """Minutes that the smith takes for what is no forging; what is left out is told as not given, and not summed."""

    can: Annotated[Minutes | None, Control("A can", "min", "Lay, fill, weld shut.")] = None
    mill: Annotated[Minutes | None, Control("A bar", "min", "Mill it off.")] = None
    cut: Annotated[Minutes | None, Control("A blank", "min", "Saw it out, file it to the line.")] = None
    grind: Annotated[Minutes | None, Control("A blade's grind", "min", "Both sides, before and after the quench.")] = (
        None
    )
    finish: Annotated[Minutes | None, Control("A blade's finish", "min", "Harden, etch, handle.")] = None
