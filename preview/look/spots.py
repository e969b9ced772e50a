"""A spot of the blade and the grain of powder that shows there: from the face's picture to the can's, and back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from preview.base.arrays import Bytes
from preview.base.units import Units
from preview.blade.grind import SIDES, Side
from preview.face.columns import meet
from preview.face.origins import Origins, blade_to_can
from preview.face.view import View
from preview.look.etch import Etch
from preview.look.light import srgb
from preview.look.section import light_of
from preview.pattern.powders import Powder

NEAR = 0.3
"""How near (mm, in the can) a line along the blade has to pass a spot to be said to show it."""

CAN_WIDTH = 900
"""Width of the can's picture, in pixels."""


@dataclass(frozen=True)
class Spot:
    """A spot of a face, and the grain that shows there.

    Parameters
    ----------
    side
        Which face.
    blade
        Along, across and through, blade frame, mm.
    can
        Along, across and up, can frame, mm.
    powder
        What lies there, or ``the can's wall``.
    """

    side: Side
    blade: tuple[float, float, float]
    can: tuple[float, float, float]
    powder: str

    def words(self, units: Units) -> str:
        """Return where it is and where it came from."""
        along, across, _ = self.blade
        beside, over, up = (units.length(place, form="+.1f") for place in self.can)
        return (
            f"{self.side.capitalize()} face, {units.length(along, form='.1f')} from the heel, "
            f"{units.length(across, form='.1f')} over the edge's baseline: {self.powder}, from {beside} along the can, "
            f"{over} across it, {up} up, counted from its middle."
        )


@dataclass(frozen=True)
class CanView:
    """The can as the dividers see it.

    Parameters
    ----------
    size
        Width and height of its inside, and so of its picture, mm.
    """

    size: tuple[float, float]

    def to_picture(self, first: float, second: float) -> tuple[float, float]:
        """Return where a place (mm from the can's middle, rightwards and upwards) lies on the can's picture.

        In shares of its sides, rightwards and downwards.
        """
        return first / self.size[0] + 0.5, 0.5 - second / self.size[1]

    def from_picture(self, right: float, down: float) -> tuple[float, float]:
        """Return the place (mm) at shares of the picture's sides; undoes `to_picture`."""
        return (right - 0.5) * self.size[0], (0.5 - down) * self.size[1]


@dataclass(frozen=True, eq=False)
class Spots:
    """The spots of one job: pointed at on a face's picture or on the can's, as shares of its sides."""

    origins: Origins
    powders: tuple[Powder, ...]
    etch: Etch

    @property
    def can_view(self) -> CanView:
        """The frame of the can's picture."""
        return CanView(self.origins.direction.area(self.origins.inside))

    def _view(self, side: Side) -> View:
        return View.of(side, self.origins.ground.blade, 1.0)

    def of_face(self, side: Side, right: float, down: float) -> Spot | None:
        """Return the spot at ``right``, ``down`` of a face's picture; None off the blade."""
        return self._spot(side, *self._view(side).from_picture(right, down))

    def of_can(self, right: float, down: float) -> tuple[Spot, ...]:
        """Return the spots, of either face, where a place of the can's picture shows.

        With dividers along the blade a place of the picture shows all along it: then at mid-length.
        """
        first, second = self.can_view.from_picture(right, down)
        find = self._met if self.origins.direction.upright else self._met_at_mid_length
        places = ((side, find(side, first, second)) for side in SIDES)
        spots = (self._spot(side, *place) for side, place in places if place is not None)
        return tuple(spot for spot in spots if spot is not None)

    def place_on_face(self, spot: Spot) -> tuple[float, float]:
        """Return where a spot lies on its face's picture, rightwards and downwards."""
        return self._view(spot.side).to_picture(*spot.blade[:2])

    def place_in_can(self, spot: Spot) -> tuple[float, float]:
        """Return where a spot's grain lies on the can's picture, rightwards and downwards."""
        first, second = self.origins.direction.seen(*np.array(spot.can)[:, None])
        return self.can_view.to_picture(float(first[0]), float(second[0]))

    def can_picture(self) -> Bytes:
        """Return the can as the dividers see it, in the steels' tones, grey bytes ``(rows, columns)``."""
        width, height = self.can_view.size
        columns = CAN_WIDTH
        rows = max(2, round(columns * height / width))
        first = ((np.arange(columns) + 0.5) / columns - 0.5)[None, :] * width
        second = (0.5 - (np.arange(rows) + 0.5) / rows)[:, None] * height
        sampler = self.origins.sampler
        shares = sampler.shares(*sampler.positions(first, second))
        light = light_of(shares, sampler.raster.classes, self.powders, self.etch)
        return np.asarray(np.rint(srgb(light) * 255).astype(np.uint8))

    def _met(self, side: Side, first: float, second: float) -> tuple[float, float] | None:
        """Return where an upright column of the can comes out on a face: along, across, mm."""
        met = meet(self.origins, side, np.array([first]), np.array([second]))
        return (float(met.along[0]), float(met.across[0])) if met.on_blade[0] else None

    def _met_at_mid_length(self, side: Side, first: float, second: float) -> tuple[float, float] | None:
        """Return where a line along the can passes a face's middle."""
        outline = self.origins.ground.blade.outline
        middle = outline.length / 2
        low, high = (float(curve(np.array(middle))) for curve in (outline.edge, outline.spine))
        across = np.linspace(low, high, 600)
        beside, above = self.origins.direction.seen(
            *self.origins.of_face(side, np.full_like(across, middle), across)[:3]
        )
        off = np.hypot(beside - first, above - second)
        return (middle, float(across[off.argmin()])) if off.min() < NEAR else None

    def _spot(self, side: Side, along: float, across: float) -> Spot | None:
        ground, history = self.origins.ground, self.origins.history
        x, y = np.array([along]), np.array([across])
        if not ground.blade.outline.contains(x, y)[0]:
            return None
        stand = float(ground.stand(side, x, y)[0])
        place = (along, across, stand if side == "right" else -stand)
        can = blade_to_can(ground, history, np.array([place]))[0]
        if not np.isfinite(can).all():
            return None
        point = (float(can[0]), float(can[1]), float(can[2]))
        return Spot(side, place, point, self._powder_at(point))

    def _powder_at(self, can: tuple[float, float, float]) -> str:
        if any(abs(place) > size / 2 for place, size in zip(can, self.origins.inside, strict=True)):
            return "the can's wall"
        shares = self.origins.shares(*(np.array([place]) for place in can))
        return self.origins.sampler.raster.classes[int(shares[:, 0].argmax())]

    @staticmethod
    def marked(picture: Bytes, places: tuple[tuple[float, float], ...]) -> Bytes:
        """Return a grey picture with rings round ``places`` (shares of its sides), RGB bytes."""
        image = Image.fromarray(picture).convert("RGB")
        draw = ImageDraw.Draw(image)
        reach = max(6, image.width // 90)
        for right, down in places:
            x, y = right * image.width, down * image.height
            draw.ellipse((x - reach, y - reach, x + reach, y + reach), outline=(255, 122, 47), width=max(2, reach // 4))
        return np.asarray(image)
