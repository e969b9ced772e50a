"""Quarter turns of a section."""

from __future__ import annotations

from preview.base.arrays import Array


def turned(across: Array, through: Array, quarters: int) -> tuple[Array, Array]:
    """Turn section points by quarter turns; a positive one carries +across to +through."""
    match quarters % 4:
        case 0:
            return across, through
        case 1:
            return -through, across
        case 2:
            return -across, -through
        case _:
            return through, -across
