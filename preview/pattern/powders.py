"""The powders, and what is known about them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Control, NonNegativeLength, Number, Percent, Settings, Share

NICKEL_DENSITY = 8.908
"""g/cm3 at room temperature (CRC Handbook, quoted from memory)."""

STEEL_DENSITY = 7.85
"""g/cm3, plain carbon steel: 77.0 kN/m3, the least that EN 1991-1-1, table A.4 gives (from memory)."""


class Powder(Settings):
    """A steel powder.

    Parameters
    ----------
    name
        What the job calls it.
    colours
        Colours that stand for it in the pattern picture: ``#rrggbb`` or a CSS colour name.
    nickel
        Mass per cent of nickel.
    mottle
        Nickel mixed in as a powder of its own stays uneven on the scale of the steel's particles: its
        relative scatter (one standard deviation); 0 for a powder alloyed before it was atomised. What it is, 0.15 or
        so, is from memory.
    particle
        Size of the steel's particles in the can, mm; sets the grain of the mottle. Atomised steel has some 0.05 to
        0.15 (from memory).
    tap_density
        Measured density of the tapped powder, g/cm3 (ISO 3953); left out, the budget takes what the can's fill
        density asks for.
    """

    name: Annotated[str, Field(min_length=1)]
    colours: tuple[str, ...]
    nickel: Annotated[
        Percent, Control("Nickel", "%", "Percent of the weight. Some 4 % stays bright.", least=0.0, most=100.0)
    ]
    mottle: Annotated[
        Share,
        Control(
            "Unevenness", help="Of the nickel: 0 for alloyed powder, some 0.15 where nickel powder was mixed in.",
            least=0.0, most=1.0, step=0.05,
        ),
    ] = 0.0  # fmt: skip
    particle: Annotated[NonNegativeLength, Field(gt=0.005, lt=1)] = 0.1
    tap_density: Annotated[Number, Field(gt=0.5, lt=9)] | None = None

    @property
    def density(self) -> float:
        """Density of the solid steel, g/cm3, by the rule of mixtures."""
        share = self.nickel / 100
        return 1 / ((1 - share) / STEEL_DENSITY + share / NICKEL_DENSITY)


PLAIN = Powder(name="plain", colours=("black",), nickel=0.1)
"""A plain high-carbon steel: etches dark."""

NICKEL = Powder(name="nickel", colours=("white",), nickel=4.0, mottle=0.15)
"""The same with four per cent of nickel powder mixed in: stays bright."""
