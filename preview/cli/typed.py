"""What was typed, as the library takes it."""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from preview import Units


def given_in(options: Namespace, *names: str) -> dict[str, Any]:
    """Return the options that were given; for the others the library's own values hold."""
    return {name: value for name in names if (value := getattr(options, name)) is not None}


def pairs(values: Any) -> Any:
    """Return a list's values two by two; what is no list is for the model to refuse."""
    return list(zip(values[::2], values[1::2], strict=False)) if isinstance(values, list) else values


def units_in(options: Namespace) -> Units:
    """Return what lengths and heats are told in."""
    from preview import Units

    heats: Literal["°C", "°F"] = "°F" if "fahrenheit" in options and options.fahrenheit else "°C"
    return Units(sizes="inch" if options.inches else "mm", heats=heats)
