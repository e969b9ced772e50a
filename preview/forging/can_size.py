"""How large a can has to be so that its bar comes out as long, or as wide, as is wanted."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from preview.base.cache import kept
from preview.base.curves import crossing
from preview.base.errors import JobError
from preview.forging.bar import Can
from preview.forging.history import History
from preview.forging.steps.base import Step


@kept
def can_size(can: Can, steps: tuple[Step, ...], size: str, of: str, wanted: float) -> float | None:
    """Return the can's inside ``size`` (mm) that makes the bar's ``of`` the ``wanted`` one (mm), the rest as it is.

    ``size`` is ``length``, ``width`` or ``height``, ``of`` is ``length`` or ``width``. None where no size does.
    """

    def over(value: float) -> float:
        bar = History(can.model_copy(update={size: value}).bar(), steps).bar
        return float(getattr(bar, of)) - wanted

    found = _bracket(over)
    return None if found is None else crossing(over, *found)


def _bracket(over: Callable[[float], float]) -> tuple[float, float] | None:
    """Return two sizes (mm) between which ``over`` passes 0, leaving out those that cannot be forged."""
    low = None
    for value in np.geomspace(2.0, 2000.0, 120):
        try:
            sign = over(float(value)) >= 0
        except JobError:
            continue
        if sign:
            return None if low is None else (low, float(value))
        low = float(value)
    return None
