"""A fingerprint of what lies in the can and how it is forged: a photograph shows one laying and one forging."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from preview.base.cache import kept
from preview.base.files import stamp_of
from preview.job.job import Job

DIGITS = 16
"""Of a fingerprint, hexadecimal."""


def fingerprint(job: Job) -> str:
    """Return a short hash of the pattern, the colours that name its powders, the can and the forging of ``job``.

    The pattern's picture counts by what it holds, whatever it is called. Blade, grind, etch and light do not count.
    """
    told = (
        _picture(job.picture_path, stamp_of(job.picture_path)),
        job.pattern.model_dump(mode="json", exclude={"picture"}),
        [(powder.name, powder.colours) for powder in job.powders],
        job.can.model_dump(mode="json"),
        [step.model_dump(mode="json") for step in job.history.steps],  # as the calibrated forge does them
    )
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:DIGITS]


@kept
def _picture(path: Path, stamp: tuple[int, int]) -> str:  # noqa: ARG001 - kept by it
    """Return a hash of a picture; empty where it cannot be read, which is told where it is needed."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""
