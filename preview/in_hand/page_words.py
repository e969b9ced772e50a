"""What the page that turns the blade says in words: which versions there are, and what is said of each; HTML."""

from __future__ import annotations

import html
from collections.abc import Iterable
from dataclasses import dataclass

from preview.job.job import Job


@dataclass(frozen=True)
class Version:
    """One of the blades of a page, and what is said of it there.

    Parameters
    ----------
    job
        The job.
    name, differs
        What it is called and how it differs from the first, in a line, if there are several.
    made, sure
        Lines on its size and finish, and on how sure its look is.
    """

    job: Job
    name: str = ""
    differs: str = ""
    made: tuple[str, ...] = ()
    sure: tuple[str, ...] = ()


def choices(versions: tuple[Version, ...]) -> str:
    """Return the choice among versions, the first of which is in the hand."""
    names = "".join(
        f'<label><input type="radio" name="version"{" checked" * (number == 0)}>'
        f"<span>{html.escape(each.name)}</span>{_differs(each)}</label>"
        for number, each in enumerate(versions)
    )
    return f'<fieldset id="choices" aria-label="Version">{names}</fieldset>'


def _differs(version: Version) -> str:
    return f"<small>{html.escape(version.differs)}</small>" if version.differs else ""


def said(lines: list[tuple[str, ...]], versions: tuple[Version, ...]) -> str:
    """Return what is said of each version, in sight only of the first, and once what is said of all."""
    common = tuple(each for each in lines[0] if all(each in other for other in lines)) if len(lines) > 1 else ()
    own = [[each for each in told if each not in common] for told in lines]
    each = "".join(
        f'<div class="told" aria-live="polite"{" hidden" * (number > 0)}>'
        f"{name(version, 'b') if told else ''}{paragraphs(told)}</div>"
        for number, (version, told) in enumerate(zip(versions, own, strict=True))
    )
    of_all = f"<p><b>All versions</b></p>{paragraphs(common)}" if common else ""
    return f'<div class="each">{each}</div>{of_all}'


def name(version: Version, tag: str) -> str:
    """Return what a version is called, between tags; nothing if it stands alone."""
    return f"<{tag}>{html.escape(version.name)}</{tag}>" if version.name else ""


def table_of(rows: tuple[tuple[str, ...], ...]) -> str:
    """Return a table whose first row, where it names nothing, and whose first column are heads."""

    def cells(row: tuple[str, ...]) -> str:
        first, *rest = map(html.escape, row)
        each = "td" if first else "th"
        return f"<tr><th>{first}</th>{''.join(f'<{each}>{cell}</{each}>' for cell in rest)}</tr>"

    return f"<table>{''.join(map(cells, rows))}</table>" if rows else ""


def paragraphs(lines: Iterable[str]) -> str:
    """Return lines as paragraphs."""
    return "".join(f"<p>{html.escape(each)}</p>" for each in lines)
