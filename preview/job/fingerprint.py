"""What lies in the can and how it is forged, number by number: a photograph shows one laying and one forging."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from preview.base.cache import kept
from preview.base.files import stamp_of
from preview.job.job import Job

DIGITS = 16
"""Of a picture's hash, hexadecimal."""

PICTURE = "pattern.picture"
"""The key of the pattern's picture, which counts by what it holds, whatever it is called."""


def fingerprint(job: Job) -> tuple[tuple[str, str], ...]:
    """Return each key of pattern, powders' colours, can and forging of ``job`` with its value, as text.

    The forging is as the calibrated forge does it. Blade, grind, etch and light do not count.
    """
    told = {
        "pattern": job.pattern.model_dump(mode="json", exclude={"picture"}),
        "powders": [{"name": powder.name, "colours": powder.colours} for powder in job.powders],
        "can": job.can.model_dump(mode="json"),
        "forging": [step.model_dump(mode="json") for step in job.history.steps],
    }
    return (PICTURE, _picture(job.picture_path, stamp_of(job.picture_path))), *_flat(told)


def otherwise(forged: tuple[tuple[str, str], ...], job: Job) -> tuple[tuple[str, str, str], ...]:
    """Return the keys in which ``job`` is laid or forged otherwise than what was ``forged``, what each was and is.

    A key that is not set has no text. A picture that cannot be read does not count.
    """
    was, now = dict(forged), dict(fingerprint(job))
    now[PICTURE] = now[PICTURE] or was.get(PICTURE, "")
    keys = [key for key in {**was, **now} if was.get(key, "") != now.get(key, "")]
    return tuple((key, was.get(key, ""), now.get(key, "")) for key in keys)


def _flat(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Yield each value that is set, with its key path in the work's file."""
    if isinstance(value, Mapping):
        for name, each in value.items():
            yield from _flat(each, f"{key}.{name}" if key else name)
    elif (
        isinstance(value, Sequence) and not isinstance(value, str) and any(isinstance(each, Mapping) for each in value)
    ):
        for number, each in enumerate(value):
            yield from _flat(each, f"{key}[{number}]")
    elif value is not None:
        yield key, _text(value)


def _text(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.9g}"
    return " ".join(map(_text, value)) if isinstance(value, Sequence) and not isinstance(value, str) else str(value)


@kept
def _picture(path: Path, stamp: tuple[int, int]) -> str:  # noqa: ARG001 - kept by it
    """Return a hash of a picture; empty where it cannot be read, which is told where it is needed."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()[:DIGITS]
    except OSError:
        return ""
