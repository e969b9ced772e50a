"""The preview in words: numbers with their units, what is doubtful, and cautions."""

from __future__ import annotations

from typing import Any

from preview.base.cautions import CAUTIONS
from preview.base.results import plain
from preview.blade.grind import SIDES
from preview.pattern.fineness import LADDER
from preview.pipeline import Preview

TRUST = (
    "How far to trust it: the flow of the press is known to some 3 % of the height at 50 % reduction away from the "
    "bar's sides, less near them; spread laws agree to some 3 % of the width; tones are a likely look until they are "
    "calibrated on a coupon of your own steels. Grind a little less than shown, etch, and look."
)


def report_dict(shown: Preview) -> dict[str, Any]:
    """Return the numbers as plain values, the name of each with its unit."""
    return {"title": shown.job.title, **plain(shown.numbers)}


def report_lines(shown: Preview) -> list[tuple[str, str]]:
    """Return the main numbers as pairs of a name and a value with its unit."""
    found, job = shown.numbers, shown.job
    length, width, thickness = found.bar
    through = job.pattern.direction.upright
    lines = [
        ("Bar after forging", f"{length:.0f} x {width:.1f} x {thickness:.2f} mm"),
        ("Stretch along the blade", f"{found.stretch_along:.2f} mm for 1 mm in the can"),
        (
            "Stretch edge to spine" if through else "Stretch of the picture's height",
            f"{found.stretch_across:.2f} mm for 1 mm in the can",
        ),
    ]
    for side in SIDES:
        face = found.face(side)
        name = side.capitalize()
        if all(station.height == 0 for station in face.stations):
            lines.append((f"{name} face", "unground"))
        else:
            for place, station in zip(("heel", "middle", "towards the tip"), face.stations, strict=True):
                lines.append(
                    (
                        f"{name} bevel, {place} ({station.along:.0f} mm)",
                        f"{station.angle:.2f}° a side, grind line {station.height:.1f} mm from the edge, "
                        f"blade {station.thickness:.2f} mm thick",
                    )
                )
            moved = f"{abs(face.slide):.2f} mm in the can"
            if face.slide_on_blade is not None:
                moved += f", {abs(face.slide_on_blade):.1f} mm on the blade"
            lines.append((f"{name} face, pattern slides from flat to edge", moved))
        lines.append((f"{name} face, bright share", f"{face.bright_share:.1%}"))
    lines.append(("Lightness contrast", f"{found.contrast:.0f} in L*"))
    for name, width_ in found.finest.items():
        lines.append(
            (
                f"Finest of the {name} powder",
                f"{width_:.2f} mm on the blade" if width_ < LADDER[-1] else f"over {LADDER[-1]:.0f} mm on the blade",
            )
        )
    along, across, _ = found.softening
    lines.append(("Nickel softened by the heats", f"{along:.0f} µm along, {across:.0f} µm across (one sigma)"))
    if found.joints:
        lines.append(("Joints of the tiles", f"{', '.join(f'{place:.0f}' for place in found.joints)} mm from the heel"))
    if found.motif_off is not None:
        lines.append(("Bright pattern off the blade", f"{found.motif_off:.0%}"))
    return lines


def report_text(shown: Preview) -> str:
    """Return the whole report as text."""
    lines = report_lines(shown)
    wide = max(len(name) for name, _ in lines)
    parts = [shown.job.title or "Preview", ""]
    parts += [f"{name:<{wide}}  {value}" for name, value in lines]
    if shown.numbers.notes:
        parts += ["", "Look at this:", *(f"- {note}" for note in shown.numbers.notes)]
    parts += ["", TRUST, "", "Cautions:", *(f"- {caution}" for caution in CAUTIONS)]
    return "\n".join(parts) + "\n"
