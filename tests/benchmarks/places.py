"""The chances of places in the bar against full draws, on every demo: ``python tests/benchmarks/places.py [DRAWS]``."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

import preview  # noqa: E402
from preview.cutting.cut import Cut  # noqa: E402
from preview.cutting.places import find_places  # noqa: E402
from tests.support.full_draws import whole_in_full_draws  # noqa: E402


def main() -> None:
    """Print for each demo the chances where the blade lies and at the best place, stated and counted."""
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    names = sys.argv[2:] or [path.stem for path in sorted((ROOT / "demo_patterns").glob("*.toml"))]
    worst = 0.0
    for name in names:
        job = preview.load_job(ROOT / "demo_patterns" / f"{name}.toml")
        started = time.process_time()
        try:
            found = find_places(job, Cut())
        except preview.RequestError as error:
            print(f"{name}: {error}")
            continue
        print(f"{name}: {time.process_time() - started:.1f} s of processor time, stays: {found.stays}")
        asked = {"now": found.now} | ({} if found.stays else {"best": found.best[0]})
        for where, place in asked.items():
            started = time.process_time()
            whole = whole_in_full_draws(place.job, found.parts.wanted, 1.0, np.random.default_rng(5), draws)
            stated = np.array([*place.chances, place.all_whole])
            counted = np.array([*whole.mean(axis=0), whole.all(axis=1).mean()])
            off = float(np.abs(stated - counted).max())
            worst = max(worst, off)
            print(f"  {where} {place.off}: off by {100 * off:.1f} points ({time.process_time() - started:.0f} s)")
            print("    stated ", *(f"{100 * each:5.1f}" for each in stated))
            print("    counted", *(f"{100 * each:5.1f}" for each in counted))
    print(f"worst: {100 * worst:.1f} points")


if __name__ == "__main__":
    main()
