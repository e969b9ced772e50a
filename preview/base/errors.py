"""The package's own exceptions: what is wrong, what was given, what is needed, and where."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with a job.

    Parameters
    ----------
    where
        Key path in the job file, such as ``forging[2].height``.
    problem
        What is wrong, what was given and what is needed, in one sentence.
    """

    where: str
    problem: str

    def under(self, parent: str) -> Fault:
        """Return the same fault with its path placed below ``parent``."""
        return Fault(f"{parent}.{self.where}" if self.where else parent, self.problem)

    def __str__(self) -> str:
        return f"{self.where}: {self.problem}" if self.where else self.problem


class PreviewError(Exception):
    """Anything the user can put right; its text is fit to be shown as it stands."""


class JobError(PreviewError):
    """A job that cannot be, with every fault found in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    @classmethod
    def at(cls, where: str, problem: str) -> JobError:
        """Return an error that holds a single fault."""
        return cls([Fault(where, problem)])


class FileError(PreviewError):
    """A file or folder that cannot be read or written, with the reason."""
