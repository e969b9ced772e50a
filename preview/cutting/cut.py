"""What is wanted of a place in the bar: which parts of the motif are kept, and what may be changed for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from preview.base.settings import Angle, Count, Length, NonNegativeLength, Number, PositiveLength, Settings, Switch
from preview.blade.grind import Side

MOST_KEPT = 24


class Keep(Settings):
    """One part of the motif that has to come out whole.

    ``number`` is its own on the bar's face, or ``box`` the metal in a box on the blade's face as it lies now: along and
    across (mm, from heel and edge's baseline) of its corner towards heel and edge, length and height (mm). ``weight``
    is how much it counts beside the others.
    """

    number: Annotated[Count, Field(ge=1)] | None = None
    box: tuple[Length, Length, PositiveLength, PositiveLength] | None = None
    weight: Annotated[Number, Field(gt=0)] = 1.0

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        if (self.number is None) == (self.box is None):
            msg = "a part's number, or a box of four lengths, is needed"
            raise ValueError(msg)
        return self


class Cut(Settings):
    """What is wanted, and what the search is free to change.

    Parameters
    ----------
    keep
        Which parts; all that can come out whole where it is left out.
    face
        On which face.
    margin
        Steel that has to be left round each part, to the blade's outline, mm.
    along, across
        How far off the bar's middle the blade may be laid, mm, from the least to the most, towards the tip and towards
        the spine; as far as the bar goes where they are left out.
    bar
        Length and width of the bar as it was measured, mm; where it is left out, how long and wide it comes out is
        unsure.
    turned, mirrored
        Whether the bar may also lie turned round, or on its other face.
    heights, angles
        From which to which height (mm) or angle (degrees a side) that face's bevel may be ground; one of both, or as it
        is.
    """

    keep: Annotated[tuple[Keep, ...], Field(max_length=MOST_KEPT)] = ()
    face: Side = "right"
    margin: NonNegativeLength = 1.0
    along: tuple[Length, Length] | None = None
    across: tuple[Length, Length] | None = None
    bar: tuple[PositiveLength, PositiveLength] | None = None
    turned: Switch = False
    mirrored: Switch = False
    heights: tuple[PositiveLength, PositiveLength] | None = None
    angles: tuple[Annotated[Angle, Field(gt=0, lt=60)], Annotated[Angle, Field(gt=0, lt=60)]] | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for name in ("along", "across", "heights", "angles"):
            ends = getattr(self, name)
            if ends is not None and ends[0] > ends[1]:
                msg = f"the lower end of {name} comes first; given {ends[0]:g} and {ends[1]:g}"
                raise ValueError(msg)
        if self.heights and self.angles:
            msg = "one of heights and angles is needed"
            raise ValueError(msg)
        return self


def parse_keep(texts: Sequence[str]) -> list[dict[str, Any]]:
    """Return the plain values of `Keep` for parts as they are typed: ``2``, ``20,5,30,12``, with its weight ``2=0.5``.

    Examples
    --------
    >>> parse_keep(["2=0.5", "20,5,30,12"])
    [{'number': 2, 'weight': '0.5'}, {'box': ['20', '5', '30', '12']}]
    """
    found: list[dict[str, Any]] = []
    for text in texts:
        name, given, weight = text.partition("=")
        number: Any = int(name) if name.isdecimal() and len(name) < 4 else name
        what: dict[str, Any] = {"box": name.split(",")} if "," in name else {"number": number}
        found.append({**what, "weight": weight} if given else what)
    return found
