"""Blades are added to the log, and what is known of them later; all files of a change are written, or none."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from preview.base.errors import Fault, FileError, RequestError
from preview.base.files import kind_of, read_bytes, write_into
from preview.base.pictures import LARGEST_FILE as LARGEST_PICTURE, read_picture
from preview.base.spreadsheets import read_cells
from preview.base.tables import LARGEST_TABLE
from preview.base.words import brief
from preview.forge.measurements import learn
from preview.job.calibration import dump_calibration
from preview.job.faults import make_settings
from preview.job.file import job_files
from preview.job.job import Job
from preview.log.log import COUPON, ENDINGS, FACES, FURTHER, LEARNT, RECORD, TABLES, WORK, Blade, find_blade, load_blade
from preview.log.possible import bar_faults
from preview.log.record import Coupon, Record, folder_of

HEAD = "# A blade of the log: what was made, and how it came out. Lengths in mm.\n"


@dataclass(frozen=True)
class Known:
    """What is handed in of a blade; what is left out is not known, or known already.

    Parameters
    ----------
    day, bar, dips, result
        As of `Record`, as they are typed; dips are added to those that are there.
    readings, marks, ruler
        Tables of what was measured, and ``coupon`` a photo; see `preview.forge.measurements.learn`.
    regions
        How the coupon is read: its zones' regions in text, and ``card_lightness``.
    right, left
        Photographs of its faces.
    photos
        Further photographs.
    """

    day: Any = None
    bar: Any = None
    dips: Sequence[Mapping[str, Any]] = ()
    result: str | None = None
    readings: Path | None = None
    marks: Path | None = None
    ruler: Path | None = None
    coupon: Path | None = None
    regions: Mapping[str, Any] = field(default_factory=dict)
    right: Path | None = None
    left: Path | None = None
    photos: Sequence[Path] = ()


def parse_dip(text: str) -> dict[str, Any]:
    """Return a dip from text such as ``ferric chloride 1:4, 12`` or ``strong, 45, coffee``: bath, minutes, coffee.

    Raises
    ------
    RequestError
        If it is no such text.
    """
    bath, *rest = (part.strip() for part in text.split(","))
    if not (bath and rest) or rest[1:] not in ([], ["coffee"]):
        msg = f"bath and minutes are needed, and coffee where it was that: BATH, MINUTES[, coffee]; given {brief(text)}"
        raise RequestError.at("log.dips", msg)
    try:
        minutes: Any = float(rest[0])
    except ValueError:
        minutes = rest[0]
    return {"bath": bath, "minutes": minutes, "coffee": len(rest) > 1}


def add_blade(folder: str | Path, job: Job, name: str, known: Known) -> Blade:
    """Add a blade to the log in ``folder``, made where it is missing, and return it as it lies there.

    Raises
    ------
    RequestError
        If a blade of that name is there, or something handed in cannot be; the message says which.
    FileError
        If a file cannot be read or written; nothing is written then.
    """
    folder, place = Path(folder), folder_of(name)
    if kind_of(folder / place):
        msg = f"there is a blade of that name already, in {folder / place}; another name is needed, or leave --add out"
        raise RequestError.at("log.name", msg)
    values = {"day": date.today(), **_told(known), "name": name}
    record = _made(values, job)
    files = {f"{WORK}/{path}": content for path, content in job_files(job).items()}
    files |= _handed_in(known, taken=0)
    files |= _learnt(job, record, known, None)
    files[RECORD] = dump_record(record)
    write_into(folder, {f"{place}/{path}": content for path, content in files.items()})
    return load_blade(folder / place)


def add_to_blade(folder: str | Path, name: str, known: Known, *, force: bool = False) -> Blade:
    """Add what is known of a blade that is in the log, and return it; what is there is kept unless ``force`` is given.

    Raises
    ------
    RequestError
        If there is no such blade, or something handed in cannot be.
    FileError
        If it would take the place of what is there, or a file cannot be read or written.
    """
    blade = find_blade(folder, name)
    old, told = blade.record.model_dump(exclude_defaults=True), _told(known)
    if not force:
        there = [key for key in told if key in old and key not in {"dips", "day"}]
        there += ["day"] if str(told.get("day", blade.record.day)) != str(blade.record.day) else []
        if there:
            _keep(blade, there)
        told["dips"] = (*old.get("dips", ()), *told.get("dips", ()))
    record = _made({**old, **told}, blade.job)
    photographs = blade.photographs
    files = _handed_in(known, taken=len([each for each in photographs if each not in FACES]))
    there = [path for path in files if any(each.stem == Path(path).stem for each in blade.folder.iterdir())]
    if there and not force:
        _keep(blade, there)
    files |= _learnt(blade.job, record, known, blade)
    files[RECORD] = dump_record(record)
    gone = [each for each in blade.folder.iterdir() for path in files if each.stem == Path(path).stem]
    write_into(blade.folder, files, force=True)
    for path in gone:  # another photograph of the same face may end otherwise
        if path.name not in files:
            path.unlink(missing_ok=True)
    return load_blade(blade.folder)


def _made(values: dict[str, Any], job: Job) -> Record:
    """Return the record, if its bar can be that of ``job``."""
    record = make_settings(Record, values, "log")
    if faults := tuple(bar_faults(job, record.bar)):
        raise RequestError(fault.under("log") for fault in faults)
    return record


def _keep(blade: Blade, there: Sequence[str]) -> None:
    names = ", ".join(there)
    msg = f"{blade.folder}: {names} is there already and is kept; use --force (in Python, force=True) to replace it"
    raise FileError(msg)


def _told(known: Known) -> dict[str, Any]:
    """Return what of the record was handed in."""
    values = {"day": known.day, "bar": known.bar, "result": known.result, "coupon": dict(known.regions) or None}
    told = {name: value for name, value in values.items() if value is not None}
    return told | ({"dips": tuple(known.dips)} if known.dips else {})


def _handed_in(known: Known, taken: int) -> dict[str, bytes]:
    """Return the files that were handed in, by what they are called in a blade's folder; ``taken`` photos are there."""
    files = {f"{name}.csv": _as_csv(path) for name in TABLES if (path := getattr(known, name)) is not None}
    pictures = {name: path for name in (*FACES, COUPON) if (path := getattr(known, name)) is not None}
    pictures |= {f"{FURTHER}{taken + number}": path for number, path in enumerate(known.photos, start=1)}
    for name, path in pictures.items():
        read_picture(path)  # says what is wrong with it
        ending = path.suffix.lower()
        if ending not in ENDINGS:
            msg = f"{path}: a picture's name has to end in one of {', '.join(ENDINGS)}"
            raise FileError(msg)
        files[name + ending] = read_bytes(path, LARGEST_PICTURE, "a picture")
    return files


def _as_csv(path: Path) -> bytes:
    """Return a table, of an office's file too, as CSV."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows(
        [cell if isinstance(cell, str) else f"{cell:.10g}" for cell in row]
        for row in read_cells(path, LARGEST_TABLE, "a table")
    )
    return stream.getvalue().encode()


def _learnt(job: Job, record: Record, known: Known, blade: Blade | None) -> dict[str, bytes]:
    """Return the file of what a blade's measurements say by themselves, where any were handed in."""
    tables: dict[str, Path] = {}
    for name in TABLES:
        path = getattr(known, name) or (blade.table(name) if blade else None)
        if path is not None:
            tables[name] = path
    coupon = known.coupon or (blade.coupon if blade else None)
    fresh = any(getattr(known, name) for name in (*TABLES, COUPON)) or known.regions
    if not fresh or not (coupon or {"readings", "marks"} & tables.keys()):
        return {}
    how = record.coupon
    try:
        found = learn(
            job.model_copy(update={"forge": None}),
            readings=tables.get("readings"),
            marks=tables.get("marks"),
            ruler=tables.get("ruler"),
            coupon=coupon,
            boxes={zone: text for zone in ("bright", "dark", "card") if (text := getattr(how, zone)) is not None},
            card_lightness=how.card_lightness,
            date=record.day.isoformat(),
        )
    except RequestError as error:
        raise RequestError(_of_file(fault, tables) for fault in error.faults) from None
    return {LEARNT: dump_calibration(found.calibration).encode()}


def _of_file(fault: Fault, tables: Mapping[str, Path]) -> Fault:
    """Return a fault of a row of the readings by their file's name as well."""
    named = fault.where.startswith("row ") and "readings" in tables
    return replace(fault, where=f"{tables['readings'].name}, {fault.where}") if named else fault


def dump_record(record: Record) -> bytes:
    """Return a record as TOML."""
    import tomli_w

    values = record.model_dump(exclude_none=True)
    if record.coupon == Coupon():
        del values["coupon"]
    return (HEAD + tomli_w.dumps(values)).encode()
