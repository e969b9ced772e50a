"""A blade of the log to be shown: its preview, as it was before it was made, and a photograph of it."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.arrays import Bytes
from preview.base.errors import RequestError
from preview.base.photographs import read_photograph
from preview.blade.grind import SIDES
from preview.log.log import Blade
from preview.pipeline import face_map, take_picture

SHOWN_AT = 8.0
"""Pixels in a millimetre of the preview: some 200 to the inch."""


@dataclass(frozen=True, eq=False)
class Past:
    """A blade's name and day, a face of its preview and the photograph of that face, RGB bytes, upright."""

    name: str
    day: str
    shown: Bytes
    photograph: Bytes


def past_of(blade: Blade) -> Past:
    """Return a blade of the log to be shown, by its right face or, where only that was photographed, its left.

    Raises
    ------
    RequestError
        If neither face was photographed.
    FileError
        If a file of it cannot be read.
    """
    side = next((side for side in SIDES if side in blade.photographs), None)
    if side is None:
        msg = f"no face of {blade.record.name} was photographed; add a photograph of its right or left face to the log"
        raise RequestError.at("past", msg)
    shown = take_picture(blade.job, face_map(blade.job, side, SHOWN_AT))
    photograph = read_photograph(blade.photographs[side]).pixels
    return Past(blade.record.name, blade.record.day.isoformat(), shown, photograph)
