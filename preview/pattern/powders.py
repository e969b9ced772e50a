"""The powders, and what is known about them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.base.settings import Control, NonNegativeLength, Number, Percent, Settings, Share
from preview.pattern.powder_kinds import POWDER_KINDS, UNKNOWN, KindName

NICKEL_DENSITY = 8.908
"""g/cm3 at room temperature (CRC Handbook, quoted from memory)."""

STEEL_DENSITY = 7.85
"""g/cm3, plain carbon steel: 77.0 kN/m3 (EN 1991-1-1, table A.4, from memory: 77.0 to 78.5)."""


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
    kind
        How it was made, and its mesh: between what it taps, see `preview.pattern.powder_kinds`.
    tap_density
        Measured density of the tapped powder, g/cm3 (ISO 3953, ASTM B527); left out, the budget takes what the can's
        fill density asks for, and says whether the kind reaches it.
    """

    name: Annotated[str, Field(min_length=1)]
    colours: tuple[str, ...]
    nickel: Annotated[
        Percent, Control("Nickel", "%", "Percent of the weight. Some 4 % stays bright.", least=0.0, most=100.0)
    ]
    mottle: Annotated[
        Share,
        Control(
            "Uneven nickel", help="0 for alloyed powder, some 0.15 where nickel powder was mixed in.",
            least=0.0, most=1.0, step=0.05,
        ),
    ] = 0.0  # fmt: skip
    particle: Annotated[NonNegativeLength, Field(gt=0.005, lt=1)] = 0.1
    kind: Annotated[
        KindName, Control("Kind", help="How it was made, and its mesh: it tells how densely the powder can be tapped.")
    ] = UNKNOWN
    tap_density: Annotated[
        Annotated[Number, Field(gt=0.5, le=6)] | None,  # pure nickel, as spheres pack at random, has 5.7
        Control(
            "Tap density", "g/cm³", "Weigh a measured volume of it, tapped until it settles no more.",
            least=1.0, most=6.0, step=0.05, offer="Tap density measured", start=4.8,
        ),
    ] = None  # fmt: skip

    @property
    def density(self) -> float:
        """Density of the solid steel, g/cm3, by the rule of mixtures."""
        share = self.nickel / 100
        return 1 / ((1 - share) / STEEL_DENSITY + share / NICKEL_DENSITY)

    @property
    def taps_to(self) -> tuple[float, float]:
        """The least and the most that its kind taps to, g/cm3."""
        least, most = POWDER_KINDS[self.kind]
        return least * self.density, most * self.density

    @property
    def usual_tap(self) -> float | None:
        """What it taps to, g/cm3: as measured, else the middle of its kind's range; None where neither is known."""
        if self.tap_density is not None or self.kind == UNKNOWN:
            return self.tap_density
        return sum(self.taps_to) / 2


BOUGHT = "gas-atomised, -100 mesh"
"""The kind that is taken where the job does not say what its powders are."""

PLAIN = Powder(name="plain", colours=("black",), nickel=0.1, kind=BOUGHT)
"""A plain high-carbon steel: etches dark."""

NICKEL = Powder(name="nickel", colours=("white",), nickel=4.0, mottle=0.15, kind=BOUGHT)
"""The same with four per cent of nickel powder mixed in: stays bright."""
