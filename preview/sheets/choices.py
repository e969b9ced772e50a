"""The client's sheet with versions to choose from: two to four blades side by side, each with what may vary on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from preview.base.arrays import Bytes
from preview.base.errors import RequestError
from preview.base.progress import counted
from preview.base.units import Units
from preview.blade.handle import behind_heel
from preview.forge.draws import Likely
from preview.job.job import Job
from preview.sheets.blade_drawing import blade_drawing, drawing_high
from preview.sheets.client import (
    GAP,
    HELD,
    SIZES,
    SheetWords,
    column_wide,
    foot_of,
    scale_words,
    size_that_fits,
    without_handle,
    write_columns,
    write_foot,
    write_head,
)
from preview.sheets.client_words import BY_HAND, CARE, CAUTION, KIND, MISSING, left_out_words, may_miss, told_of_years
from preview.sheets.in_use_words import MUCH_ALIKE, in_use_table, in_use_words
from preview.sheets.mirror_words import mirror_words
from preview.sheets.paper import MARGIN as EDGE, SOFT, Page
from preview.sheets.rings import KEY, ring_numbers, rings_picture, worst_words
from preview.sheets.steel_words import facing_words, kept_together, made_words, size_words
from preview.sheets.unlike_words import differences, finish_unlike, unlike_words

NAME_HIGH = 7.0
"""Height of a version's name above its words, mm."""

LETTERS = "ABCD"
"""What the versions are called, as many as there can be."""

TOLD_WIDE, RINGS_TOLD_WIDE, NAMED_WIDE = 76.0, 100.0, 46.0
"""Least width of the words beside a version, and beside its rings; width of the table's names; mm."""

EXPECT = f"Each picture is the middle of what may come out of a blade made that way. {BY_HAND}: think of it as {KIND}."

AS_A = "All that stands beside A holds for this one too."


@dataclass(frozen=True, eq=False)
class Version:
    """One of the blades to choose from: its job, the right face at some pixels in a millimetre, and its draws."""

    job: Job
    face: Bytes
    px_per_mm: float
    likely: Likely


def version_words(job: Job, first: Job | None, units: Units) -> str:
    """Return in plain words what a version is, or does and shows otherwise than that which stands ``first``.

    What both have alike is told of the first alone.
    """
    size = size_words(job, units)
    if first is None:
        return kept_together(f"{size} {facing_words(job, units)}")
    other = size if size != size_words(first, units) else ""
    return kept_together(" ".join(filter(None, (*unlike_first(job, first, units), other))))


def unlike_first(job: Job, first: Job, units: Units) -> tuple[str, ...]:
    """Return what a version does in use, and how it differs from that which stands ``first``; once if in nothing."""
    used, told = in_use_words(job, first), unlike_words(job, first, units)
    return (told,) if job == first else (f"{used[0].upper()}{used[1:]}.", told)


def briefly(job: Job, first: Job, units: Units) -> str:
    """Return in a line what tells a version from that which stands ``first``."""
    used = in_use_words(job, first)
    told = differences(job, first, units) if used == MUCH_ALIKE else [used, *finish_unlike(job, first)]
    return kept_together("; ".join(told) or "the same blade as A")


def may_come_out(job: Job, found: Likely, units: Units) -> tuple[str, ...]:
    """Return how a version's pattern may come out, and what is missing of it then and over the years, a line each."""
    told = (worst_words(found, units), *may_miss(job, found, told_of_years(job), units))
    return tuple(kept_together(each) for each in told)


def made_of(job: Job, first: Job | None, units: Units) -> tuple[str, ...]:
    """Return what a version is where it stands alone, a line each: how it differs, its size, its faces."""
    unlike = () if first is None else unlike_first(job, first, units)
    told = (*unlike, size_words(job, units), facing_words(job, units), mirror_words(job))
    return tuple(kept_together(each) for each in told if each)


def check_count(jobs: tuple[Job, ...]) -> None:
    """Raise `RequestError` if there are more versions than a client is given to choose from."""
    if len(jobs) > len(LETTERS):
        given = len(jobs) - 1
        raise RequestError.at("beside", f"at most {len(LETTERS) - 1} versions fit beside the first; given {given}")


def choices_sheet(versions: tuple[Version, ...], words: SheetWords, size: tuple[float, float], units: Units) -> bytes:
    """Return the sheet as a PDF, on paper of ``size`` (width and height, mm): all versions at one scale."""
    units = units.model_copy(update={"places": 2})  # a client measures with a ruler
    page = Page(size, "Choices", words.maker)
    room = size[0] - 2 * EDGE
    _side_by_side(page, versions, words, room, units)
    page.turn_over()
    _what_to_expect(page, versions, _in_use(page, tuple(each.job for each in versions), room, units), room, units)
    page.turn_over()
    _of_all(page, versions, words.story.strip(), room, units)
    return page.finish()


def names(jobs: tuple[Job, ...]) -> tuple[str, ...]:
    """Return what each version is called: a letter, and its title."""
    return tuple(f"{letter} · {each.title or 'A blade'}" for letter, each in zip(LETTERS, jobs, strict=False))


def _side_by_side(page: Page, versions: tuple[Version, ...], words: SheetWords, room: float, units: Units) -> None:
    top = write_head(page, "Versions to choose from", words, room)
    foot = foot_of(page) - 5
    jobs = tuple(each.job for each in versions)
    sizes = [(each.face.shape[1] / each.px_per_mm, each.face.shape[0] / each.px_per_mm) for each in versions]
    row = (foot - top) / len(versions)
    least = max(max(across / (room - TOLD_WIDE - GAP), high / (row - GAP)) for across, high in sizes)
    scale = max(1.0, ceil(20 * least) / 20)
    told = [version_words(each, jobs[0] if number else None, units) for number, each in enumerate(jobs)]
    pictures = [(each.face, across / scale, high / scale) for each, (across, high) in zip(versions, sizes, strict=True)]
    # a line of break is for what is drawn at its size
    broken = [scale == 1 and behind_heel(each.blade.outline, each.blade.handle).reach[0] > HELD for each in jobs]
    _rows(page, top, row, room, tuple(zip(names(jobs), pictures, told, strict=True)), broken=broken)
    if scale == 1:
        page.check_bar(EDGE, foot + 1)
    else:
        page.words(
            f"Right faces, shown at {100 / scale:.0f} % of true size: {scale_words(scale, units)}. Each is the middle "
            "of what may come out of a blade made that way.",
            EDGE, foot, room, 9, "serif-italic", SOFT,
        )  # fmt: skip
    write_foot(page, room)


def _in_use(page: Page, jobs: tuple[Job, ...], room: float, units: Units) -> float:
    """Write what the versions are in use, a table; return down to where, mm."""
    y = EDGE
    y += page.words("What they are in use", EDGE, y, room, 16, "serif") + 1
    wide = (room - NAMED_WIDE) / len(jobs)
    rows = [("", *LETTERS[: len(jobs)]), *in_use_table(jobs, units)]
    return y + page.table(rows, EDGE, y, (NAMED_WIDE, *(wide for _ in jobs))) + 5


def _what_to_expect(page: Page, versions: tuple[Version, ...], y: float, room: float, units: Units) -> None:
    """Write from ``y`` (mm) on, or on the next page where it has no room, how sure the versions are."""
    jobs = tuple(each.job for each in versions)
    told = [tuple(line for line in may_come_out(each.job, each.likely, units) if line != MISSING) for each in versions]
    alike = _alike([(each, ring_numbers(version.likely, units)) for each, version in zip(told, versions, strict=True)])
    said = [_beside(told[group[0]], told[0]) if group[0] else "\n".join(told[0]) for group in alike]
    told_of_all = f"{EXPECT} {KEY}. {MISSING}"
    heads = 1 + page.height_of("What to expect", room, 16, "serif") + 3 + page.height_of(told_of_all, room, 10, "serif")
    least = NAME_HIGH + max(page.height_of(each, RINGS_TOLD_WIDE, SIZES[-1], "serif") for each in said)
    if y + heads + len(alike) * least > foot_of(page):
        write_foot(page, room)
        page.turn_over()
        y = EDGE
    y += page.words("What to expect", EDGE, y, room, 16, "serif") + 1
    y += page.words(told_of_all, EDGE, y, room, 10, "serif") + 3
    row = (foot_of(page) - y) / len(alike)
    shown = []
    for group, each in zip(alike, said, strict=True):
        found = versions[group[0]].likely
        rings = without_handle(rings_picture(found, units), found.view)
        share = rings.shape[0] / rings.shape[1]
        tall = min(row - GAP, (room - RINGS_TOLD_WIDE - GAP) * share)
        shown.append((_named(group, names(jobs)), (rings, tall / share, tall), each))
    _rows(page, y, row, room, shown)
    write_foot(page, room)


def _alike(told: Sequence[object]) -> list[list[int]]:
    """Return which versions are told alike, by their numbers: each group in its order."""
    groups: list[list[int]] = []
    for number, each in enumerate(told):
        like = next((group for group in groups if told[group[0]] == each), None)
        if like is None:
            groups.append([number])
        else:
            like.append(number)
    return groups


def _named(group: list[int], called: tuple[str, ...]) -> str:
    """Return what stands over what some of the versions have alike."""
    if len(group) == len(called):
        return "All versions alike"
    *most, last = (LETTERS[number] for number in group)
    return f"{', '.join(most)} and {last} alike" if most else called[group[0]]


def _beside(told: tuple[str, ...], first: tuple[str, ...]) -> str:
    """Return what is told of a version that is not told of the first as well."""
    shared = [each for each in told if each in first]
    if len(shared) == len(told):
        return AS_A
    own = (each for each in told if each not in shared)
    return "\n".join((*own, "For the rest as with A.") if shared else own)


def _rows(
    page: Page,
    top: float,
    row: float,
    room: float,
    shown: Sequence[tuple[str, tuple[Bytes, float, float], str]],
    *,
    broken: Sequence[bool] = (),
) -> None:
    """Write versions one below the other, ``row`` mm each: name, picture with its width and height, and words."""
    beside = max(wide for _, (_, wide, _), _ in shown) + GAP
    heads = [page.height_of(name, room - beside, 12, "serif-bold") for name, _, _ in shown]
    size = min(
        size_that_fits(page, told, room - beside, row - head - 1)
        for (_, _, told), head in zip(shown, heads, strict=True)
    )
    for number, (name, (picture, wide, high), told) in enumerate(counted("setting the sheet", shown)):
        y = top + number * row
        page.picture(picture, EDGE, y, wide, high, photograph=True)
        if any(broken[number : number + 1]):
            page.line_of_break(EDGE, y, high)
        y += page.words(name, EDGE + beside, y, room - beside, 12, "serif-bold") + 0.5
        page.words(told, EDGE + beside, y, room - beside, size, "serif")


def _of_all(page: Page, versions: tuple[Version, ...], story: str, room: float, units: Units) -> None:
    """Write what holds for all versions: story, steel, what the pictures leave out, care and caution."""
    first = versions[0].job
    made = {made_words(each.job): None for each in versions}
    mirrored = next(filter(None, (mirror_words(each.job) for each in versions)), "")
    steel = " ".join(filter(None, (*made, mirrored)))
    blocks = [
        *((("The pattern", story),) if story else ()),
        ("Steel", kept_together(steel)),
        ("What the pictures do not show", left_out_words(first, units)),
        ("Care", CARE),
        ("Caution", CAUTION),
    ]
    y = max(write_columns(page, blocks, room)) + 4
    high = max(drawing_high(each.job, column_wide(room)) for each in versions) * ceil(len(versions) / 2)
    if y + high > foot_of(page):  # a long story
        write_foot(page, room)
        page.turn_over()
        y = EDGE
    _named_parts(page, versions, y, room, units)
    write_foot(page, room)


def _named_parts(page: Page, versions: tuple[Version, ...], top: float, room: float, units: Units) -> None:
    """Draw each version with its parts named, two beside each other."""
    wide = column_wide(room)
    row = (foot_of(page) - top) / ceil(len(versions) / 2)
    for number, each in enumerate(versions):
        x, y = EDGE + number % 2 * (room - wide), top + number // 2 * row
        page.words(LETTERS[number], x, y - 1, wide, 11, "serif-bold")
        blade_drawing(page, each.job, x, y, wide, units)
