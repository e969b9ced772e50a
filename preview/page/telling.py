"""What is wrong, told on the page: in the visitor's units, and by the names that its controls go by."""

from __future__ import annotations

import re
from dataclasses import replace

import preview
from preview.page.asking import units
from preview.page.showing import as_lines

PARTS = {
    "pattern": "The pattern",
    "can": "The can",
    "powders": "Powder",
    "forging": "Forging",
    "blade": "The blade",
    "grind": "The grind",
    "etch": "The etch",
    "light": "The light",
    "unsure": "What wanders",
}
"""What the parts of a job are called on the page."""

FACES = {"right": "right face", "left": "left face"}


def told(error: preview.PreviewError) -> str:
    """Return an error for the page: by its controls' names, without the folders that only the server knows."""
    faults = getattr(error, "faults", None)
    if faults is None:
        text = error.told(units())
    else:
        text = "\n".join(replace(fault, where=in_words(fault.where)).told(units()) for fault in faults)
    return as_lines(text, hide=str(preview.work_home().parent))


def in_words(where: str) -> str:
    """Return how the page calls the place of a fault, a key path of the job; other places as they are.

    Examples
    --------
    >>> in_words("forging[1].height")
    'Forging, step 2, Down to'
    >>> in_words("marks")
    'marks'
    """
    path = re.findall(r"(\w+)(?:\[(\d+)\])?", where)
    if not path or path[0][0] not in PARTS:
        return where
    words, label = [PARTS[path[0][0]]], ""
    classes: list[type[preview.Settings]] = [preview.Job]
    for name, index in path:
        owners = [each for each in classes if name in each.model_fields]
        labels = [control.label for each in owners if (control := each.control(name))]
        if index and name == "forging":
            words.append(f"step {int(index) + 1}")
        elif name in FACES:
            words.append(FACES[name])
        elif labels:
            label = labels[0]
        classes = [below for each in owners for below in _below(each, name)]
    return ", ".join([*words, *([label] if label else [])])


def _below(model: type[preview.Settings], name: str) -> list[type[preview.Settings]]:
    """Return the classes that the settings of a field may be of."""
    if name == "forging":
        return list(preview.STEPS)
    several = preview.Kinds.of(model, name)
    if several is not None:
        return list(several.classes.values())
    try:
        return [model.part(name)]
    except KeyError:
        return []
