"""The camera's pose, against general-purpose libraries."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from skimage.transform import ProjectiveTransform

from preview.seen.camera import from_corners, project, rotation

BOX = np.array([(-100.0, -20, -2), (100, -20, -2), (100, 20, -2), (-100, 20, -2)])
SIZE = (2000, 1200)
POSE = np.array([0.12, -0.1, 0.05, 0.02, -0.01, np.log(280.0), np.log(0.85)])


def test_a_rotation_is_that_of_scipy():
    assert np.allclose(rotation(POSE[:3]), Rotation.from_rotvec(POSE[:3]).as_matrix())


def test_a_plane_is_seen_by_a_projective_transform():
    """Four corners tell where every other place of a plane lies."""
    carry = ProjectiveTransform.from_estimate(BOX[:, :2], project(POSE, BOX, SIZE))
    places = np.random.default_rng(1).uniform(-1, 1, (40, 2)) * (100, 20)
    flat = np.column_stack([places, np.full(40, -2.0)])
    assert np.allclose(project(POSE, flat, SIZE), carry(places), atol=1e-6)


def test_corners_lead_back_to_where_they_are_seen():
    corners = project(POSE, BOX, SIZE) / SIZE
    found = from_corners(corners, BOX, SIZE)
    assert np.abs(found.project(BOX) - corners * SIZE).max() < 0.5 * found.per_mm
    assert found.tilt == pytest.approx(np.degrees(np.arccos(rotation(POSE[:3])[2, 2])), abs=4)
    assert (np.linalg.eigvalsh(found.covariance) > 0).all()


@pytest.mark.parametrize("values", [(0, 0, 0, 0, 0, 1e4, 1e4), (1, 1, 1, 9, 9, -1e4, 1e4), (0, 0, 3, -9, 0, 0, -1e4)])
def test_a_pose_that_has_run_away_gives_numbers(values):
    """A fit to a photograph of something else may try anything; each of these would overflow a double."""
    points = np.array([[10.0, -3.0, 0.5], [-80.0, 12.0, 0.0]])
    assert np.isfinite(project(np.array(values, dtype=float), points, (4000, 3000))).all()
