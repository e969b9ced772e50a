"""The one reader and the one writer of job files (TOML)."""

from __future__ import annotations

import difflib
import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from preview.calibration import load_calibration
from preview.errors import Fault, FileError, JobError
from preview.files import write_whole
from preview.job import Job, check_job
from preview.steps import STEPS

LARGEST_FILE = 1_000_000

_TAGS = {step.model_fields["step"].default for step in STEPS}


def load_job(path: str | Path) -> Job:
    """Read a job file, and check the whole of it.

    Raises
    ------
    FileError
        If the file cannot be read or is no TOML.
    JobError
        With every fault found in the job.
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            msg = f"{path}: a job file of over 1 MB is not a job file"
            raise FileError(msg)
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        msg = f"{path}: there is no such file"
        raise FileError(msg) from None
    except UnicodeDecodeError as error:
        msg = f"{path}: a job file has to be UTF-8 text; byte {error.start} is not"
        raise FileError(msg) from None
    except OSError as error:
        msg = f"{path}: cannot be read ({error.strerror})"
        raise FileError(msg) from None
    try:
        return parse_job(text, path.parent)
    except FileError as error:
        msg = f"{path}: {error}"
        raise FileError(msg) from None


def parse_job(text: str, folder: Path) -> Job:
    """Read a job from TOML text; its picture is looked for in ``folder``. Errors as for `load_job`."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        msg = f"not valid TOML: {error}"
        raise FileError(msg) from None
    for key, meant in (("folder", "where its file lies"), ("forge", "what its calibration file says")):
        if key in table:
            raise JobError.at(key, f"unknown key; the job's {key} is {meant}")
    return make_job({**table, "folder": folder})


def make_job(values: dict[str, Any]) -> Job:
    """Make a job from plain values (as a TOML file gives them), and check it; raise `JobError` with every fault."""
    try:
        job = Job.model_validate(values)
    except ValidationError as error:
        raise JobError(_faults(error)) from None
    check_job(job)
    if job.calibration is None or job.forge is not None:
        return job
    forge = load_calibration(job.folder / job.calibration)
    return check_job(job.model_copy(update={"forge": forge}))


def dump_job(job: Job) -> str:
    """Return ``job`` as TOML text that `parse_job` reads back to an equal job."""
    import tomli_w

    return tomli_w.dumps(job.model_dump(exclude_none=True))


def save_job(job: Job, path: str | Path, *, force: bool = False) -> None:
    """Write ``job`` as a TOML file; an existing file is kept unless ``force`` is given.

    Raises
    ------
    FileError
        If the file exists or cannot be written.
    """
    write_whole(Path(path), dump_job(job).encode(), force=force)


def _faults(error: ValidationError) -> list[Fault]:
    """Return what pydantic found in the job file's own terms, each place once."""
    problems: dict[str, list[str]] = {}
    for detail in error.errors(include_url=False):
        problem = _problem(detail)
        where = problems.setdefault(_where(detail["loc"]), [])
        if problem not in where:
            where.append(problem)
    return [Fault(where, "; or ".join(found)) for where, found in problems.items()]


def _where(location: tuple[int | str, ...]) -> str:
    path = ""
    for place, part in enumerate(location):
        if isinstance(part, int):
            path += f"[{part}]"
        elif (part in _TAGS and isinstance(location[place - 1], int)) or not re.fullmatch(r"[A-Za-z_][\w ]*", part):
            continue  # the name of a step's kind or of a way to read a value: no key of the file
        elif part not in {"float", "str", "tuple"}:
            path += f".{part}" if path else part
    return path


def _problem(detail: ErrorDetails) -> str:
    given = detail["input"]
    context = detail.get("ctx", {})
    match detail["type"]:
        case "missing":
            return "is needed and missing"
        case "extra_forbidden":
            return f"unknown key{_meant(str(detail['loc'][-1]))}"
        case "value_error":
            shown = "" if isinstance(given, dict) else f"; given {given!r}"
            return f"{context['error']}{shown}"
        case "union_tag_invalid":
            return f"step has to be one of {context['expected_tags']}; given {context['tag']!r}"
        case "union_tag_not_found":
            return 'a step needs its name, such as step = "press"'
        case "greater_than":
            need = f"a number over {context['gt']:g} is needed"
        case "greater_than_equal":
            need = f"a number of at least {context['ge']:g} is needed"
        case "less_than":
            need = f"a number under {context['lt']:g} is needed"
        case "less_than_equal":
            need = f"a number of at most {context['le']:g} is needed"
        case "finite_number":
            need = "a finite number is needed"
        case "float_type" | "float_parsing":
            need = "a number is needed"
        case "literal_error":
            need = f"{context['expected']} is needed"
        case "model_type" | "model_attributes_type" | "dict_type":
            need = "a table is needed"
        case "tuple_type" | "list_type":
            need = "a list is needed"
        case _:
            need = detail["msg"][:1].lower() + detail["msg"][1:]
    return f"{need}; given {given!r}"


def _known_keys() -> set[str]:
    """Return every key a job file may hold, wherever it stands."""
    keys: set[str] = set()
    models: list[Any] = [Job, *STEPS]
    while models:
        model = models.pop()
        for name, field in model.model_fields.items():
            keys.add(name)
            if isinstance(field.annotation, type) and hasattr(field.annotation, "model_fields"):
                models.append(field.annotation)
    return keys


def _meant(key: str) -> str:
    close = difflib.get_close_matches(key, _known_keys(), n=1)
    return f"; is {close[0]!r} meant?" if close else ""
