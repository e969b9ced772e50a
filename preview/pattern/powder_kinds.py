"""Kinds of steel powder that are sold, and how densely each settles when it is tapped.

How a tap density is measured is ISO 3953 and ASTM B527; neither says what powders have. The ranges here are those of
powder handbooks (ASM Handbook 7, quoted from memory), good to some 5 %: weigh yours. The round grains of gas-atomised
powder come near the random packing of spheres, the ragged ones of water-atomised powder do not; a narrow cut and a fine
one settle less than one that has all sizes. A mesh is a sieve of ASTM E11: -100 passes 0.150 mm, -325 passes 0.045 mm,
and +100 stays on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from preview.forging.bar import RANDOM_PACKING

UNKNOWN = "unknown"
"""The kind of a powder of which nothing is known, but that it packs no denser than spheres do at random."""

POWDER_KINDS: dict[str, tuple[float, float]] = {
    UNKNOWN: (0.0, RANDOM_PACKING),
    "gas-atomised, -100 mesh": (0.59, RANDOM_PACKING),
    "gas-atomised, -60 +100 mesh": (0.58, 0.62),
    "gas-atomised, -325 mesh": (0.56, 0.62),
    "water-atomised, -100 mesh": (0.45, 0.50),
    "water-atomised, -325 mesh": (0.46, 0.54),
}
"""The least and the most that a powder of each kind taps to, over its solid steel."""

if TYPE_CHECKING:
    KindName = str
else:
    KindName = Literal[tuple(POWDER_KINDS)]
