"""The log: a folder with a folder for each blade, all of it plain files that any program opens.

In a blade's folder lie ``blade.toml`` (`Record`), the job as it was with all the files that it names, what was
measured as it was handed in, what was learnt from that alone, and photographs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from preview.base.errors import FileError, PreviewError, RequestError
from preview.base.files import kind_of, read_bytes, read_text
from preview.base.packed import zipped
from preview.base.pictures import LARGEST_FILE as LARGEST_PICTURE
from preview.base.toml import parse_toml
from preview.base.words import brief
from preview.job.calibration import Calibration, load_calibration
from preview.job.faults import make_settings
from preview.job.file import JOB, load_job
from preview.job.job import Job
from preview.log.possible import bar_faults
from preview.log.record import Record, folder_of

RECORD, LEARNT = "blade.toml", "learnt.toml"
WORK = "job"
"""The folder in a blade's that holds the job file and all that it names."""

TABLES = ("readings", "marks", "ruler")
"""Tables of what was measured, in a blade's folder as CSV; see `preview.forge.measurements.learn`."""

FACES = ("right", "left")
COUPON, FURTHER = "coupon", "photo_"
"""Names of pictures in a blade's folder: those of the faces and the coupon, and further ones, which are numbered."""

ENDINGS = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".bmp", ".gif")
"""Endings of pictures that are kept."""

LARGEST_FILE = 1_000_000
MOST_BLADES = 1000


@dataclass(frozen=True)
class Blade:
    """A blade of the log.

    Parameters
    ----------
    folder
        Where all that is known of it lies.
    record
        What was written down of it.
    job
        The job as it was, calibrated by what was known of the forge before.
    learnt
        What was learnt from this blade alone; None where nothing was measured.
    """

    folder: Path
    record: Record
    job: Job
    learnt: Calibration | None

    @property
    def photographs(self) -> dict[str, Path]:
        """Its photographs by their names: ``right``, ``left``, ``photo_1`` and so on."""
        found = {path.stem: path for path in sorted(self.folder.iterdir()) if path.suffix.lower() in ENDINGS}
        further = sorted((name for name in found if _number(name)), key=_number)
        return {name: found[name] for name in (*FACES, *further) if name in found}

    @property
    def coupon(self) -> Path | None:
        """The photo of its coupon, where there is one."""
        return next((path for path in self.folder.glob(f"{COUPON}.*") if path.suffix.lower() in ENDINGS), None)

    def table(self, name: str) -> Path | None:
        """Return the place of one of `TABLES`, where it is there."""
        path = self.folder / f"{name}.csv"
        return path if path.is_file() else None


def _number(name: str) -> int:
    rest = name.removeprefix(FURTHER)
    return int(rest) if name.startswith(FURTHER) and rest.isdecimal() and len(rest) < 5 else 0


def load_blade(folder: str | Path) -> Blade:
    """Read the folder of one blade.

    Raises
    ------
    FileError
        If it holds no blade, or a file of it cannot be read; the message names it.
    """
    folder = Path(folder)
    path = folder / RECORD
    if kind_of(path) != "file":
        msg = f"{folder}: is no blade of a log; a folder with {RECORD} in it is needed"
        raise FileError(msg)
    text = read_text(path, LARGEST_FILE, "a blade's record")
    try:
        record = make_settings(Record, parse_toml(text), "blade")
        job = load_job(folder / WORK / JOB)
        learnt = load_calibration(folder / LEARNT) if kind_of(folder / LEARNT) == "file" else None
        if faults := tuple(bar_faults(job, record.bar)):
            raise RequestError(fault.under("blade") for fault in faults)
    except FileError:
        raise
    except RequestError as error:
        msg = f"{path}: {'; '.join(str(error).splitlines())}"
        raise FileError(msg) from None
    except PreviewError as error:
        msg = f"{folder}: {'; '.join(str(error).splitlines())}"
        raise FileError(msg) from None
    except ValueError as error:
        msg = f"{path}: the text cannot be understood: {error}"
        raise FileError(msg) from None
    return Blade(folder, record, job, learnt)


def load_log(folder: str | Path) -> tuple[Blade, ...]:
    """Read all blades of a log, the oldest first.

    Raises
    ------
    FileError
        If there is no such folder, no blade in it, or one of them cannot be read.
    """
    folder = Path(folder)
    if kind_of(folder) != "folder":
        msg = f"{folder}: there is no such folder; a blade added to it makes it a log"
        raise FileError(msg)
    places = sorted(path for path in folder.iterdir() if (path / RECORD).is_file())
    if not places:
        msg = f"{folder}: holds no blades; one added to it makes it a log"
        raise FileError(msg)
    if len(places) > MOST_BLADES:
        msg = f"{folder}: holds {len(places)} blades; at most {MOST_BLADES} are read: begin another log"
        raise FileError(msg)
    return tuple(sorted(map(load_blade, places), key=lambda blade: (blade.record.day, blade.folder.name)))


def zipped_log(blades: Iterable[Blade]) -> bytes:
    """Return all files of some blades as one ZIP, each blade's in a folder: unpacked it is a log.

    Raises
    ------
    FileError
        If one of them cannot be read.
    """
    return zipped(
        {
            f"{blade.folder.name}/{path.relative_to(blade.folder).as_posix()}": read_bytes(
                path, LARGEST_PICTURE, "a file"
            )
            for blade in blades
            for path in sorted(blade.folder.rglob("*"))
            if path.is_file()
        }
    )


def find_blade(folder: str | Path, name: str) -> Blade:
    """Read the blade that goes by ``name``.

    Raises
    ------
    RequestError
        If there is none in the log; the message tells which there are.
    FileError
        If its folder cannot be read.
    """
    place = Path(folder) / folder_of(name)
    if kind_of(place / RECORD) != "file":
        there = [each.record.name for each in load_log(folder)]
        msg = f"there is no blade of that name in the log, which has {_listed(there)}; given {brief(name)}"
        raise RequestError.at("log.name", msg)
    return load_blade(place)


def _listed(names: list[str]) -> str:
    shown = ", ".join(brief(name) for name in names[:8])
    return f"{shown} and {len(names) - 8} more" if len(names) > 8 else shown
