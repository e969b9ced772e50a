"""Made-up measurements whose truth is known."""

from __future__ import annotations

import numpy as np
from PIL import Image

from preview.forge.fitting import BULGE_ERROR, BULGE_GAIN, PASS_FRICTION_ERROR, PASS_SPREAD_ERROR
from preview.forging.press_flow import Pass, spread_share
from preview.look.etch import luminance
from preview.look.light import srgb

CALIPER = 0.1


ANOTHER_BULGE = 1.45, 0.2
"""What `BULGE_GAIN` and `BULGE_ERROR` are to the other flow law, from the same finite-element pressings."""


def forge(
    rng,
    factor: float,
    friction: float,
    passes: int = 6,
    noise: float = CALIPER,
    law: type[Pass] = Pass,
    bulge: tuple[float, float] = (BULGE_GAIN, BULGE_ERROR),
) -> list[dict]:
    """Readings of a bar pressed in a forge whose truth is known.

    Each pass spreads and rubs a little unlike the others, and every size is read afresh with caliper noise; not so
    where there is no noise.
    """
    rows = []
    length, width, height = 90.0, rng.uniform(28, 40), rng.uniform(32, 44)
    for _ in range(passes):
        bite = rng.uniform(15, 30)
        after = height * rng.uniform(0.68, 0.82)
        scatter = rng.normal(0, (PASS_SPREAD_ERROR, PASS_FRICTION_ERROR)) if noise else (0.0, 0.0)
        own, rubs = factor + scatter[0], float(np.clip(friction + scatter[1], 0.01, 1))
        flow = law(height, after, width, min(max(own, 0.2) * spread_share(bite, width), 1), rubs)
        # the sides part further than the law has it, by an amount that scatters from pass to pass
        gain = bulge[0] if noise == 0 else rng.normal(*bulge)
        sides = flow.forward(np.array([width / 2, width / 2]), np.array([height / 2, 0.0]))[0]
        face, mid = flow.width_after + gain * (2 * sides - flow.width_after)
        row = {
            "length_before": length, "width_face_before": width, "width_mid_before": width, "thickness_before": height,
            "length_after": length * flow.stretch, "width_face_after": face, "width_mid_after": mid,
            "thickness_after": after,
        }  # fmt: skip
        rows.append({name: value + rng.normal(0, noise) for name, value in row.items()} | {"bite": bite})
        # the bulge is squared up on edge before the next pass, so that each starts flat
        length, width, height = length * flow.stretch, flow.width_after, after
        if height < 12:
            break
    return rows


DARK_SPOT = (0.931, 0.900, 0.978, 0.946)


def photo(path, bright=75.0, dark=28.0, light=lambda _u, _v: 1.0, card=None, noise=0.01):
    """A coupon of stripes under a field of light, with a grey card of L* 50 in the upper left corner if asked for."""
    rng = np.random.default_rng(1)
    v, u = np.mgrid[-1:1:240j, -1:1:320j]
    zone = (np.sin(9 * u + 2 * v) > 0.1) | (np.hypot(u, v) < 0.3)
    y = np.where(zone, float(luminance(bright)), float(luminance(dark)))
    if card:
        y[:40, :60] = float(luminance(50.0))
    y = y * light(u, v) * (1 + noise * rng.standard_normal(y.shape))
    Image.fromarray(np.uint8(np.rint(255 * srgb(y)))).convert("RGB").save(path)
    return path
