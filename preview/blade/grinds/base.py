"""The contract every kind of grind keeps.

A bevel is a frozen value: settings and model in one. On a blade it becomes `BevelLines`, the arrays at stations along
the blade; given those, its kind says where the face stands between edge and grind line, and what is impossible.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Array
from preview.base.errors import Fault
from preview.base.limits import Limit
from preview.base.settings import Angle, Control, PositiveLength, Settings
from preview.base.units import Sentence, Units, mm, say


class Bevel(Settings):
    """What is ground on one face.

    Subclasses give ``kind`` (the name in the job file), ``title`` (in a few words what it is), `stand` and `words`.
    A kind that takes metal off derives from `GroundBevel`.
    """

    kind: str

    title: ClassVar[str]
    is_ground: ClassVar[bool] = False
    cause: ClassVar[str] = ""

    @classmethod
    def name(cls) -> str:
        """Return what the kind is called in a job file."""
        return str(cls.model_fields["kind"].default)

    def as_kind(self, kind: type[Bevel]) -> Bevel:
        """Return a bevel of another kind that keeps every field both have."""
        both = (type(self).model_fields.keys() & kind.model_fields.keys()) - {"kind"}
        return kind(**{name: getattr(self, name) for name in both})

    @classmethod
    def own_controls(cls) -> dict[str, Control]:
        """Return how a person is asked for the fields that other kinds lack, by name."""
        own = [name for name in cls.model_fields if name not in GroundBevel.model_fields]
        return {name: control for name in own if (control := cls.control(name))}

    def line_height(self, foot: Array, face: Array, blade_height: float) -> Array:  # noqa: ARG002
        """Return how far from the edge (mm) the bevel reaches the face; ``foot`` and ``face`` as in `BevelLines`."""
        return np.full_like(face, np.inf)

    def height_fault(self, blade_height: float) -> Sentence | None:  # noqa: ARG002 - part of the contract
        """Return what is impossible about the height asked for, or None."""
        return None

    def fault(self, lines: BevelLines) -> Fault | None:  # noqa: ARG002 - part of the contract
        """Return what is impossible about this bevel on a blade, with the field that it is about; or None."""
        return None

    def limits(self, foot: Array, face: Array, blade_height: float) -> Iterator[Limit]:  # noqa: ARG002 - the contract
        """Yield what its fields may be, in the order in which they settle each other; arrays as in `BevelLines`."""
        yield from ()

    def stand(self, lines: BevelLines, distance: Array) -> Array:
        """Return where the face stands (mm from the mid-plane) at ``distance`` (mm) from the edge, in its dtype."""
        raise NotImplementedError

    def angle_of(self, lines: BevelLines) -> Array:
        """Return the angle that a jig is set to, degrees a side, from the mid-plane."""
        return np.degrees(np.arctan((lines.face - lines.foot) / lines.height))

    def at_height(self, height: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return the bevel with its grind line at ``height`` (mm from the edge)."""
        return self

    def at_angle(self, angle: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return the bevel ground at ``angle`` (degrees a side)."""
        return self

    def lowered(self, share: float, line: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return the bevel on its way down to a grind line at ``line`` (mm): ``share`` of the way, from 0 to 1."""
        return self

    def missed(self, height: float, angle: float, blade_height: float) -> Self:  # noqa: ARG002 - part of the contract
        """Return the bevel ground too low by ``height`` (mm), or too steep by ``angle`` (degrees) if that is held."""
        return self

    def words(self, units: Units) -> str:
        """Return it in plain words, in the reader's units."""
        raise NotImplementedError


class GroundBevel(Bevel):
    """A bevel that runs from the edge, at its thickness before sharpening, up to the grind line.

    ``height`` (mm from the edge, or ``"full"`` up to the spine) or ``angle`` (degrees a side, from the mid-plane; of
    a round bevel, of its chord) is used as ``hold`` says. Subclasses give ``kind``, ``title`` and `surface`.
    """

    hold: Annotated[
        Literal["height", "angle"],
        Control(
            "What stays the same from heel to tip?",
            help="Where the blade tapers: the height of the grind line, or the angle that a jig is set to.",
        ),
    ] = "height"
    height: Annotated[
        PositiveLength | Literal["full"],
        Control("Grind height", "mm", "From the edge up to the grind line.", least=1.0, step=0.1, slider=True),
    ] = "full"
    angle: Annotated[
        Annotated[Angle, Field(gt=0, lt=60)] | None,
        Control(
            "Grind angle", "° a side", "From the blade's middle to the bevel, on each side.",
            least=1.0, most=59.0, step=0.1, slider=True, start=5.0,
        ),
    ] = None  # fmt: skip

    is_ground: ClassVar[bool] = True

    @model_validator(mode="after")
    def _angle_given(self) -> Self:
        if self.hold == "angle" and self.angle is None:
            msg = "an angle is needed where the angle is what is held"
            raise ValueError(msg)
        return self

    @property
    def held_angle(self) -> float | None:
        """The angle (degrees a side) where it is what is held."""
        return self.angle if self.hold == "angle" else None

    def surface(self, lines: BevelLines, distance: Array) -> Array:
        """Return a new array: where the ground surface stands, which beyond the grind line may be past the face."""
        raise NotImplementedError

    def stand(self, lines: BevelLines, distance: Array) -> Array:
        """See `Bevel.stand`: no higher than the face, and as deep as the ricasso and the plunge let it."""
        number = distance.dtype.type
        face = lines.face.astype(number)
        ground = self.surface(lines, distance)
        np.minimum(ground, face, out=ground)
        if (lines.depth < 1).any():
            ground = face + (ground - face) * lines.depth.astype(number)
        return ground

    def line_height(self, foot: Array, face: Array, blade_height: float) -> Array:
        """See `Bevel.line_height`."""
        if self.held_angle is not None:
            return np.asarray((face - foot) / np.tan(np.radians(self.held_angle)))
        return np.full_like(face, blade_height if self.height == "full" else self.height)

    def height_fault(self, blade_height: float) -> Sentence | None:
        """See `Bevel.height_fault`."""
        if self.hold == "angle" or self.height == "full" or self.height <= blade_height:
            return None
        words = "has to be at most the blade's height of {}; given {}"
        return say(words, mm(blade_height, form="g"), mm(self.height, form="g"))

    def heights(self, rise: Array) -> tuple[Array, Array]:
        """Return the least and the greatest height (mm) that can be ground where the face rises by ``rise`` (mm)."""
        return np.zeros_like(rise), np.full_like(rise, np.inf)

    def own_limits(self, lines: BevelLines, blade_height: float) -> Iterator[Limit]:  # noqa: ARG002 - the contract
        """Yield what the fields that other kinds lack may be, in the order in which they settle each other."""
        yield from ()

    def instead(self, rise: Array, height: float) -> Sentence | None:  # noqa: ARG002 - part of the contract
        """Return what would make a ``height`` (mm) over the greatest possible, where that can be said."""
        return None

    def limits(self, foot: Array, face: Array, blade_height: float) -> Iterator[Limit]:
        """See `Bevel.limits`."""
        rise, given = face - foot, blade_height if self.height == "full" else self.height
        if self.held_angle is None:
            yield Limit("height", given, blade_height, "this blade height")
        asked = self.line_height(foot, face, blade_height)
        yield from self.own_limits(BevelLines(self, foot, face, asked, np.ones_like(face)), blade_height)
        low, high = self.heights(rise)
        if self.held_angle is None:
            least, most = float(low.max()), float(high.min())
            if most < np.inf:
                yield Limit("height", given, most, self.cause, instead=self.instead(rise, given))
            if least > 0:
                yield Limit("height", given, least, self.cause, most=False, open=True)
            return
        with np.errstate(divide="ignore", invalid="ignore"):  # where a field of its own is not settled yet
            steep, slight = (
                self.angle_of(BevelLines(self, foot, face, height, np.ones_like(face))) if use.any() else None
                for height, use in ((low, low > 0), (high, high < np.inf))
            )
        if slight is not None:
            instead = self.instead(rise, float(asked.max()))
            least = float(slight.max())
            yield Limit("angle", self.held_angle, least, self.cause, most=False, fine=0.01, unit="°", instead=instead)
        if steep is not None:
            yield Limit("angle", self.held_angle, float(steep.min()), self.cause, fine=0.01, open=True, unit="°")

    def at_height(self, height: float) -> Self:
        """See `Bevel.at_height`."""
        return self.model_copy(update={"hold": "height", "height": height})

    def at_angle(self, angle: float) -> Self:
        """See `Bevel.at_angle`."""
        return self.model_copy(update={"hold": "angle", "angle": angle})

    def lowered(self, share: float, line: float) -> Self:
        """See `Bevel.lowered`."""
        return self.at_height(share * line)

    def missed(self, height: float, angle: float, blade_height: float) -> Self:
        """See `Bevel.missed`."""
        if self.held_angle is not None:
            return self.model_copy(update={"angle": self.held_angle + angle})
        asked = blade_height if self.height == "full" else self.height
        return self.model_copy(update={"height": asked - height})

    def words(self, units: Units) -> str:
        """See `Bevel.words`."""
        if self.held_angle is not None:
            return f"{self.kind} ground at {round(self.held_angle, 2):g}° a side"
        high = "full height" if self.height == "full" else f"{units.length(round(self.height, 2), form='g')} high"
        return f"{self.kind} ground {high}"


@dataclass(frozen=True, eq=False)
class BevelLines:
    """One face's bevel at stations along the blade; all arrays of one shape, mm from the mid-plane, outwards.

    Parameters
    ----------
    bevel
        What was asked for.
    foot
        Where the face stands at the edge.
    face
        Where it stands unground.
    height
        Distance from the edge at which the bevel reaches the face.
    depth
        Share of the bevel's depth that is ground: 0 on the ricasso, 1 past the plunge.
    """

    bevel: Bevel
    foot: Array
    face: Array
    height: Array
    depth: Array

    @property
    def angle(self) -> Array:
        """Angle that a jig is set to, degrees a side, from the mid-plane."""
        return self.bevel.angle_of(self)

    def fault(self) -> Fault | None:
        """Return what is impossible about this bevel, with the bevel's field that it is about; or None."""
        return self.bevel.fault(self)

    def stand(self, distance: Array) -> Array:
        """Return where the face stands (mm from the mid-plane) at ``distance`` (mm) from the edge; broadcastable."""
        return self.bevel.stand(self, distance)
