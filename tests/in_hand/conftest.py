"""What tests of the blade in the hand share."""

from __future__ import annotations

import numpy as np
import pytest

from preview.look.facets import _noise, facets


@pytest.fixture
def _plain_light(monkeypatch):
    """Take scratches, stones and grain, which are random, off our own picture, and give it new noise each time."""
    rng = np.random.default_rng(0)
    monkeypatch.setattr("preview.look.photograph.facets", facets.__wrapped__)
    monkeypatch.setattr("preview.look.facets._noise", _noise.__wrapped__)
    monkeypatch.setattr(
        "preview.look.facets.dither", lambda shape, _: rng.random((3, *shape), dtype=np.float32) - np.float32(0.5)
    )
    monkeypatch.setattr(
        "preview.look.facets.rubbed", lambda view, *_, **__: np.zeros(view.grid.shape, dtype=np.float32)
    )
    monkeypatch.setattr("preview.look.facets.STONES", 0.0)
    monkeypatch.setattr("preview.look.facets.textures", lambda shape, *_: (np.ones(shape, np.float32),) * 2)
