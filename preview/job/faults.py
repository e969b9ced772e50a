"""What is wrong with settings, in the job file's own terms."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from preview.base.errors import Fault, RequestError
from preview.base.settings import Settings
from preview.base.words import brief
from preview.blade.grinds import GRIND_KINDS
from preview.blade.outlines import OUTLINES
from preview.forging.steps import STEPS
from preview.job.job import Job

_TAGS = {step.model_fields["step"].default for step in STEPS}
LONGEST_MEANT = 40
"""Letters of a word that are compared with those known, of which none is longer."""

_Made = TypeVar("_Made", bound=Settings)


def make_settings(kind: type[_Made], values: dict[str, Any], where: str) -> _Made:
    """Return settings of ``kind`` from plain values, those that are None left out.

    Raises
    ------
    RequestError
        With every fault, its place below ``where``.
    """
    try:
        return kind.model_validate({name: value for name, value in values.items() if value is not None})
    except ValidationError as error:
        raise RequestError(fault.under(where) for fault in faults_of(error)) from None


def faults_of(error: ValidationError) -> list[Fault]:
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
            key = str(detail["loc"][-1])
            return f"unknown key{_belongs(key) or _meant(key, _known_keys())}"
        case "value_error":
            shown = "" if isinstance(given, dict) else f"; given {brief(given)}"
            return f"{context['error']}{shown}"
        case "union_tag_invalid":
            known, tag = context["expected_tags"], context["tag"]
            return f"step has to be one of {known}; given {brief(tag)}{_meant(tag, _quoted(known))}"
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
            meant = _meant(given, _quoted(context["expected"])) if isinstance(given, str) else ""
            return f"{context['expected']} is needed; given {brief(given)}{meant}"
        case "model_type" | "model_attributes_type" | "dict_type":
            need = "a table is needed"
        case "tuple_type" | "list_type":
            need = "a list is needed"
        case _:
            need = detail["msg"][:1].lower() + detail["msg"][1:]
    return f"{need}; given {brief(given)}"


def _models() -> Iterator[Any]:
    """Yield every kind of table that a job file may hold."""
    models: list[Any] = [Job, *STEPS, *GRIND_KINDS.values(), *OUTLINES.values()]
    while models:
        model = models.pop()
        yield model
        kinds = (field.annotation for field in model.model_fields.values())
        models += [kind for kind in kinds if isinstance(kind, type) and hasattr(kind, "model_fields")]


def _known_keys() -> set[str]:
    """Return every key a job file may hold, wherever it stands."""
    return {name for model in _models() for name in model.model_fields}


def _belongs(key: str) -> str:
    """Return in which table of a job file a key belongs that stands in one of them only."""
    holders = [model for model in _models() if key in model.model_fields]
    tables = [name for name, field in Job.model_fields.items() if [field.annotation] == holders]
    return f"; it belongs in [{tables[0]}]" if tables else ""


def _quoted(words: str) -> list[str]:
    """Return the words that stand in quotes."""
    return re.findall(r"'([^']+)'", words)


def _meant(given: str, known: Iterable[str]) -> str:
    """Return the word that may be meant by one that is none of those known, as a question."""
    close = difflib.get_close_matches(given[:LONGEST_MEANT], known, n=1)
    return f"; is {close[0]!r} meant?" if close and close[0] != given else ""
