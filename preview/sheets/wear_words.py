"""What years of sharpening leave of a blade, in words for the smith and for the client."""

from __future__ import annotations

from preview.base.units import METRIC, Units
from preview.blade.grind import SIDES
from preview.face.wear_numbers import MotifLeft, WearNumbers

TOO_WIDE = 2.0
"""Width (mm) of a strip from which on a smith would rather thin the bevels (common practice, no published source)."""


def wear_lines(found: WearNumbers, units: Units = METRIC) -> list[tuple[str, str]]:
    """Return the numbers as pairs of a name and a value with its unit."""
    edge, new_edge = (units.length(size, form=".2f") for size in found.edge)
    high, new_high = (units.length(size, form=".1f") for size in found.height)
    strip, new_strip = (_strip(size, units) for size in found.strip)
    return [
        ("Sharpened away", units.length(found.back, form=".1f")),
        ("Blade at mid-length", f"{high} from edge to spine, new {new_high}"),
        ("Edge before its stones", f"{edge} thick, new {new_edge}"),
        ("Bare strip along it", f"{strip}, new {new_strip}"),
        ("Tip", f"{units.length(found.shorter, form='.1f')} further back"),
        *((("Heel", _heel(found, units)),) if found.hanging else ()),
        *((f"{side.capitalize()} face", _motif(left)) for side, left in zip(SIDES, found.motif, strict=True)),
    ]


def wear_text(found: WearNumbers, units: Units = METRIC) -> str:
    """Return the numbers as text."""
    lines = wear_lines(found, units)
    wide = max(len(name) for name, _ in lines)
    return "".join(f"{name:<{wide}}  {value}\n" for name, value in lines)


def years_caption(found: WearNumbers, shown: str, units: Units) -> str:
    """Return what stands under a picture of the sharpened blade; ``shown`` says which of its faces."""
    gone = max(left.gone for left in found.motif)
    return (
        f"After {units.length(found.back, form='g')} of sharpening, {shown}. Faint: the steel that is gone; "
        f"orange: the {100 * gone:.0f} % of the bright pattern that went with it. The tip is "
        f"{units.length(found.shorter, form='.1f')} further back."
    )


def years_briefly(found: WearNumbers, units: Units) -> str:
    """Return in one sentence what goes, for a client with several blades to choose from."""
    back = units.length(found.back, form="g")
    return f"Once {back} of the edge are sharpened away, {_gone(found)}, and {_shorter(found, units)}."


def years_words(found: WearNumbers, units: Units) -> str:
    """Return it in plain words, for a client."""
    strip, new = (None if size is None else units.length(size, form=".1f") for size in found.strip)
    wider = f", and the bright strip of the sharpened edge is {strip} wide" if strip else ""
    wider += f" instead of {new}" if strip and new and strip != new else ""
    wider += _hides(found)
    thick = found.strip[0] is not None and found.strip[0] > TOO_WIDE
    thinning = " Long before, your smith can thin the blade and etch it anew." if thick else ""
    heel = f" {_by_the_heel(found, units)}" if found.hanging else ""
    return (
        "The pattern does not wear off: it goes through the steel. But sharpening takes a little steel off the edge, "
        f"year by year. Once {units.length(found.back, form='g')} are gone, {_gone(found)}, "
        f"{_shorter(found, units)}{wider}.{heel}{thinning}"
    )


def _hides(found: WearNumbers) -> str:
    now, new = found.strip
    return "; where it is wider it hides some more of the pattern" if now is not None and now > (new or 0) else ""


def _by_the_heel(found: WearNumbers, units: Units) -> str:
    """Return what is to be done where the stones do not reach: until it is, only some of the edge cuts."""
    low = units.length(found.hanging, form=".1f")
    return (
        "The stones do not reach the bit of steel right by the heel: left as it is, it ends up "
        f"{low} lower than the new edge. Have it ground back along with the edge, and all of the edge cuts."
    )


def _shorter(found: WearNumbers, units: Units) -> str:
    return f"the tip lies {units.length(found.shorter, form='.1f')} further back"


def _heel(found: WearNumbers, units: Units) -> str:
    hanging = units.length(found.hanging, form=".1f")
    return f"then stands {hanging} below the new edge, as drawn, until it is ground back too and all of the edge cuts"


def _gone(found: WearNumbers) -> str:
    gone = max(left.gone for left in found.motif)
    return "no bright pattern is lost" if gone < 0.005 else f"some {100 * gone:.0f} % of the bright pattern is gone too"


def _strip(width: float | None, units: Units) -> str:
    return "none shows" if width is None else f"{units.length(width, form='.2f')} wide"


def _motif(left: MotifLeft) -> str:
    words = f"{left.gone:.1%} of the bright pattern is ground away"
    if left.cut or left.lost:
        shapes = "its one bright shape" if left.shapes == 1 else f"{left.shapes} bright shapes"
        words += f"; of {shapes} {left.cut} cut into, {left.lost} gone"
    return words
