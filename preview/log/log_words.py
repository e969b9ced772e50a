"""The log in words: a list of its blades, and two of them side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from preview.base.units import METRIC, Units
from preview.log.findings import EIGHT_IN_TEN, Finding, findings
from preview.log.log import Blade
from preview.log.settings_words import settings_of

NOTHING = "-"
"""What stands where a blade has none."""


@dataclass(frozen=True)
class Row:
    """One thing about two blades: what it is called, and what it is of each."""

    what: str
    first: str
    second: str


def listed(blade: Blade, units: Units = METRIC) -> tuple[str, str, str]:
    """Return a blade's day, its name, and in a line what is kept of it and how the forecast held."""
    kept = [*blade.photographs, *(["coupon"] if blade.coupon else [])]
    parts = [held(findings(blade)), *map(str, blade.record.dips)]
    if blade.record.bar:
        parts.append(f"bar {units.length(*blade.record.bar, form='.1f')}")
    parts += [f"photographs: {', '.join(each.replace('_', ' ') for each in kept)}"] if kept else []
    parts += [blade.record.result.replace("\n", " ")] if blade.record.result else []
    return blade.record.day.isoformat(), blade.record.name, "; ".join(filter(None, parts)) or "nothing written down yet"


def held(found: Sequence[Finding]) -> str:
    """Return how many of the forecasts that said how sure they are held what they said, in words."""
    sure = [each for each in found if each.forecast_error == each.forecast_error]
    if not sure:
        return ""
    within = sum(abs(each.off) <= EIGHT_IN_TEN * _error(each) for each in sure)
    return f"{within} of {len(sure)} forecasts held (four of five should)"


def _error(each: Finding) -> float:
    read = each.found_error if each.found_error == each.found_error else 0.0
    return float((each.forecast_error**2 + read**2) ** 0.5)


def log_text(blades: Sequence[Blade], units: Units = METRIC) -> str:
    """Return the list of a log's blades, two lines each, the oldest first."""
    lines = [f"{day}  {name}\n            {told}" for day, name, told in (listed(each, units) for each in blades)]
    return "\n".join(lines) + "\n"


def compare(first: Blade, second: Blade, units: Units = METRIC) -> dict[str, tuple[Row, ...]]:
    """Return two blades side by side: as they were made, what was set otherwise, forecast and found, each by a head."""
    blades = (first, second)
    made = [
        Row("day", *(each.record.day.isoformat() for each in blades)),
        *_dips(blades),
        Row("result", *(each.record.result or NOTHING for each in blades)),
    ]
    found = [{each.name: each.words(units) for each in findings(blade)} for blade in blades]
    both = [
        Row(label, *(f"{each[name][1]} → {each[name][2]}" if name in each else NOTHING for each in found))
        for name, label in {name: words[0] for each in found for name, words in each.items()}.items()
    ]
    return {
        "As they were made": tuple(made),
        "Set otherwise": tuple(_otherwise(blades, units)),
        "Forecast → found": tuple(both),
    }


def _dips(blades: tuple[Blade, Blade]) -> Iterator[Row]:
    dips = [blade.record.dips for blade in blades]
    for number in range(max(map(len, dips))):
        yield Row(f"dip {number + 1}", *(str(each[number]) if number < len(each) else NOTHING for each in dips))


def _otherwise(blades: tuple[Blade, Blade], units: Units) -> Iterator[Row]:
    """Yield each thing that both works do not set alike."""
    first, second = ({each.key: each for each in settings_of(blade.job, units)} for blade in blades)
    for key in dict.fromkeys((*first, *second)):
        both = first.get(key), second.get(key)
        values = [each.value if each else NOTHING for each in both]
        if values[0] != values[1]:
            yield Row(next(each.name for each in both if each), *values)


def compare_text(first: Blade, second: Blade, units: Units = METRIC) -> str:
    """Return `compare` as text."""
    lines = [f"{first.record.name}  |  {second.record.name}"]
    for head, rows in compare(first, second, units).items():
        if rows:
            lines += ["", f"{head}:"]
            wide = max(len(row.what) for row in rows)
            lines += [f"  {row.what:<{wide}}  {row.first}  |  {row.second}" for row in rows]
    return "\n".join(line.replace("\n", " ") for line in lines) + "\n"
