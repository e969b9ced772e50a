"""Where a photograph was taken from: a pinhole camera before a face, and how surely that is known.

The face's frame has its origin in the face's middle on the mid-plane: rightwards, downwards and away from the viewer,
as he sees the face, mm. The photograph's middle is taken for the lens's axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.base.arrays import Array
from preview.base.paper_corners import Corners

FOCUS, FOCUS_ERROR = 0.8, 0.2
"""Focal length of telephones' main cameras in long sides of their picture, and its standard error as a share: 24 to
28 mm where the picture is 36 mm wide, and cut down a little (common practice, no published source)."""

TILT_ERROR = 7.0
"""Standard deviation of how far askew a camera is held that is meant to look squarely, degrees each way (common
practice, no published source)."""

CLICK_ERROR = 1.5
"""Standard deviation of a corner as it is found or clicked, mm."""

ENTRIES = 7
"""Numbers of a pose: a rotation vector, a shift (mm) in shares of the distance, the logarithm of the focal length."""


FARTHEST = 20.0
"""Most that the logarithms of distance and focal length are taken for: a fit that runs away stays a number."""


@dataclass(frozen=True, eq=False)
class Pose:
    """A camera's pose.

    Parameters
    ----------
    values
        Its numbers, ``(7,)``: rotation vector (radians); where the face's middle lies, rightwards and downwards as
        shares of the distance, and the logarithm of the distance (mm); logarithm of the focal length in long sides.
    covariance
        Of those, ``(7, 7)``.
    size
        Columns and rows of the photograph.
    """

    values: Array
    covariance: Array
    size: tuple[int, int]

    def project(self, points: Array) -> Array:
        """Return where points (n, 3) of the face's frame lie on the photograph, px (n, 2)."""
        return project(self.values, points, self.size)

    @property
    def per_mm(self) -> float:
        """Pixels of a millimetre in the face's middle."""
        return float(np.exp(self.values[6] - self.values[5]) * max(self.size))

    @property
    def tilt(self) -> float:
        """How far askew the camera looks, degrees."""
        return float(np.degrees(np.arccos(np.clip(rotation(self.values[:3])[2, 2], -1, 1))))


def rotation(vector: Array) -> Array:
    """Return the matrix of a rotation vector, by Rodrigues' formula."""
    angle = float(np.linalg.norm(vector))
    if angle < 1e-12:
        return np.eye(3)
    x, y, z = vector / angle
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def project(values: Array, points: Array, size: tuple[int, int]) -> Array:
    """Return where points (n, 3) lie on the photograph, px (n, 2); see `Pose`."""
    far, focus = np.exp(np.clip(values[5:7], -FARTHEST, FARTHEST))
    seen = points @ rotation(values[:3]).T + far * np.array([values[3], values[4], 1.0])
    return np.asarray(focus * max(size) * seen[:, :2] / seen[:, 2:] + np.array(size) / 2)


def prior_residuals(values: Array) -> Array:
    """Return how far a pose lies from what is usual, in standard deviations: tilt each way, and focal length."""
    straight = rotation(values[:3])
    tilt = np.degrees([straight[0, 2], straight[1, 2]]) / TILT_ERROR
    return np.array([*tilt, (values[6] - np.log(FOCUS)) / FOCUS_ERROR])


def from_corners(corners: Corners | Array, box: Array, size: tuple[int, int]) -> Pose:
    """Return the pose in which a face's ``box`` (its corners, (4, 3), mm) is seen at ``corners``.

    Both go from the upper left one clockwise, as the viewer sees the face; ``corners`` are shares of the photograph.
    """
    from scipy.optimize import least_squares

    wanted = np.asarray(corners) * size
    level = wanted[1] + wanted[2] - wanted[0] - wanted[3]
    spun = np.array([0, 0, np.arctan2(level[1], level[0])])
    per_mm = float(np.hypot(*level) / (2 * np.ptp(box[:, 0])))
    far = FOCUS * max(size) / per_mm
    aside = (wanted.mean(axis=0) - np.array(size) / 2) / per_mm / far
    start = np.array([*spun, *aside, np.log(far), np.log(FOCUS)])

    def off(values: Array) -> Array:
        return np.concatenate(
            [((project(values, box, size) - wanted) / (per_mm * CLICK_ERROR)).ravel(), prior_residuals(values)]
        )

    found = least_squares(off, start, x_scale="jac")
    return Pose(found.x, np.linalg.inv(found.jac.T @ found.jac), size)
