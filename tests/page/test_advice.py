"""The words beside the controls speak of keys that there are."""

from __future__ import annotations

from preview.blade.blade import Blade, Placement
from preview.blade.grind import Bevel, Grind
from preview.blade.outline import Outline
from preview.forging.steps import STEPS, Heat, Shares
from preview.job.job import Job
from preview.job.unsure import Unsure
from preview.look.etch import Etch
from preview.look.light import Light
from preview.page.advice import ADVICE, advice
from preview.pattern.powders import Powder

KEYS = {
    "can": [type(Job.model_fields["can"].default)],
    "powders": [Powder],
    "forging": [*STEPS, Heat, Shares],
    "blade": [Blade, Outline, Placement],
    "grind": [Grind, Bevel],
    "etch": [Etch],
    "light": [Light],
    "unsure": [Unsure],
}


def test_every_word_belongs_to_a_key():
    assert ADVICE
    for place in ADVICE:
        group, name = place.split(".")
        assert any(name in model.model_fields for model in KEYS[group]), place


def test_a_word_is_found_by_its_group():
    assert advice(("grind", "right"), "angle") == ADVICE["grind.angle"]
    assert advice(("can",), "nothing") is None
