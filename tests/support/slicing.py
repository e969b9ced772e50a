"""A general-purpose slicing program, where it is installed: what it makes of a solid, read from its G-code.

The words of G-code are read by ISO 6983: G1 moves to X, Y, Z and, by common practice of printers, lays E mm of
filament.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass
from math import pi

import numpy as np
import pytest
import shapely

from preview.filling.solids import stl_bytes

SLICER = shutil.which("prusa-slicer")
needs_slicer = pytest.mark.skipif(SLICER is None, reason="no slicing program is installed (Debian's prusa-slicer)")

FILAMENT = 1.75
WIDEST = 59
"""Up to what angle of a wedge a bead is laid in its middle, degrees: the largest that the program takes."""

MIDDLE = 150.0


@dataclass(frozen=True)
class Sliced:
    """Moves that lay plastic (n, 6: height, from x, y, to x, y, filament), mm of the solid's frame; jumps (mm)."""

    laid: np.ndarray
    jumps: np.ndarray

    @property
    def length(self):
        return float(np.hypot(self.laid[:, 3] - self.laid[:, 1], self.laid[:, 4] - self.laid[:, 2]).sum())

    @property
    def volume(self):
        return float(self.laid[:, 5].sum()) * pi * FILAMENT**2 / 4

    def beads(self, low, high, bead):
        """Return the room that the beads of a stretch of heights take, from above."""
        laid = self.laid[(self.laid[:, 0] > low) & (self.laid[:, 0] <= high)]
        return shapely.union_all(shapely.linestrings(laid[:, 1:5].reshape(-1, 2, 2))).buffer(bead / 2)


def sliced(path, shapes, bead, layer, *, spiral):
    """Return solids (`preview.filling.solids.Solids`) sliced, one outline, no bottom, no top, no filling."""
    path.write_bytes(stl_bytes(shapes))
    out = path.with_suffix(".gcode")
    widths = [f"--{each}extrusion-width={bead}" for each in ("", "perimeter-", "external-perimeter-", "first-layer-")]
    options = {
        "nozzle-diameter": bead, "layer-height": layer, "first-layer-height": layer, "perimeters": 1, "skirts": 0,
        "top-solid-layers": 0, "bottom-solid-layers": 0, "fill-density": 0, "elefant-foot-compensation": 0,
        "bed-shape": "0x0,300x0,300x300,0x300", "center": f"{MIDDLE},{MIDDLE}", "filament-diameter": FILAMENT,
        "layer-gcode": "G92 E0", "wall-transition-angle": WIDEST, "output": out,
    }  # fmt: skip
    flags = ["--export-gcode", "--use-relative-e-distances", "--dont-arrange", *(["--spiral-vase"] if spiral else [])]
    command = [SLICER, str(path), *flags, *widths]
    for name, value in options.items():
        command += [f"--{name}", str(value)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=240)
    assert done.returncode == 0, done.stdout + done.stderr
    corners = np.concatenate([solid.vertices for solid in shapes.values()])
    right, up = ((corners.min(axis=0) + corners.max(axis=0)) / 2)[:2] - MIDDLE
    at, laid, jumps = {"X": 0.0, "Y": 0.0, "Z": 0.0}, [], []
    for line in out.read_text().splitlines():
        if not re.match(r"G[01] ", line):
            continue
        words = {word[0]: float(word[1:]) for word in re.findall(r"[XYZE]-?[\d.]+", line.partition(";")[0])}
        fed, now = words.pop("E", 0.0), {**at, **words}
        if fed > 0 and {"X", "Y"} & set(words):
            laid.append((now["Z"], at["X"] + right, at["Y"] + up, now["X"] + right, now["Y"] + up, fed))
        elif laid and {"X", "Y"} & set(words):
            # the first turn's feed rises from nothing: its first millimetres round to none
            jumps.append((now["Z"], np.hypot(now["X"] - at["X"], now["Y"] - at["Y"]), len(laid)))
        at = now
    # what follows the last plastic is the way home
    between = [(height, length) for height, length, count in jumps if count < len(laid)]
    return Sliced(np.array(laid), np.array(between).reshape(-1, 2))
