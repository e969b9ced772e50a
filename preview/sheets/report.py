"""The preview in words: numbers with their units, what is doubtful, and cautions."""

from __future__ import annotations

from typing import Any

from preview.base.cautions import CAUTIONS
from preview.base.results import plain
from preview.base.units import METRIC, Units, mm, say
from preview.blade.grind import SIDES
from preview.blade.sharpening import mid_strip
from preview.face.lying_off import LiesOff, lying_off
from preview.face.running_off import RunsOff, running_off
from preview.pattern.fineness import LADDER
from preview.pipeline import Preview, find_origins
from preview.sheets.mirror_words import mirror_words

TRUST = say(
    "How far to trust it: with usual bites and friction, pressed to a fifth of its height in all, the flow of the "
    "press is known to some 5 % of the final height and lines on the face to {}, less near the bar's sides; spread "
    "laws agree to some 3 % of the width; tones are a likely look until they are calibrated on a coupon of your own "
    "steels. Grind a little less than shown, etch, and look.",
    mm(0.25),
)

WORTH_PLACING, MOST_PLACES = 0.005, 3
"""Share of the bright pattern off the blade from which it is told where, and how many places are told."""


def report_dict(shown: Preview) -> dict[str, Any]:
    """Return the numbers as plain values, the name of each with its unit."""
    return {"title": shown.job.title, **plain(shown.numbers)}


def report_lines(shown: Preview, units: Units = METRIC) -> list[tuple[str, str]]:
    """Return the main numbers as pairs of a name and a value with its unit."""
    found, job = shown.numbers, shown.job
    length, width, thickness = (
        units.number(side, form) for side, form in zip(found.bar, (".0f", ".1f", ".2f"), strict=True)
    )
    through = job.pattern.direction.upright
    lines = []
    if job.found is not None:
        still = units.length(job.found.off, form=".1f")
        lines.append(
            (
                f"As a photograph of your own {job.found.of} showed",
                f"it may still lie {still} off, four times of five"
                + ("" if job.found.forged else "; that it is of this laying and forging was not noted: match it again"),
            )
        )
    lines += [
        ("Bar after forging", f"{length} x {width} x {thickness} {units.name('mm')}"),
        ("Stretch along the blade", f"{found.stretch_along:.2f} times what it is in the can"),
        (
            "Stretch edge to spine" if through else "Stretch of the picture's height",
            f"{found.stretch_across:.2f} times what it is in the can",
        ),
    ]
    for side in SIDES:
        face = found.face(side)
        name = side.capitalize()
        if all(station.height == 0 for station in face.stations):
            lines.append((f"{name} face", "unground"))
        else:
            lines.append((f"{name} bevel", job.grind.bevel(side).words(units)))
            for place, station in zip(("heel", "middle", "towards the tip"), face.stations, strict=True):
                lines.append(
                    (
                        f"{name} bevel, {place} ({units.length(station.along, form='.0f')})",
                        f"{station.angle:.2f}° a side, grind line {units.length(station.height, form='.1f')} from the "
                        f"edge, spine {units.length(station.thickness, form='.2f')} thick once ground",
                    )
                )
            moved = f"{units.length(abs(face.slide), form='.2f')} in the can"
            if face.slide_on_blade is not None:
                moved += f", {units.length(abs(face.slide_on_blade), form='.1f')} on the blade"
            lines.append((f"{name} face, pattern slides from flat to edge", moved))
        lines.append((f"{name} face, stays bright", f"{face.bright_share:.1%}"))
    if mirrored := mirror_words(job):
        lines.append(("Left face against the right", mirrored))
    strip = mid_strip(job.ground, "right" if job.grind.right.is_ground else "left")
    angle = f"sharpened at {job.grind.edge_angle:g}° a side"
    shows = "shows as no strip" if strip is None else f"shows {units.length(strip, form='.2f')} wide at mid-length"
    lines.append(("Edge", f"{angle}, {shows}"))
    lines.append(("Bright steel lighter than dark by", f"{found.contrast:.0f}, where black is 0 and white 100"))
    for name, width_ in found.finest.items():
        widest = f"over {units.length(LADDER[-1], form='.0f')}"
        wide = units.length(width_, form=".2f") if width_ < LADDER[-1] else widest
        lines.append((f"Finest of the {name} powder", f"{wide} on the blade"))
    along, across, _ = found.softening
    lines.append(("Nickel softened by the heats", f"{along:.0f} µm along, {across:.0f} µm across as a rule"))
    if found.joints:
        lines.append(("Joints of the tiles", f"{units.length(*found.joints, form='.0f', between=', ')} from the heel"))
    if found.motif_off is not None:
        off = f"{found.motif_off:.0%}"
        if found.motif_off >= WORTH_PLACING:
            off += off_words(running_off(shown.faces[0], job.bright_powders), units)
            off += lost_words(lying_off(find_origins(job), job.bright_powders), units)
        lines.append(("Bright pattern off the blade", off))
    return lines


def lost_words(figures: tuple[LiesOff, ...], units: Units) -> str:
    """Return where figures lie of which nothing is on the blade, the largest first, to be set after `off_words`."""
    told = []
    for each in figures[:MOST_PLACES]:
        ends = units.length(each.start, each.end, form=".0f", between=" to ")
        told.append(
            {
                "milled": "in what is milled off the bar",
                "heel": f"{ends} behind the heel",
                "tip": f"{ends} beyond the tip",
            }.get(each.beside, f"over the {each.beside} {ends} from the heel")
        )
    if len(figures) > MOST_PLACES:
        told.append(f"{len(figures) - MOST_PLACES} more")
    return (
        f"; wholly off it {'lie figures' if len(figures) > 1 else 'lies a figure'}: {', '.join(told)}" if told else ""
    )


def off_words(where: tuple[RunsOff, ...], units: Units) -> str:
    """Return where figures run off the right face, the worst first, to be set after how much does."""
    told = []
    for each in where[:MOST_PLACES]:
        ends = units.length(each.start, each.end, form=".0f", between=" to ")
        told.append("the heel" if each.over == "heel" else f"the {each.over} {ends} from the heel")
    if len(where) > MOST_PLACES:
        told.append(f"{len(where) - MOST_PLACES} places more")
    return f"; figures are cut off at {', '.join(told)}" if told else ""


def report_text(shown: Preview, units: Units = METRIC) -> str:
    """Return the whole report as text."""
    lines = report_lines(shown, units)
    wide = max(len(name) for name, _ in lines)
    parts = [shown.job.title or "Preview", ""]
    parts += [f"{name:<{wide}}  {value}" for name, value in lines]
    if shown.numbers.notes:
        parts += ["", "Look at this:", *(f"- {note.told(units)}" for note in shown.numbers.notes)]
    parts += ["", TRUST.told(units), "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS)]
    return "\n".join(parts) + "\n"
