"""Quantities in sentences: told in the reader's units, and nothing else in the sentence touched.

An inch is 25.4 mm (ISO 80000-3); t/°F = 1.8 t/°C + 32 (ISO 80000-5), so that 1000 °C are 1832 °F.
"""

from __future__ import annotations

import pytest

from preview.base.errors import Fault, FileError, RequestError
from preview.base.results import plain
from preview.base.units import METRIC, Units, celsius, mm, say
from preview.filling.budget import weigh
from preview.filling.budget_words import budget_lines, budget_text, fill_rows, stage_rows
from preview.filling.dividers import Printing
from preview.filling.printing import divider_text, dividers_of
from preview.forging.steps.upset import Upset
from preview.job.checks import check_job
from preview.job.file import load_job
from preview.pipeline import preview
from preview.sheets.report import report_lines, report_text
from preview.trials.ladder import find_ladder, find_taken
from preview.trials.trials import TrialGrinds, try_grinds
from tests.conftest import DEMOS

INCHES = Units(sizes="inch", heats="°F")


@pytest.mark.parametrize(
    ("sizes", "how", "in_mm", "in_inches"),
    [
        ((25.4,), {}, "25.4 mm", "1.000 in"),
        ((283.8, 53.0, 3.6), {"form": ".1f"}, "283.8 x 53.0 x 3.6 mm", "11.173 x 2.087 x 0.142 in"),
        ((24.0, 15.7), {"form": ".1f", "between": " / "}, "24.0 / 15.7 mm", "0.945 / 0.618 in"),
        ((-1.2, 0.8), {"form": "+.1f", "between": " to "}, "-1.2 to +0.8 mm", "-0.047 to +0.031 in"),
        ((12.7,), {"form": "g"}, "12.7 mm", "0.500 in"),
    ],
)
def test_a_length(sizes, how, in_mm, in_inches):
    assert METRIC.length(*sizes, **how) == str(say("{}", mm(*sizes, **how))) == in_mm
    assert INCHES.length(*sizes, **how) == say("{}", mm(*sizes, **how)).told(INCHES) == in_inches


def test_a_bare_number_and_its_places():
    assert METRIC.number(12.7, ".2f") == "12.70"
    assert INCHES.number(12.7, ".2f") == "0.500"
    assert INCHES.number(12.7, "+.2f") == "+0.500"
    assert INCHES.model_copy(update={"places": 2}).length(130.0, form="g") == "5.12 in"


@pytest.mark.parametrize(
    ("heats", "how", "in_celsius", "in_fahrenheit"),
    [
        ((1000,), {}, "1000 °C", "1832 °F"),
        ((1150, 1260), {}, "1150 to 1260 °C", "2102 to 2300 °F"),
        ((1000.0,), {"form": ".0f"}, "1000 °C", "1832 °F"),
    ],
)
def test_a_heat(heats, how, in_celsius, in_fahrenheit):
    assert METRIC.heat(*heats, **how) == str(say("{}", celsius(*heats, **how))) == in_celsius
    assert INCHES.heat(*heats, **how) == say("{}", celsius(*heats, **how)).told(INCHES) == in_fahrenheit


def test_a_sentence_tells_its_quantities_and_leaves_the_rest():
    named = say("The {} powder, {} mm², needs {} at {}.", "0.5 mm", "10", mm(25.4), celsius(1000))
    assert str(named) == "The 0.5 mm powder, 10 mm², needs 25.4 mm at 1000 °C."
    assert named.told(INCHES) == "The 0.5 mm powder, 10 mm², needs 1.000 in at 1832 °F."
    assert say("forging[{}]: {}", 2, named).told(INCHES) == f"forging[2]: {named.told(INCHES)}"
    assert say("{}", "{}").told(INCHES) == "{}"
    assert say("{}", Upset(length=25.4).words).told(INCHES) == "Press on its end to a length of 1.000 in"
    assert plain({"notes": (named,)}) == {"notes": [str(named)]}


def test_errors_tell_their_quantities():
    problem = say("has to be under {}; given {}", mm(25.4), mm(50.8))
    assert Fault("can.wall", problem).told(INCHES) == "can.wall: has to be under 1.000 in; given 2.000 in"
    assert str(RequestError.at("paper", problem)) == "paper: has to be under 25.4 mm; given 50.8 mm"
    assert RequestError.at("paper", problem).told(INCHES) == "paper: has to be under 1.000 in; given 2.000 in"
    assert FileError(say("{}: {} too tall", "25.4 mm.stl", mm(25.4))).told(INCHES) == "25.4 mm.stl: 1.000 in too tall"


@pytest.fixture(scope="module")
def misnamed():
    """A job whose powders are called as a size and as a heat; parts of its pattern are too fine, and it is told."""
    job = load_job(DEMOS / "fine_rain.toml")
    plain_one, nickel_one = job.powders
    powders = (
        plain_one.model_copy(update={"name": "0.5 mm"}),
        nickel_one.model_copy(update={"name": "1000 °C"}),
    )
    pattern = job.pattern.model_copy(update={"transparent": "0.5 mm", "surround": None})
    return check_job(job.model_copy(update={"powders": powders, "pattern": pattern}))


def others(text: str) -> str:
    """Return ``text`` without the powders' names, each of which has to be in it."""
    for name in ("0.5 mm", "1000 °C"):
        assert name in text
        text = text.replace(name, "")
    return text


def in_pairs(lines) -> str:
    return "\n".join(cell for line in lines for cell in line)


@pytest.mark.slow
def test_a_powder_called_as_a_size_keeps_its_name(misnamed):
    """In the report, its lines as the page shows them, the notes, and the budget; all else is in inches and °F."""
    shown, found = preview(misnamed, width=300), weigh(misnamed)
    texts = (
        report_text(shown, INCHES),
        in_pairs(report_lines(shown, INCHES)),
        "\n".join(note.told(INCHES) for note in shown.numbers.notes),
        budget_text(misnamed, found, INCHES).partition("Sizes: ")[0],
        in_pairs((*fill_rows(found, INCHES), *stage_rows(found, INCHES), *budget_lines(found, INCHES))),
        "\n".join(note.told(INCHES) for note in found.notes),
    )
    for text in texts:
        left = others(text).replace("25 mm (1 inch)", "")
        assert " mm" not in left
        assert "°C" not in left
    spot = shown.spots.of_face("right", 0.5, 0.5)
    assert spot is not None
    assert spot.powder in {"0.5 mm", "1000 °C"}
    assert f": {spot.powder}, from " in spot.words(INCHES)


def test_trials_and_dividers_in_inches():
    """A trial at 25.4 mm is one at an inch; places in the can are told in the unit that is named beside them."""
    job = load_job(DEMOS / "running_wave.toml")
    trials = try_grinds(job, TrialGrinds(heights=(12.7, 25.4)), width=300).trials
    assert [str(trial.name) for trial in trials] == ["12.7 mm", "25.4 mm"]
    assert "0.500 in, then 1.000 in" in find_ladder(trials).lines(INCHES)[0]
    assert "From 0.500 in to 1.000 in: " in find_taken(*trials).words(INCHES)
    assert dict(trials[0].rows(INCHES))["grind line, heel / middle / tip"].startswith("0.500 in / 0.500 in / ")
    found = dividers_of(job, Printing())
    text = divider_text(found, INCHES)
    assert " mm" not in text
    assert f"walls {found.bead / 25.4:.3f} in wide" in text
    first = next(trouble for trouble in found.troubles if trouble.part is None)
    place = ", ".join(f"{each / 25.4:+.3f}" for each in first.at)
    lines = [line for line in found.trouble_lines(INCHES) if place in line]
    assert lines
    assert all(line.endswith(", in from the middle of the can.") for line in lines)
