"""What is drawn on paper: the light evened out, the paper's printed lines taken off, tones told apart.

A sheet's darkness is 0 for bare paper and 1 for no light at all, at every place by the light that falls there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.pictures import linear_luminance

LIT_AT = 500
"""Pixels of the longer side at which the light on the sheet is judged."""

STROKE = 1 / 40
"""Widest stroke, in longer sides of the sheet, that is taken off before the light is judged; wider ones are filled."""

STEEP = 0.55
"""Least step of the light, in its logarithm and over two of those pixels, that has a hard edge: ink, or a near shadow.

Over 5 mm of A4 a shadow's edge falls to a third more softly.
"""

BLURRED = 5
"""How far ink darkens the paper beside it in a picture that is not sharp, in those pixels."""

SHADOW_RIM = 0.1
"""Least run along the sheet's rim, in its longer sides, of a shadow with a hard edge: what throws it lies outside."""

SHADOW_DEPTH = 0.6
"""Depth of such a shadow at most, as a share of the drawing's own, both in the light's logarithm."""

DARKEST_LIGHT = 0.005
"""Light under which nothing is told apart."""

NOISE_WIDTH = 1.0
"""Pixels over which the camera's noise is averaged."""

PAPER = 0.25
"""Spots at most so much darker than the light on the sheet are paper, or what is too pale to be drawn."""

FAINTEST = 0.15
"""Least darkness of a drawing; under it lie the paper's grain, creases and the camera's noise."""

NOISES = 5.0
"""Times the paper's own scatter that a drawing is darker."""

LEAST_DRAWN = 0.0008
"""Share of the sheet that a drawing covers at least."""

RULE_WIDTH = 1 / 150
RULE_RUN = 1 / 16
"""A printed line is at most so wide, and seen unbroken for so long, in longer sides of the sheet."""

FEWEST_RULES = 4
EVENLY = 0.2
"""Printed lines are so many at least, and lie evenly but for this share of their distance."""

USUAL_INK = 0.8
"""Darkness that a drawing is taken to have where none is seen beside the lines."""

PALER = 0.75
"""Darkness of printed lines at most, as a share of the drawing's; darker ones are drawn."""


def darkness(sheet: Bytes) -> Float32:
    """Return how dark a sheet (RGB bytes) is at each place, against the light that falls there: ``(rows, columns)``.

    In linear light, where a blurred edge lies half way between its two sides.
    """
    from scipy.ndimage import gaussian_filter

    grey = gaussian_filter(linear_luminance(sheet).astype(np.float32), NOISE_WIDTH)
    rows, columns = grey.shape
    light = np.asarray(Image.fromarray(_light(grey)).resize((columns, rows), Image.Resampling.BICUBIC))
    return np.asarray(np.clip(1 - grey / np.maximum(light, DARKEST_LIGHT), 0, 1))


def _light(grey: Float32) -> Float32:
    """Return the light that bare paper sends back at each place of a sheet, coarsely.

    What is drawn is told from what lies in shadow by its rim: ink has a hard one all round, a shadow a soft one, or it
    comes in from the sheet's rim and is paler than the ink. Under what is drawn goes the light of the paper beside it.
    """
    from scipy.ndimage import gaussian_filter, grey_closing, minimum_filter

    step = max(1.0, max(grey.shape) / LIT_AT)
    size = (max(8, round(grey.shape[1] / step)), max(8, round(grey.shape[0] / step)))
    small = np.asarray(Image.fromarray(grey).resize(size, Image.Resampling.BOX))
    wide = 2 * round(max(size) * STROKE / 2) + 1
    level = np.log(grey_closing(small, size=(wide, wide)) + DARKEST_LIGHT)
    paper = _paper(level, np.log(small + DARKEST_LIGHT))
    # the nearest paper's light, ever less exactly the farther away it is
    light, known = np.zeros_like(level), np.zeros_like(level)
    for reach in (0.7, 3.0, 12.0, 50.0, 200.0):
        weight = gaussian_filter(paper.astype(np.float32), reach, mode="nearest")
        beside = gaussian_filter(np.where(paper, level, 0), reach, mode="nearest") / np.maximum(weight, 1e-9)
        share = (1 - known) * np.clip(2 * weight, 0, 1)
        light, known = light + share * beside, known + share
    # at a hard shadow's edge the darker side's: bare paper there is none too dark, and ink still is
    darker = minimum_filter(light / np.maximum(known, 1e-9), 3)
    return np.asarray(np.exp(darker) - DARKEST_LIGHT, dtype=np.float32)


def _paper(level: Float32, seen: Float32) -> Mask:
    """Return where bare paper lies, by the logarithm of the light, without strokes and as it is ``seen``."""
    from scipy.ndimage import label, maximum_filter, morphological_gradient

    smooth = _smooth(level)
    close = np.abs(level - smooth) < PAPER
    regions, count = label(morphological_gradient(level, size=(3, 3)) < STEEP)
    every = np.arange(count + 1)
    areas = np.bincount(regions.ravel(), minlength=count + 1)
    lit = np.bincount(regions[close], minlength=count + 1)
    bare = lit > areas / 2
    bare[1:] |= lit[1:] == lit[1:].max(initial=0)
    bare[0] = False
    usual = float(np.median(level[bare[regions]])) if bare.any() else float(level.max())
    drawn = usual - float(np.quantile(seen, LEAST_DRAWN))
    rim = np.concatenate([regions[0], regions[-1], regions[:, 0], regions[:, -1]])
    at_rim = np.bincount(rim, minlength=count + 1) > SHADOW_RIM * max(level.shape)
    for region in every[at_rim & ~bare]:
        bare[region] = region > 0 and usual - float(np.median(level[regions == region])) < SHADOW_DEPTH * drawn
    # where the picture is not sharp, ink darkens the paper beside it
    return np.asarray(bare[regions] & ~maximum_filter((regions > 0) & ~bare[regions], 2 * BLURRED + 1))


def _smooth(level: Float32) -> Float32:
    """Return a smooth surface over most of the bright places, so that what is drawn large does not pass for shade."""
    y, x = (2 * np.indices(level.shape).astype(float) + 1) / np.array(level.shape)[:, None, None] - 1
    terms = np.stack([x**i * y**j for i in range(5) for j in range(5 - i)], axis=-1)
    few, flat = terms[::3, ::3].reshape(-1, terms.shape[-1]), level[::3, ::3].reshape(-1)
    paper = flat >= np.quantile(flat, 0.5)
    found = np.zeros(terms.shape[-1])
    for _ in range(12):
        found = np.linalg.lstsq(few[paper], flat[paper], rcond=None)[0]
        closer = np.abs(flat - few @ found) < PAPER
        if closer.sum() < 4 * few.shape[1] or (closer == paper).all():
            break
        paper = closer
    return np.asarray(terms @ found, dtype=np.float32)


def floor_of(dark: Float32) -> float:
    """Return the darkness over which something is drawn."""
    bare = dark[dark < PAPER]
    scatter = float(np.sqrt(np.mean(np.square(bare)))) if bare.size else 0.0
    return max(FAINTEST, NOISES * scatter)


def take_rules_off(dark: Float32) -> tuple[Float32, int]:
    """Return a sheet's darkness without ruled or checked lines, and in how many directions there were such.

    They are thin, straight, evenly spaced, and paler than the drawing; a drawn line is none of that for long.
    """
    from scipy.ndimage import maximum_filter

    found = [_rules(turned) for turned in (dark, dark.T)]
    ruled = found[0].seen | found[1].seen.T
    beside = dark[~maximum_filter(ruled, found[0].wide) & (dark > FAINTEST)]
    drawn = float(np.quantile(beside, 0.9)) if beside.size > LEAST_DRAWN * dark.size else USUAL_INK
    directions = 0
    for axis, rules in enumerate(found):
        if rules.pale is not None and rules.pale <= PALER * drawn:
            limit = min(max(1.5 * rules.pale, 2 * FAINTEST), (drawn + rules.pale) / 2)
            cleaned = _without(dark.T if axis else dark, rules, limit)
            dark, directions = (cleaned.T if axis else cleaned), directions + 1
    return np.ascontiguousarray(dark), directions


@dataclass(frozen=True, eq=False)
class _Rules:
    """Level rules: where they are ``seen`` unbroken, the most they are ``wide`` (px), how dark; None for no rules."""

    seen: Mask
    wide: int
    pale: float | None


def _rules(dark: Float32) -> _Rules:
    """Return the level rules of a sheet."""
    from scipy.ndimage import grey_opening, maximum_filter1d, uniform_filter1d

    long = max(dark.shape)
    wide = 2 * round(long * RULE_WIDTH / 2) + 1
    thin = dark - grey_opening(dark, size=(wide, 1), mode="nearest")
    faint = thin > FAINTEST / 2
    run = round(long * RULE_RUN)
    seen = uniform_filter1d(maximum_filter1d(faint.astype(np.float32), 3, axis=0), run, axis=1) > 0.7
    if not _regular(seen):
        return _Rules(np.zeros_like(seen), wide, None)
    return _Rules(seen, wide, float(np.median(thin[seen & faint])))


def _without(dark: Float32, rules: _Rules, limit: float) -> Float32:
    """Return ``dark`` without its level rules; what is darker than ``limit`` on them is drawn."""
    from scipy.ndimage import grey_opening, maximum_filter, maximum_filter1d

    bare = grey_opening(dark, size=(rules.wide, 1), mode="nearest")
    near = maximum_filter1d(rules.seen.astype(np.uint8), 2 * (rules.wide // 4) + 3, axis=0)
    # a line runs on to what is drawn across it, where it is no longer seen unbroken, but not into its soft edges
    run = round(max(dark.shape) * RULE_RUN)
    on = (maximum_filter1d(near, run, axis=1) > 0) & (maximum_filter(dark, rules.wide) < limit)
    return np.asarray(np.where((on | (near > 0)) & (dark - bare < limit), bare, dark))


def _regular(seen: Mask) -> bool:
    """Say whether level lines lie evenly, in most of the upright strips that the sheet is cut into."""
    even = 0
    strips = np.array_split(np.arange(seen.shape[1]), 9)
    for strip in strips:
        middle = seen[:, strip[len(strip) // 2]].astype(int)
        starts = np.flatnonzero(np.diff(middle) > 0)
        if len(starts) < FEWEST_RULES:
            continue
        gaps = np.diff(starts)
        usual = float(np.median(gaps))
        off = np.abs(gaps / usual - np.rint(gaps / usual))
        even += bool(np.mean(off < EVENLY) > 0.6)
    return even > len(strips) / 2


def levels(dark: Float32, tones: int) -> Array | None:
    """Return the darknesses (tones - 1), growing, that part bare paper from the tones drawn; None where nothing is.

    Otsu's thresholds, taken beside what is drawn, so that a small drawing on a large sheet counts as much as the
    paper round it.
    """
    from scipy.ndimage import binary_opening, maximum_filter
    from skimage.filters import threshold_multiotsu, threshold_otsu

    least = floor_of(dark)
    drawn = binary_opening(dark > least, iterations=1)
    if drawn.mean() < LEAST_DRAWN:
        return None
    wide = 2 * round(max(dark.shape) / 250) + 1
    beside = dark[maximum_filter(drawn, wide)]
    found = [threshold_otsu(beside)] if tones == 2 else threshold_multiotsu(beside, classes=tones, nbins=64)
    return np.asarray(np.maximum(np.array(found, dtype=float), least / 2))
