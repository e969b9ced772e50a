"""What a smith writes down of a blade that was made: one small TOML file of the log."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, field_validator

from preview.base.errors import RequestError
from preview.base.settings import Minutes, PositiveLength, Settings, Switch

LONGEST_RESULT = 900
"""Characters of the result; as many as the reader of TOML takes, each written with a sign before it."""

LONGEST_FOLDER = 60
"""Letters of the name of a blade's folder."""


def _day(value: Any) -> Any:
    if isinstance(value, str):
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            pass
    elif isinstance(value, date) and not isinstance(value, datetime):
        return value
    raise ValueError("a day is needed, such as 2026-03-21")


def _readable(text: str) -> str:
    text = re.sub(r"\r\n?", "\n", text)
    if not all(each.isprintable() or each in "\n\t" for each in text):
        raise ValueError("plain text is needed, without control characters")
    return text.strip()


Plain = AfterValidator(_readable)


class Dip(Settings):
    """One dip as it was done.

    Parameters
    ----------
    bath
        What it was, in the smith's words.
    minutes
        How long.
    coffee
        Whether it was a bath of coffee, or of another dark finish, rather than the etch itself.
    """

    bath: Annotated[str, Field(min_length=1, max_length=80), Plain]
    minutes: Minutes
    coffee: Switch = False

    def __str__(self) -> str:
        return f"{self.bath}{', coffee' if self.coffee else ''}, {self.minutes:g} min"


class Coupon(Settings):
    """How the photo of this blade's coupon is read; as for `preview.forge.measurements.learn`."""

    bright: str | None = None
    dark: str | None = None
    card: str | None = None
    card_lightness: Annotated[float, Field(ge=0, le=100)] = 50.0


class Record(Settings):
    """A blade as it was made.

    Parameters
    ----------
    name
        What it goes by; its folder is called after it.
    day
        When it was made.
    bar
        Length, width and thickness of the bar after its last step, before the blade was cut, mm, cold; None where it
        was not measured.
    dips
        The etch as it was done, the first dip first.
    result
        How it came out, in the smith's own words.
    coupon
        How its coupon's photo is read, where there is one.
    """

    version: Literal[1] = 1
    name: Annotated[str, Field(min_length=1, max_length=80), Plain]
    day: Annotated[date, BeforeValidator(_day)]
    bar: tuple[PositiveLength, PositiveLength, PositiveLength] | None = None
    dips: Annotated[tuple[Dip, ...], Field(max_length=40)] = ()
    result: Annotated[str, Field(max_length=LONGEST_RESULT), Plain] = ""
    coupon: Coupon = Coupon()

    @field_validator("name")
    @classmethod
    def _on_one_line(cls, name: str) -> str:
        return " ".join(name.split())


def folder_of(name: str) -> str:
    """Return what the folder of a blade that goes by ``name`` is called, on every machine alike.

    Raises
    ------
    RequestError
        If no letter or digit is in the name.

    Examples
    --------
    >>> folder_of("Reed knife, No. 2")
    'reed_knife_no_2'
    """
    folder = re.sub(r"[\W_]+", "_", name.casefold()).strip("_")[:LONGEST_FOLDER].rstrip("_")
    if not folder:
        raise RequestError.at("log.name", "a name with at least a letter or a digit is needed for the blade")
    return folder
