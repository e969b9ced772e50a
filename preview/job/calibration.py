"""What is known of one smith's forge and etch: a small TOML file that jobs refer to."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from pydantic import Field, ValidationError

from preview.base.arrays import Array
from preview.base.errors import FileError
from preview.base.files import read_text, write_whole
from preview.base.settings import Count, Lightness, Number, Settings, Share
from preview.base.toml import parse_toml
from preview.forging.bar import Can
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


EARLIER_FILL = {"fill_factor", "fill_factor_error"}
"""Keys of a can's fill in earlier files, which nobody can tell anything from any more."""

FILLED_ALIKE = 0.005
"""How far the fill densities of cans may differ that are filled alike: what their last digits hide."""


class Settling(Settings):
    """What is known of how a can fills, settles and scales, with standard errors.

    Settling and scale are counted beside what a job says. The fill is not: how full a can is, is said in one place, its
    `Can.fill_density`, and this is what it was found to be, and how surely.

    Parameters
    ----------
    fill_density, fill_density_error
        Of the can that was weighed and measured.
    along, along_error, across, across_error
        Added to the shares of the settling that go along the can and across it, taken from that through it. Below 0
        in all the can bulges that way.
    scale_factor, scale_factor_error
        Metal lost to scale over what is reckoned.
    correlation
        Of the errors of `SETTLING`: the first with the second, third and fourth, the second with the third and fourth,
        the third with the fourth.
    """

    fill_density: Annotated[Number, Field(gt=0, le=1)]
    fill_density_error: Annotated[Number, Field(ge=0)]
    along: Annotated[Number, Field(ge=-1, le=1)] = 0.0
    along_error: Annotated[Number, Field(ge=0)]
    across: Annotated[Number, Field(ge=-1, le=1)] = 0.0
    across_error: Annotated[Number, Field(ge=0)]
    scale_factor: Annotated[Number, Field(ge=0, le=3)] = 1.0
    scale_factor_error: Annotated[Number, Field(ge=0)]
    correlation: tuple[Number, Number, Number, Number, Number, Number] = (0.0,) * 6

    @property
    def correlations(self) -> Array:
        """The correlation matrix (4, 4), in the order of `SETTLING`."""
        upper = np.zeros((4, 4))
        upper[np.triu_indices(4, 1)] = self.correlation
        return np.eye(4) + upper + upper.T

    def fills(self, can: Can) -> bool:
        """Say whether a can is as full as the one that this was found of."""
        return abs(can.fill_density - self.fill_density) <= FILLED_ALIKE

    def of_another_fill(self, density: float, error: float) -> Settling:
        """Return the same for a can of another fill, whose error goes with none of the others."""
        correlation = (0.0, 0.0, 0.0, *self.correlation[3:])
        update = {"fill_density": density, "fill_density_error": error, "correlation": correlation}
        return self.model_copy(update=update)

    def step(self, step: Step) -> Step:
        """Return a forging step as the can settles and the fire scales here."""
        return step.settled(self.along, self.across).in_fire(self.scale_factor)


SETTLING = ("fill_density", "along", "across", "scale_factor")
"""The names of what `Settling` knows."""


class Calibration(Settings):
    """Fitted values with their standard errors, and when and from how many rows they were fitted.

    Parameters
    ----------
    spread_factor, spread_factor_error
        Spread of this forge over the published law's.
    friction, friction_error
        Friction factor of its dies.
    correlation
        Of the errors of both.
    settling
        What a weighed and measured can said; None where none was.
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
    correlation: Annotated[Number, Field(ge=-1, le=1)] = 0.0
    settling: Settling | None = None
    bright: Lightness | None = None
    bright_error: Lightness | None = None
    dark: Lightness | None = None
    dark_error: Lightness | None = None

    def step(self, step: Step) -> Step:
        """Return a forging step as this forge does it: friction where it was left out, and its own spread by bite."""
        forged = step.in_forge(self.friction, self.spread_factor)
        return forged if self.settling is None else self.settling.step(forged)

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
        table = parse_toml(text)
        settling = table.get("settling")
        if isinstance(settling, dict) and EARLIER_FILL & settling.keys():
            msg = (
                f"{path}: its [settling] is of an earlier version, and its fill_factor does not say of which fill: "
                "run calibrate anew on the can's readings, or take out the line [settling] and all below it down to "
                "the next [ or the end; spread, friction and tones stay"
            )
            raise FileError(msg)
        return Calibration.model_validate(table)
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
