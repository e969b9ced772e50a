"""Every field that a person is asked for says how: its label, and the unit that its values are in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Any, get_args, get_origin

import pytest
from pydantic import TypeAdapter, ValidationError

from preview.base.settings import Control, Settings
from preview.blade.grinds import GRIND_KINDS
from preview.forging.steps import STEPS
from preview.job.job import Job
from preview.page.field_controls import kinds_of

NO_WORDS_OF_THE_TRADE = "|".join((
    r"(?i:\bjobs?\b)", r"L\*", r"(?i:\bmottle)", r"(?i:mid-plane)", r"(?i:share to width)", r"\bHold\b",
    r"(?i:sag over the chord)", r"\brms\b", r"(?i:bright share)", r"\bTOML\b", r"\bNone\b",
))  # fmt: skip
"""Words of the program, which the page does not use."""


def models(start: Any) -> Iterator[type[Settings]]:
    """Yield the settings classes that a type is made of."""
    if isinstance(start, type) and issubclass(start, Settings):
        yield start
        for field in start.model_fields.values():
            yield from models(field.annotation)
    for part in get_args(start):
        yield from models(part)


MODELS = sorted({*models(Job), *(each for step in STEPS for each in models(step))}, key=lambda model: model.__name__)
FIELDS = [(model, name) for model in MODELS for name in model.asked()]
every_field = pytest.mark.parametrize(("model", "name"), FIELDS, ids=lambda part: getattr(part, "__name__", part))


def is_pair(model: type[Settings], name: str) -> bool:
    """Return whether a field is always one amount for each of two sides."""
    return all(get_origin(kind) is tuple for kind in kinds_of(model, name))


def takes(model: type[Settings], name: str, text: str) -> bool:
    field = model.model_fields[name]
    kind = TypeAdapter(Annotated[field.annotation, *field.metadata])
    try:
        kind.validate_python((text, text) if is_pair(model, name) else text)
    except ValidationError as error:
        # refused for its size it was read all the same
        return any(each["type"].startswith(("greater", "less")) for each in error.errors())
    return True


def test_the_whole_job_is_asked_for():
    groups = {model.__name__ for model, _ in FIELDS}
    assert groups >= {"Can", "Powder", "Pattern", "Heat", "Shares", "Blade", "Placement", "Etch", "Light", "Unsure"}
    assert groups >= {step.__name__ for step in STEPS}


@every_field
def test_it_has_a_label_and_its_unit(model, name):
    control = model.control(name)
    assert isinstance(control, Control)
    assert control.label.strip()
    assert not control.label.endswith((" mm", "°C", "°", "%"))
    number = (float in kinds_of(model, name) or is_pair(model, name)) and not takes(model, name, "no number at all")
    assert (control.unit == "mm") == (number and takes(model, name, "0.1 in"))
    assert (control.unit == "°C") == (number and takes(model, name, "100 F"))
    assert control.unit.startswith("°") == (number and (takes(model, name, "9 deg") or takes(model, name, "100 F")))


@pytest.mark.parametrize(
    ("model", "name"), [*FIELDS, *((kind, name) for kind in GRIND_KINDS.values() for name in kind.asked())]
)
def test_it_is_asked_for_in_the_words_of_the_trade(model, name):
    control = model.control(name)
    for words in (control.label, control.help, control.offer, *control.ends):
        assert not re.search(NO_WORDS_OF_THE_TRADE, words)


@every_field
def test_what_may_be_left_out_is_offered_with_a_start(model, name):
    field, control = model.model_fields[name], model.control(name)
    in_either = model.either is not None and name in model.either.fields
    left_out = field.default is None
    assert bool(control.offer) == (left_out and not in_either)
    assert (control.start is not None) == left_out
    if left_out:
        TypeAdapter(Annotated[field.annotation, *field.metadata]).validate_python(control.start)


@pytest.mark.parametrize("model", [model for model in MODELS if model.either], ids=lambda model: model.__name__)
def test_fields_that_exclude_each_other_are_asked_for(model):
    assert set(model.either.fields) <= set(model.asked())
    assert len(model.either.fields) > 1
