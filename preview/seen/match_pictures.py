"""A match as pictures for the screen."""

from __future__ import annotations

from dataclasses import dataclass

from preview.base.pictures import jpeg_bytes
from preview.base.units import METRIC, Units
from preview.seen.match import Match
from preview.seen.match_files import laid_beside, left_over, overlay


@dataclass(frozen=True)
class MatchPictures:
    """A face laid straight; the first four JPEGs of one size, the last a PNG.

    Parameters
    ----------
    photo
        As it was photographed.
    before, after
        As it was shown, and as it was put right.
    outlines
        As it was photographed, with the pattern's outlines before (blue) and after (red).
    unsure
        A map of how far the pattern may still lie off.
    """

    photo: bytes
    before: bytes
    after: bytes
    outlines: bytes
    unsure: bytes


def match_pictures(found: Match, units: Units = METRIC) -> MatchPictures:
    """Return a match as pictures; the map in the reader's units."""
    photo, before, after = map(jpeg_bytes, laid_beside(found))
    return MatchPictures(photo, before, after, jpeg_bytes(overlay(found)), left_over(found, units))
