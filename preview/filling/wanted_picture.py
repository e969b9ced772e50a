"""A wanted picture as it is read, dark and bright, before it is laid out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from preview.base.cache import kept
from preview.base.files import stamp_of
from preview.base.pictures import png_bytes
from preview.base.units import Sentence, say
from preview.filling.wanted import Wanted, read_wanted
from preview.job.job import Job
from preview.pattern.on_screen import SCREEN_SIDE
from preview.pattern.powders import Powder
from preview.pattern.raster import Raster

DARK, BRIGHT = 40, 255
"""Greys of the wanted picture on the screen."""

LEAST_TONE = 0.001
"""Share of the wanted picture under which a tone counts as not there."""


@dataclass(frozen=True, eq=False)
class WantedPicture:
    """A wanted picture as it is read.

    Parameters
    ----------
    picture
        What is wanted dark and what bright, in greys: a PNG for the screen.
    wide
        Its width over its height.
    notes
        What the smith should know before it is laid out, in words.
    """

    picture: bytes
    wide: float
    notes: tuple[Sentence, ...]


def see_wanted(job: Job, wanted: Wanted) -> WantedPicture:
    """Return the wanted picture as it is read for ``job``; kept until the file changes.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    read = wanted.model_copy(
        update={"face": "right", "at": None, "size": None, "turn": 0.0}
    )  # alike wherever it stands
    return _seen(read, stamp_of(wanted.picture), job.powders, job.bright_powders)


@kept
def _seen(
    wanted: Wanted,
    stamp: tuple[int, int],  # noqa: ARG001 - a changed file is new
    powders: tuple[Powder, ...],
    bright: tuple[str, ...],
) -> WantedPicture:
    raster = read_wanted(wanted, powders, powders[0].name)
    share = raster.share_of(bright)[1:-1, 1:-1]
    image = Image.fromarray(np.rint(DARK + (BRIGHT - DARK) * np.clip(share, 0, 1)).astype(np.uint8))
    image.thumbnail((SCREEN_SIDE, SCREEN_SIDE))
    return WantedPicture(
        png_bytes(np.asarray(image), 1.0), share.shape[1] / share.shape[0], one_tone(raster, bright)
    )  # fmt: skip


def one_tone(raster: Raster, bright: tuple[str, ...]) -> tuple[Sentence, ...]:
    """Return what to say of a wanted picture in which nothing, or everything, is bright."""
    share = float(raster.share_of(bright)[1:-1, 1:-1].mean())
    if LEAST_TONE < share < 1 - LEAST_TONE:
        return ()
    told = "{} in the wanted picture is bright, so it comes out all {}: {}."
    if share <= LEAST_TONE:
        return (say(told, "Nothing", "dark", "draw in white what is to show, or swap dark and bright"),)
    return (say(told, "Everything", "bright", "draw in black what is to stay dark, or swap dark and bright"),)
