"""Turned in the hand, steel has to go on shining: no published source, the levels are what a fresh eye asked for."""

from __future__ import annotations

import numpy as np
import pytest

from preview.in_hand.maps import FRAMES, steel_maps
from preview.in_hand.shading import Shader
from preview.look.light import held_back, rotation, srgb
from preview.look.still import EYE
from tests.in_hand.straight_on import wave

TURNS = range(-35, 36, 5)
BEVEL = 0.075
"""Slope of a bevel of some 4 degrees: 1.5 mm over 20."""


@pytest.fixture
def greys(make):
    """Return the grey levels of bright steel, flat and bevel, from heel to tip, by finish and as it is held."""
    job = wave(make)
    maps = steel_maps(job, 0.5)
    along = np.linspace(-65, 65, 66)

    def greys(pitch, yaw, **light):
        lit = job.model_copy(update={"light": job.light.model_copy(update=light)})
        shader = Shader.of(lit, maps, rotation("right", pitch) @ rotation("up", yaw), np.eye(3))
        axes = tuple(shader.turn @ np.array(axis, dtype=np.float32) for axis in FRAMES["right"])
        towards = np.array([0, 0, EYE]) - along[:, None] * axes[0]
        towards = (towards / np.linalg.norm(towards, axis=1, keepdims=True)).astype(np.float32)
        leans = (np.broadcast_to(np.array([0, rise], dtype=np.float32), (len(along), 2)) for rise in (0, BEVEL))
        return [255 * srgb(held_back(shader._bare(lean, axes, towards, shader.tables.core, 1.0))) for lean in leans]

    return greys


@pytest.mark.parametrize("axis", ["yaw", "pitch"])
@pytest.mark.parametrize("finish", ["satin", "polished"])
def test_light_crosses_the_blade_and_tells_flat_from_bevel_at_most_turns(greys, axis, finish):
    """Straight on bright steel scatters by some 25 grey levels; turned, seldom by less than a third of it."""
    held = [greys(**{"pitch": 0, "yaw": 0, axis: turn}, finish=finish) for turn in TURNS]
    scatter = np.array([[part.std() for part in each] for each in held]).max(axis=1)
    apart = np.array([np.abs(flat - bevel).mean() for flat, bevel in held])
    assert (scatter > 8).mean() >= 0.8
    assert (apart > 8).mean() >= 0.7
    # wherever it is held, less than 20 degrees away a sweep of light crosses it
    assert all(scatter[max(i - 3, 0) : i + 4].max() > 14 for i in range(len(scatter)))


def test_a_polish_mirrors_what_satin_blurs(greys):
    """From place to place along flat and bevel the polish changes more abruptly, and has the greater range."""
    satin, polish = (np.concatenate(greys(0, 0, finish=each)) for each in ("satin", "polished"))
    assert np.ptp(polish) > np.ptp(satin) + 10
    assert np.abs(polish - satin).mean() > 10
