"""How well photographs of real bars and blades are laid on their previews, and whether wrong ones are refused.

    python tests/benchmarks/photographs.py [RIGHT] [WRONG] [CARDS] [SEED]

makes so many photographs (by default 60 right and 40 wrong ones, and 24 right ones with a card, from seed 100 on; see
`tests.support.steel_photo`), on cloth and on wood, and prints a table: rms over pattern lines, across them, of where
the preview has them, before and after; the share of places that the 80 % bands hold; how many are worse by more than
their band; what was refused; processor time.
"""

from __future__ import annotations

import sys
import tempfile
import time
from itertools import product
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

import preview  # noqa: E402, F401, I001 - before numpy, which it asks for one thread
import numpy as np  # noqa: E402
from preview.base.errors import PreviewError  # noqa: E402
from preview.job.file import load_job  # noqa: E402
from preview.job.uncut import uncut  # noqa: E402
from preview.seen.match import match  # noqa: E402
from tests.support.steel_photo import Shot, photograph  # noqa: E402
from tests.support.steel_truth import across_lines  # noqa: E402

DEMOS = ("marsh_moon", "plain_start", "running_wave", "three_steels", "end_grain", "along_the_bar")
WRONG = ("blank", "mirrored", "upside", "turned", "another", "blurred", "repeat", "another")


def right(count: int, seed: int, *, card: bool = False) -> None:
    rows = []
    for number, (demo, of, side) in enumerate(list(product(DEMOS, ("bar", "blade"), ("right", "left"))) * 5):
        if number >= count:
            break
        job = load_job(ROOT / "demo_patterns" / f"{demo}.toml")
        ground, behind = ("cloth", "wood")[number // 3 % 2], ("handle", "tang")[number // 2 % 2]
        shot = Shot(seed + 1000 * card + number, columns=1900, ground=ground, behind=behind, card=card)
        taken = photograph(uncut(job) if of == "bar" else job, side, shot)
        start = time.process_time()
        try:
            found = laid(job, taken, side, of)
        except PreviewError as error:
            print(f"{demo:14} {of:5} {side:5} refused: {error}", flush=True)
            continue
        spent = time.process_time() - start
        before, after, held, sd = across_lines(found, taken.metal)
        rows.append((demo, before, after, held, found.verdict.taken, spent, after > before + 1.2816 * sd))
        fit = found.fit
        print(
            f"{demo:14} {of:5} {side:5} before {before:5.2f} after {after:5.2f} sd {sd:4.2f} band holds {held:4.0%} "
            f"explained {fit.explained:4.2f} evidence {fit.evidence:5.0f} contrast {fit.contrast:4.2f} "
            f"cpu {spent:4.1f} "
            f"{'taken' if found.verdict.taken else found.verdict.words[0]}",
            flush=True,
        )
    good = [row for row in rows if row[4]]
    for demo in (*DEMOS, "all"):
        some = [row for row in good if demo in (row[0], "all")]
        if some:
            rms = [float(np.sqrt(np.mean([row[n] ** 2 for row in some]))) for n in (1, 2)]
            print(
                f"{demo:14} {len(some):3} taken of {sum(demo in (row[0], 'all') for row in rows)}: before {rms[0]:.2f} "
                f"after {rms[1]:.2f} mm, worse by more than the band {sum(row[6] for row in some)}, 80 % bands hold "
                f"{np.mean([row[3] for row in some]):.0%}, cpu {np.mean([row[5] for row in some]):.1f} s, at most "
                f"{max(row[5] for row in some):.1f}"
            )


def wrong(count: int, seed: int) -> None:
    accepted = doubted = 0  # some patterns are their own mirror image, and no one can tell: then that has to be said
    for number in range(count):
        kind, demo = WRONG[number % len(WRONG)], DEMOS[number // 2 % len(DEMOS)]
        of, side = ("bar", "blade")[(number // 8 + number) % 2], ("right", "left")[number // 2 % 2]
        job = load_job(ROOT / "demo_patterns" / f"{demo}.toml")
        how = {
            "blank": {"shows": "blank"}, "blurred": {"blur": 4.0}, "repeat": {"shift": 25.0},
            **{flip: {"flip": flip} for flip in ("mirrored", "upside", "turned")},
        }  # fmt: skip
        ground = ("cloth", "wood")[number // 4 % 2]
        shot = Shot(seed + 400 + number, columns=1900, ground=ground, **how.get(kind, {}))
        other = job
        if kind == "another":
            there = load_job(ROOT / "demo_patterns" / f"{DEMOS[(number // 2 + 1 + number // 8 % 5) % len(DEMOS)]}.toml")
            other = job.model_copy(update={"pattern": there.pattern, "powders": there.powders, "folder": there.folder})
        taken = photograph(uncut(other) if of == "bar" else other, side, shot)
        try:
            found = laid(job, taken, side, of)
        except PreviewError as error:
            print(f"{kind:9} {demo:14} {of:5} refused: {error}", flush=True)
            continue
        accepted += found.verdict.taken and not found.verdict.words
        doubted += found.verdict.taken and len(found.verdict.words) > 0
        print(
            f"{kind:9} {demo:14} {of:5} explained {found.fit.explained:4.2f} evidence {found.fit.evidence:5.0f} "
            f"contrast {found.fit.contrast:4.2f} {'TAKEN' if found.verdict.taken else ''} "
            f"{' '.join(map(str, found.verdict.words))}",
            flush=True,
        )
    print(
        f"{accepted} of {count} wrong photographs taken for right, {doubted} with a word that another way looks alike"
    )


def laid(job, taken, side, of):
    """Lay a photograph on its preview; a card beside it is found."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "photo.jpg"
        path.write_bytes(taken.jpeg)
        return match(job, path, side, of=of)


if __name__ == "__main__":
    counts = [int(text) for text in sys.argv[1:5]] + [60, 40, 24, 100][len(sys.argv) - 1 :]
    right(counts[0], counts[3])
    right(counts[2], counts[3], card=True)
    wrong(counts[1], counts[3])
