"""The package's own exceptions: what is wrong, what was given, what is needed, and where."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from preview.base.units import METRIC, Sentence, Units
from preview.base.words import tidy


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong.

    Parameters
    ----------
    where
        Key path in the job file, such as ``forging[2].height``, or the name of what was asked for.
    problem
        What is wrong, what was given and what is needed, in one sentence.
    """

    where: str
    problem: str | Sentence

    def under(self, parent: str) -> Fault:
        """Return the same fault with its path placed below ``parent``."""
        return Fault(f"{parent}.{self.where}" if self.where else parent, self.problem)

    def told(self, units: Units) -> str:
        """Return it in the reader's units."""
        problem = self.problem.told(units) if isinstance(self.problem, Sentence) else self.problem
        return tidy(f"{self.where}: {problem}" if self.where else problem)

    def __str__(self) -> str:
        return self.told(METRIC)


class PreviewError(Exception):
    """Anything the user can put right; its text is fit to be shown as it stands."""

    def told(self, units: Units) -> str:  # noqa: ARG002 - most errors hold no quantity
        """Return its text in the reader's units."""
        return str(self)


class _Faults(PreviewError):
    """An error that holds every fault found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))

    @classmethod
    def at(cls, where: str, problem: str | Sentence) -> _Faults:
        """Return an error that holds a single fault."""
        return cls([Fault(where, problem)])

    def told(self, units: Units) -> str:
        """See `PreviewError.told`."""
        return "\n".join(fault.told(units) for fault in self.faults)


class JobError(_Faults):
    """A job that cannot be; each fault's place is a key path of the job file."""


class RequestError(_Faults):
    """Something asked of a job that cannot be had: a sheet, a print, a fit; each fault's place is what was asked."""


class FileError(PreviewError):
    """A file or folder that cannot be read or written, with the reason."""

    def __init__(self, problem: str | Sentence) -> None:
        self.problem = problem
        super().__init__(tidy(str(problem)))

    def told(self, units: Units) -> str:
        """See `PreviewError.told`."""
        return tidy(self.problem.told(units) if isinstance(self.problem, Sentence) else self.problem)
