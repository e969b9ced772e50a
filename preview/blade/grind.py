"""The grind: how far each face stands from the blade's mid-plane, by distance to the edge.

Every bevel runs from the edge, at its thickness before sharpening, up to the grind line. A bevel is told by
its height or by its angle: two names of one thing, and ``hold`` says which one stays the same while the blade
tapers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from preview.base.arrays import Array
from preview.base.settings import Angle, Control, Length, NonNegativeLength, PositiveLength, Settings

Side = Literal["right", "left"]
SIDES: tuple[Side, Side] = ("right", "left")


class Bevel(Settings):
    """The grind of one face.

    ``kind``: ``flat``; ``hollow`` by the radius of its wheel; ``convex`` by its sag, the arc's height over the
    chord; ``none`` leaves the face unground, which makes the other one a single bevel. ``height`` (mm from the
    edge, or ``"full"`` up to the spine) or ``angle`` (degrees a side, from the mid-plane; of a hollow or convex
    bevel, of its chord) is used as ``hold`` says.
    """

    kind: Literal["flat", "hollow", "convex", "none"] = "flat"
    hold: Literal["height", "angle"] = "height"
    height: PositiveLength | Literal["full"] = "full"
    angle: Annotated[Angle, Field(gt=0, lt=60)] | None = None
    wheel_radius: PositiveLength = 125.0
    sag: PositiveLength = 0.15

    @model_validator(mode="after")
    def _angle_given(self) -> Self:
        if self.hold == "angle" and self.angle is None:
            msg = "an angle is needed where hold is 'angle'"
            raise ValueError(msg)
        return self


class Grind(Settings):
    """Both faces, the edge between them, and the unground flat at the heel.

    ``left`` is the same as ``right`` where it is left out. ``edge`` is the thickness at the edge before
    sharpening; ``edge_offset`` how far the edge lies off the mid-plane towards the right face; ``heel_flat`` the
    unground length at the heel and ``plunge`` the length over which the bevel then runs in, all in mm.
    """

    right: Bevel = Bevel()
    left: Bevel | None = None
    edge: Annotated[
        PositiveLength,
        Control("Edge before sharpening", "mm", "Thickness left at the edge, for the stones.", least=0.01, step=0.05),
    ] = 0.4
    edge_offset: Annotated[
        Length,
        Control("Edge off centre", "mm", "Towards the right face; 0 when both sides are ground alike.", step=0.05),
    ] = 0.0
    heel_flat: Annotated[
        NonNegativeLength, Control("Flat at the heel", "mm", "Length at the heel that is not ground.", least=0.0)
    ] = 0.0
    plunge: Annotated[NonNegativeLength, Control("Plunge", "mm", "Length over which the bevel runs in.", least=0.0)] = (
        4.0
    )

    @model_validator(mode="after")
    def _something_ground(self) -> Self:
        if self.right.kind == "none" and self.bevel("left").kind == "none":
            msg = "one face at least has to be ground; both are 'none'"
            raise ValueError(msg)
        return self

    def bevel(self, side: Side) -> Bevel:
        """Return the bevel of ``right`` or ``left``."""
        return self.right if side == "right" or self.left is None else self.left

    def lines(self, side: Side, along: Array, thickness: Array, blade_height: float) -> BevelLines:
        """Return the bevel of one face at stations ``along`` (mm), where the blade is ``thickness`` mm thick."""
        bevel, other = self.bevel(side), self.bevel("left" if side == "right" else "right")
        face = thickness / 2
        if bevel.kind == "none":
            return BevelLines(bevel, face, face, np.full_like(face, np.inf), np.zeros_like(face))
        if other.kind == "none":
            foot = self.edge - face
        else:
            foot = np.full_like(face, self.edge / 2 + (self.edge_offset if side == "right" else -self.edge_offset))
        rise = face - foot
        if bevel.hold == "angle" and bevel.angle is not None:
            height = rise / np.tan(np.radians(bevel.angle))
        else:
            height = np.full_like(face, blade_height if bevel.height == "full" else bevel.height)
        run_in = np.clip((along - self.heel_flat) / self.plunge, 0, 1) if self.plunge else along >= self.heel_flat
        depth = run_in * run_in * (3 - 2 * run_in) if self.heel_flat else np.ones_like(face)
        return BevelLines(bevel, foot, face, height, np.asarray(depth, dtype=float))


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
        Share of the bevel's depth that is ground: 0 on the heel's flat, 1 past the plunge.
    """

    bevel: Bevel
    foot: Array
    face: Array
    height: Array
    depth: Array

    @property
    def angle(self) -> Array:
        """Angle of the bevel (of its chord) from the mid-plane, degrees a side."""
        return np.degrees(np.arctan((self.face - self.foot) / self.height))

    def _arc(self) -> tuple[Array, Array, Array]:
        """Return radius, and centre as distance from the edge and from the mid-plane, of a hollow or convex bevel."""
        rise = self.face - self.foot
        chord = np.hypot(rise, self.height)
        if self.bevel.kind == "hollow":
            radius = np.full_like(chord, self.bevel.wheel_radius)
        else:
            radius = (chord**2 / 4 + self.bevel.sag**2) / (2 * self.bevel.sag)
        outwards = np.sqrt(np.maximum(radius**2 - chord**2 / 4, 0)) / chord
        if self.bevel.kind == "convex":
            outwards = -outwards
        return radius, self.height / 2 - rise * outwards, (self.foot + self.face) / 2 + self.height * outwards

    def fault(self) -> str | None:
        """Return what is impossible about this bevel, or None."""
        rise = self.face - self.foot
        if (rise <= 0).any():
            edge, face = 2 * float(self.foot.max()), 2 * float(self.face.min())
            return f"the edge ({edge:.3g} mm) has to be thinner than the blade is at its thinnest ({face:.3g} mm)"
        if self.bevel.kind in {"flat", "none"}:
            return None
        chord = float(np.hypot(rise, self.height).max())
        if self.bevel.kind == "hollow" and chord > 2 * self.bevel.wheel_radius:
            return (
                f"a wheel of {self.bevel.wheel_radius:g} mm radius cannot reach over {chord:.4g} mm; "
                f"a larger wheel or a lower bevel is needed"
            )
        _, centre, _ = self._arc()
        if self.bevel.kind == "hollow" and (centre > 1e-9).any():
            return (
                f"a wheel of {self.bevel.wheel_radius:g} mm radius grinds thinner behind the edge than at it; "
                f"a larger wheel or a lower bevel is needed"
            )
        if self.bevel.kind == "convex" and (centre < self.height - 1e-9).any():
            return f"a sag of {self.bevel.sag:g} mm would stand proud of the unground face; a smaller one is needed"
        return None

    def stand(self, distance: Array) -> Array:
        """Return where the face stands (mm from the mid-plane) at ``distance`` (mm) from the edge; broadcastable."""
        kind = distance.dtype.type
        face = self.face.astype(kind)
        if self.bevel.kind == "none":
            return np.broadcast_to(face, np.broadcast_shapes(face.shape, distance.shape))
        if self.bevel.kind == "flat":
            slope = (self.face - self.foot) / self.height
            ground = distance * slope.astype(kind)
            ground += self.foot.astype(kind)
        else:
            radius, centre, off = (each.astype(kind) for each in self._arc())
            ground = distance - centre
            np.multiply(ground, ground, out=ground)
            np.subtract(radius * radius, ground, out=ground)
            np.sqrt(np.maximum(ground, 0, out=ground), out=ground)
            ground = off - ground if self.bevel.kind == "hollow" else off + ground
            ground = np.where(distance < self.height.astype(kind), ground, face)
        np.minimum(ground, face, out=ground)
        if (self.depth < 1).any():
            ground = face + (ground - face) * self.depth.astype(kind)
        return ground
