"""Where the powder's carbon has gone: into the mild steel of the can, and out of a skin that lies open to the fire.

A line of steel is followed from the bar's middle to its face through the work, and carbon diffuses along it in every
heat, over the distances that it has in the bar of that moment. What scale and milling take goes from its end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.results import Mm, ShareOf
from preview.forging.face_line import FaceLine, Ray
from preview.forging.history import History
from preview.forging.scale import GAS_CONSTANT
from preview.forging.steps.base import Heat

POWDER_CARBON, CAN_CARBON = 0.9, 0.1
"""Mass per cent of carbon that steel powder for blades usually has, and mild steel (common practice)."""

SOUND = 0.9
"""Share of the powder's carbon that steel has to have kept to count as sound."""

MOMENTS = 40
"""Moments that a heat is taken apart into, close together at its start, where carbon moves fastest."""


def diffusivity(temperature: float, carbon: Array) -> Array:
    """Return the diffusivity of carbon in austenite, mm2/s, at ``temperature`` (°C) and mass per cent of ``carbon``.

    Lee, Matlock & Van Tyne, ISIJ International 51 (2011) 1903, for steel with carbon alone; constants from memory.
    The laws of Ågren (Scripta Metall. 20, 1986) and Tibbetts (J. Appl. Phys. 51, 1980), also from memory, give up to a
    third more. Nickel is left out: a few per cent of it change little.

    Examples
    --------
    >>> f"{float(diffusivity(1150, np.array(0.9))):.2e}"
    '1.75e-04'
    """
    kelvin = temperature + 273.15
    energy = 144.3 - 15.0 * carbon + 0.37 * carbon**2
    return np.asarray(100 * (0.146 - 0.036 * carbon) * np.exp(-1000 * energy / (GAS_CONSTANT * kelvin)))


@dataclass(frozen=True)
class CarbonSkin:
    """How deep the steel under the bar's faces is short of carbon, at its middle; of two unlike faces the worse.

    Parameters
    ----------
    deep
        From the skin that the last milling meets (or the end of the work) to where the steel is sound, mm.
    under_joint
        The same from the joint of powder and can; None where that was milled off before.
    shell
        What is left of the can's wall on it then, mm; below 0 where scale has eaten into the powder's steel.
    milled
        What that milling takes off the face, mm.
    left
        How deep the finished bar is still short of carbon, mm.
    by_fire
        Whether the fire took that, from a face whose joint was gone: then it is as deep all over, and else where the
        steel lay in the can tells.
    axis, reach
        Which way of the can, 0 to 2, leads to that face, and how far out steel laid in the can is sound, mm.
    gone
        Share of the can's wall on that face that goes to scale while it is there.
    eaten
        Number of the step whose heat eats through it; None where none does.
    """

    deep: Mm
    under_joint: Mm | None
    shell: Mm | None
    milled: Mm
    left: Mm
    by_fire: bool
    axis: int
    reach: Mm
    gone: ShareOf
    eaten: int | None


@kept
def carbon_skin(history: History) -> CarbonSkin:
    """Return how deep the steel under the faces of a history's bar is short of carbon."""
    upper, lower = (Ray.of(history, side) for side in (1, -1))
    found = [_followed(history, upper)]
    if upper.axis != lower.axis or abs(upper.face + lower.face) > 0.01:
        found.append(_followed(history, lower))
    return max(found, key=lambda each: each.left)


def _followed(history: History, ray: Ray) -> CarbonSkin:
    """Follow the steel of a face through the work."""
    line, gone, eaten, milled = ray.laid(history.start.density, POWDER_CARBON, CAN_CARBON), 0.0, None, 0.0
    joined, by_fire, met_by_mill = True, False, None
    for number, step in enumerate(history.steps):
        met = history.met[number]
        if step.heat is not None:
            line = _heated(line, step.heat, history.scale[number])
            by_fire = by_fire or not (joined or step.heat.protected)
            if joined and history.start.wall and eaten is None:
                gone = min((ray.outside - float(line.laid[-1])) / history.start.wall, 1.0)
                eaten = number + 1 if gone == 1 else None
        before, line = line, line.after(step, met)
        if step.mills:
            before = before.within(met)
            met_by_mill, milled = (before, joined), float(before.lengths.sum() - line.lengths.sum())
        joined = joined and line.laid[-1] >= min(before.laid[-1], ray.joint)
    line = line.within(history.bar)
    skin, had_joint = met_by_mill or (line, joined)
    milled_to, reach = (each.where(SOUND * POWDER_CARBON) for each in (skin, line))
    deep, shell, left = skin.under_skin(milled_to), skin.under_skin(ray.joint), line.under_skin(reach)
    return CarbonSkin(
        deep=deep,
        under_joint=deep - shell if had_joint else None,
        shell=shell if had_joint else None,
        milled=milled,
        left=left,
        by_fire=by_fire,
        axis=ray.axis,
        reach=reach if left else milled_to,
        gone=gone,
        eaten=eaten,
    )


def _heated(line: FaceLine, heat: Heat, scale: float) -> FaceLine:
    """Return the line after a heat that takes ``scale`` (mm) off its end: Fick's law, the end free of carbon.

    Scale grows as the root of the time. Steel that is kept from scale keeps its carbon. Loose powder conducts by its
    share of solid.
    """
    if not heat.minutes:
        return line
    times = 60 * heat.minutes * (np.arange(MOMENTS + 1) / MOMENTS) ** 2
    for seconds in np.diff(times):
        line = line.scaled(scale / MOMENTS)
        through = line.solid * diffusivity(heat.temperature, line.held)
        held = diffused(line.held, line.lengths, line.solid, through, seconds, closed=heat.protected)
        line = replace(line, held=held)
    return line


def diffused(carbon: Array, lengths: Array, mass: Array, conductivity: Array, seconds: float, *, closed: bool) -> Array:
    """Return what a row of cells holds after a while; what leaves a cell comes into the next.

    One implicit step of finite volumes. The row's beginning is closed, its end too if ``closed``; else nothing is held
    there.

    Parameters
    ----------
    carbon
        Content of each cell, (cells).
    lengths, mass
        Of each cell: mm, and what a mm of it holds at content 1.
    conductivity
        Flow through 1 mm of it for a content of 1 more, mm2/s.
    seconds
        The while.
    closed
        Whether the row's end is.
    """
    resistance = lengths / (2 * conductivity)
    flow = 1 / (resistance[1:] + resistance[:-1])
    out = np.zeros_like(carbon)
    out[:-1] += flow
    out[1:] += flow
    out[-1] += 0.0 if closed else 1 / resistance[-1]
    held = mass * lengths / seconds
    # each cell exchanges with its neighbours only: solved from the row's beginning to its end and back, which costs a
    # tenth of loading a library's solver
    whole, brought, flows = (held + out).tolist(), (held * carbon).tolist(), flow.tolist()
    for number, through in enumerate(flows):
        share = through / whole[number]
        whole[number + 1] -= share * through
        brought[number + 1] += share * brought[number]
    brought[-1] /= whole[-1]
    for number in range(len(flows) - 1, -1, -1):
        brought[number] = (brought[number] + flows[number] * brought[number + 1]) / whole[number]
    return np.array(brought)
