"""What the steel of a face answers, whatever it is asked: each class for itself, and mixed by the shares of a pixel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array, Float32
from preview.face.face_map import FaceMap
from preview.pattern.nickel import mottle_levels
from preview.pattern.powders import Powder


@dataclass(frozen=True, eq=False)
class Answers:
    """What a face's steel answers, whatever is asked: of each of its classes, of the can's wall, where no metal is.

    Parameters
    ----------
    classes
        A number for each of the face's classes, or 256 by the bytes of its mottle, float32.
    shell, lost
        The other two.
    """

    classes: tuple[Float32 | np.float32, ...]
    shell: float
    lost: float

    @classmethod
    def of(
        cls,
        face: FaceMap,
        powders: tuple[Powder, ...],
        answer: Callable[[Array | float], Array],
        off: tuple[float, float] = (0.0, 0.0),
    ) -> Answers:
        """Return what ``answer`` gives by nickel (mass per cent), and ``off`` of the can's wall and of no metal."""
        named = {powder.name: powder for powder in powders}
        classes: list[Float32 | np.float32] = []
        for name in face.classes:
            powder = named.get(name)
            if powder is None:
                classes.append(np.float32(off[1]))
            elif face.mottle is None or not powder.mottle:
                classes.append(np.float32(answer(powder.nickel)))
            else:
                nickel = powder.nickel * np.maximum(1 + powder.mottle * face.mottle_seen * mottle_levels(), 0)
                classes.append(answer(nickel).astype(np.float32))
        return cls(tuple(classes), *off)


def mixed(face: FaceMap, answers: Answers, part: slice = slice(None)) -> Float32:
    """Return what the steel of rows ``part`` of a face answers, each class of a pixel in its share."""
    mottle = None
    each: list[Float32 | np.float32] = []
    for known in answers.classes:
        if known.ndim and face.mottle is not None:
            mottle = face.mottle[part].astype(np.intp) if mottle is None else mottle
            each.append(np.take(known, mottle))
        else:
            each.append(known)
    first = each[0]
    total: Float32 = np.broadcast_to(first, face.stand[part].shape)
    for share, other in zip(face.shares, each[1:], strict=True):
        gain = (other - first) * share[part]
        gain += total
        total = gain
    total = total if face.shares else total.copy()
    if face.shell is not None:
        total[face.shell[part]] = answers.shell
    if face.lost is not None:
        total[face.lost[part]] = answers.lost
    return total
