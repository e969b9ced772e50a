"""What is wrong, told on the page: in the visitor's units, and by the names that its controls go by."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import preview
from preview.page.asking import Table, units
from preview.page.showing import as_lines

TITLES = {
    1: "In the can",
    2: "Forging",
    3: "The blade",
    4: "The grind",
    5: "Etch and light",
    6: "What is unsure",
}
"""What the groups of controls at the side are called."""

PARTS = {
    "pattern": (1, "The pattern"),
    "can": (1, "The can"),
    "powders": (1, "Powder"),
    "forging": (2, "Forging"),
    "blade": (3, "The blade"),
    "grind": (4, "The grind"),
    "etch": (5, "The etch"),
    "light": (5, "The light"),
    "unsure": (6, "What is unsure"),
}
"""In which group of controls the parts of a job stand, and what they are called on the page."""

PARTS_OF = {group: [part for part, (its, _) in PARTS.items() if its == group] for group in TITLES}
"""The parts of a job in each group of controls."""

WORDS = {"seen": "What your photograph showed"}
"""What else a fault may be of, by its place, where that is no name for a reader."""

FACES = {"right": "right face", "left": "left face"}


def told(error: preview.PreviewError) -> str:
    """Return an error for the page: by its controls' names, without the folders that only the server knows."""
    faults = getattr(error, "faults", None)
    if faults is None:
        text = error.told(units())
    else:
        text = "\n".join(replace(fault, where=in_words(fault.where)).told(units()) for fault in faults)
    return as_lines(text, hide=str(preview.work_home().parent))


def group_of(where: str) -> int | None:
    """Return the group of controls in which the place of a fault stands; None where it is no part of the job."""
    part = re.match(r"\w*", where)
    return PARTS.get(part[0] if part else "", (None, ""))[0]


def labels_of(where: str, steps: Sequence[Table] = ()) -> list[str]:
    """Return what the place of a fault, a key path of the job, is called on the page, from the part to the control.

    Where the ``steps`` of the forging are given, a step goes by its name.
    """
    path = re.findall(r"(\w+)(?:\[(\d+)\])?", where)
    words, label = [PARTS[path[0][0]][1]], ""
    classes: list[type[preview.Settings]] = [preview.Job]
    for name, index in path:
        owners = [each for each in classes if name in each.model_fields]
        labels = [control.label for each in owners if (control := each.control(name))]
        below = [each for owner in owners for each in _below(owner, name)]
        if index and name == "forging":
            words.append(f"step {int(index) + 1}")
            if int(index) < len(steps):
                named = steps[int(index)]["step"]
                kind = next(each for each in preview.STEPS if each.model_fields["step"].default == named)
                words, below = [f"Step {int(index) + 1}", kind.title], [kind]
        elif name in FACES:
            words.append(FACES[name])
        elif labels:
            label = labels[0]
        classes = below
    return [*words, *([label] if label else [])]


def in_words(where: str, steps: Sequence[Table] = ()) -> str:
    """Return how the page calls the place of a fault; ``steps`` as for `labels_of`.

    Examples
    --------
    >>> in_words("forging[1].height")
    'Forging, step 2, Down to'
    >>> in_words("forging[1].height", [{"step": "consolidate"}, {"step": "forge_bevel"}])
    'Step 2, Forge the bevel in, Height of the wedge'
    >>> in_words("printing.bead"), in_words("trials.heights[1]")
    ('Bead', 'Heights, number 2')
    >>> in_words("marks.2"), in_words("row 3")
    ('Point 2', 'row 3')
    """
    if group_of(where) is not None:
        return ", ".join(labels_of(where, steps))
    if point := re.fullmatch(r"marks\.(\d+)", where):
        return f"Point {point[1]}"
    last = re.fullmatch(r"(?:\w+\.)*(\w+?)(?:\[(\d+)\])?", where)
    if last is None:
        return where
    name = WORDS.get(where) or last[1].replace("_", " ").capitalize()
    return f"{name}, number {int(last[2]) + 1}" if last[2] else name


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
