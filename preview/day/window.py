"""Between which heats steel is worked, and what happens outside."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.units import Sentence, celsius, say

STOP = 900.0
"""°C at which high-carbon steel goes back to the fire: the upper end of 850 to 900 (from memory; common practice)."""

WELD_STOP = 1050.0
"""°C under which a can that is being welded goes back to the fire (common practice, no published source)."""

LEAST = 60.0
"""Kelvin between the fire and the end of the work under which there is no time to work (our own choice)."""

BURNS = 1300.0
"""°C from which on steel of 1 % carbon is near to where it begins to melt, 1345 °C, and burns (from memory)."""


@dataclass(frozen=True)
class Window:
    """From the fire's heat down to where the steel has to go back, °C, and what is to be said of it."""

    fire: float
    stop: float
    words: tuple[Sentence, ...] = ()

    def halfway(self, start: float) -> float:
        """Return the heat (°C) at which passes are judged: half way from the first bite to the last."""
        return (max(start, self.stop) + self.stop) / 2


def window_of(fire: float, *, welds: bool) -> Window:
    """Return the window of a step at a heat, °C."""
    stop = WELD_STOP if welds else STOP
    words = []
    if fire - stop < LEAST:
        text = (
            "at {} there is hardly time for a bite before it is down to {}, and worked colder the weld cracks: hotter"
        )
        words.append(say(text, celsius(fire), celsius(stop)))
    else:
        text = "back into the fire at {}: worked colder {}"
        what = (
            "the powder does not weld, and the can splits" if welds else "the steel stiffens fast and the weld cracks"
        )
        words.append(say(text, celsius(stop), what))
    if fire > BURNS:
        words.append(say("over {} the steel is near to burning", celsius(BURNS)))
    return Window(fire, stop, tuple(words))
