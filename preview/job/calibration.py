"""What is known of one smith's forge and etch: a small TOML file that jobs refer to."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError

from preview.base.errors import FileError
from preview.base.files import read_text, write_whole
from preview.base.settings import Count, Lightness, Number, Settings, Share
from preview.base.toml import parse_toml
from preview.forging.steps.base import Step
from preview.forging.steps.press import DEFAULT_FRICTION
from preview.look.etch import Etch

LARGEST_FILE = 1_000_000

PRIOR_SPREAD_FACTOR, PRIOR_SPREAD_ERROR = 1.0, 0.12
"""Spread over the published law before anything is measured: two published laws differ by some 12 per cent of S
between bite/width 0.5 and 1.5 (Tomlinson & Stringer 1959 against Baraya & Johnson 1964, both from memory)."""

PRIOR_FRICTION, PRIOR_FRICTION_ERROR = DEFAULT_FRICTION, 0.2
"""Friction factor of dry or scaled hot steel before anything is measured: 0.6 to 1.0 dry, less when lubricated
(Altan and others, Cold and Hot Forging, ASM 2005, from memory)."""


class Calibration(Settings):
    """Fitted values with their standard errors, and when and from how many rows they were fitted.

    Parameters
    ----------
    spread_factor, spread_factor_error
        Spread of this forge over the published law's.
    friction, friction_error
        Friction factor of its dies.
    scale_factor
        Scale that this forge's fire takes over what the heats say.
    correlation
        Of the errors of both.
    bright, bright_error, dark, dark_error
        CIE lightness L* of a coupon's two zones; None where no coupon was read.
    """

    version: Literal[1] = 1
    date: str = ""
    rows: Annotated[Count, Field(ge=0)] = 0
    spread_factor: Annotated[Number, Field(gt=0, le=3)] = PRIOR_SPREAD_FACTOR
    spread_factor_error: Annotated[Number, Field(ge=0)] = PRIOR_SPREAD_ERROR
    friction: Share = PRIOR_FRICTION
    friction_error: Annotated[Number, Field(ge=0)] = PRIOR_FRICTION_ERROR
    scale_factor: Annotated[Number, Field(ge=0, le=4)] = 1.0
    correlation: Annotated[Number, Field(ge=-1, le=1)] = 0.0
    bright: Lightness | None = None
    bright_error: Lightness | None = None
    dark: Lightness | None = None
    dark_error: Lightness | None = None

    def step(self, step: Step) -> Step:
        """Return a forging step as this forge does it: friction where left out, its own spread by bite, its fire."""
        return step.in_forge(self.friction, self.spread_factor).in_fire(self.scale_factor)

    def etch(self, etch: Etch) -> Etch:
        """Return the etch with the coupon's tones, where one was read."""
        tones = {name: value for name in ("bright", "dark") if (value := getattr(self, name)) is not None}
        return etch.model_copy(update=tones)


def load_calibration(path: Path) -> Calibration:
    """Read a calibration file.

    Raises
    ------
    FileError
        If it cannot be read or does not hold what a calibration needs; one line.
    """
    text = read_text(path, LARGEST_FILE, "a calibration file")
    try:
        return Calibration.model_validate(parse_toml(text))
    except ValidationError as error:
        found = "; ".join(f"{'.'.join(map(str, each['loc']))}: {each['msg']}" for each in error.errors())
        msg = f"{path}: not a calibration: {found}"
    except ValueError as error:
        msg = f"{path}: cannot be read as a calibration file ({error})"
    raise FileError(msg)


def dump_calibration(calibration: Calibration) -> str:
    """Return ``calibration`` as TOML text."""
    import tomli_w

    return tomli_w.dumps(calibration.model_dump(exclude_none=True))


def save_calibration(calibration: Calibration, path: Path, *, force: bool = False) -> None:
    """Write ``calibration`` as a TOML file; an existing file is kept unless ``force`` is given."""
    write_whole(path, dump_calibration(calibration).encode(), force=force)
