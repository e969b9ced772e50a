"""All that a work sets, in plain words: what each is called, and its value in the reader's units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from preview.base.settings import Control, Settings
from preview.base.units import METRIC, Units
from preview.job.job import Job

CALLED = {
    "right": Control("right face"),
    "left": Control("left face"),
    "unsure": Control("what is unsure"),
    "step": Control("what is done"),
    "seed": Control("number that starts what is random"),
    "seen": Control("file of what a photograph showed"),
    "measured_bar": Control("bar as measured, long and wide", "mm"),
    "calibration": Control("file of the forge"),
    "surround": Control("powder round the picture"),
    "transparent": Control("powder where the picture is clear"),
    "particle": Control("largest grain", "mm"),
    "time_constant": Control("time to two thirds of its depth", "min"),
    "relief": Control("how deep it goes at most", "mm"),
    "scale_share": Control("scale, as a share of what iron loses in air"),
    "spread_factor": Control("spread, of the law's"),
    "minutes": Control("time", "min"),
    "half_point": Control("nickel that halves the attack", "%"),
}
"""Fields whose own labels or names do not say by themselves what they are."""


@dataclass(frozen=True)
class Setting:
    """One thing that a work sets: its key path in the file, what it is called, and its value in words."""

    key: str
    name: str
    value: str


def settings_of(job: Job, units: Units = METRIC) -> Iterator[Setting]:
    """Yield what a work sets, as it stands in its file."""
    yield from _settings(job, "", (), units)


def _settings(of: Settings, path: str, above: tuple[str, ...], units: Units) -> Iterator[Setting]:
    kind = type(of)
    for name, field in kind.model_fields.items():
        value = getattr(of, name)
        if value is None or field.exclude:
            continue
        control = CALLED.get(name) or kind.control(name) or Control(name.replace("_", " "))
        key, called = f"{path}.{name}" if path else name, _below(above, control.label)
        if isinstance(value, Settings):
            yield from _settings(value, key, called, units)
        elif isinstance(value, tuple) and value and isinstance(value[0], Settings):
            for number, each in enumerate(value):
                yield from _settings(each, f"{key}[{number}]", (*above, _one_of(name, number)), units)
        elif name == "step":
            yield Setting(key, ", ".join(called), str(getattr(of, "title", value)))
        else:
            yield Setting(key, ", ".join(called), _told(value, control.unit, units))


def _one_of(name: str, number: int) -> str:
    """Return what one of several is called."""
    return f"{'step' if name == 'forging' else name.removesuffix('s')} {number + 1}"


def _below(above: tuple[str, ...], label: str) -> tuple[str, ...]:
    """Return what a thing is called from the whole to the part; a label that says the part above alone replaces it."""
    label = (label[:1].lower() + label[1:]).rstrip("?")
    return (*above[:-1], label) if above and label.startswith(above[-1]) else (*above, label)


def _told(value: Any, unit: str, units: Units) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(_told(each, unit, units) for each in value)
    if not isinstance(value, (int, float)):
        return str(value)
    if unit == "mm":
        return units.length(value, form="g")
    if unit == "°C":
        return units.heat(value)
    if not unit or unit[0].isdigit():  # no unit, but what it lies between
        return f"{value:g}"
    return f"{value:g}{'' if unit[0] == '°' else ' '}{unit}"
