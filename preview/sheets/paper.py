"""Paper for the sheets: sizes, type, and a page that is measured in millimetres from its upper left corner."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape
from importlib.metadata import distribution
from typing import Any, Literal

import numpy as np
import shapely

from preview.base.arrays import Bytes
from preview.base.pictures import image_of, png_bytes
from preview.base.progress import counted
from preview.base.settings import MM_PER_INCH

Align = Literal["left", "middle", "right"]
"""Which point of a short line of words is told."""

MARGIN = 12.0
"""Left free on all sides, mm: what common printers need."""

POINTS_PER_MM = 72 / MM_PER_INCH
CHECK_BAR = 50.0
"""Length of the bar that proves the scale, mm."""

FINEST = 0.005
"""How far (mm) a line may lie beside the points that it stands for: a dot at 5000 to the inch."""

INK, SOFT, RULE = (0.13, 0.12, 0.11), (0.36, 0.35, 0.33), (0.72, 0.70, 0.66)
WHITE = (1.0, 1.0, 1.0)
HEED = (0.66, 0.16, 0.07)
"""Colour of what is to be heeded; it has a sign and bold type as well."""

FONTS = {
    "serif": "STIXGeneral.ttf",
    "serif-italic": "STIXGeneralItalic.ttf",
    "serif-bold": "STIXGeneralBol.ttf",
    "sans": "DejaVuSans.ttf",
    "sans-bold": "DejaVuSans-Bold.ttf",
}
"""Free fonts that come with matplotlib; they hold Latin, Greek and Cyrillic letters, and are embedded."""

BREAK = 4.0
"""How far the zigzag of a line of break reaches to either side, mm."""

JPEG_QUALITY = 95
"""Of photographs on paper: nothing of the loss is seen there, and they are sooner packed than without any."""


@lru_cache(maxsize=len(FONTS))
def _font(name: str) -> str:
    """Return the name of a font of `FONTS`, made known to reportlab when first used."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # matplotlib is not imported for its files alone: that takes as long as a page
    folder = distribution("matplotlib").locate_file("matplotlib/mpl-data/fonts/ttf")
    pdfmetrics.registerFont(TTFont(name, f"{folder}/{FONTS[name]}"))
    return name


@dataclass
class Page:
    """A PDF in the making, written to in millimetres from the upper left corner of its current page.

    Parameters
    ----------
    size
        Width and height of the paper, mm.
    title
        The document's title.
    author
        Who made it; may be left empty.
    """

    size: tuple[float, float]
    title: str
    author: str = ""
    _stream: io.BytesIO = field(default_factory=io.BytesIO)

    def __post_init__(self) -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        page = (self.size[0] * POINTS_PER_MM, self.size[1] * POINTS_PER_MM)
        rl_config.useA85 = 0  # pictures as they are, not as text: the file is a fifth smaller and much sooner made
        # without a font of ours to start with, each page would name one that is not embedded
        self._canvas: Any = Canvas(self._stream, pagesize=page, invariant=True, initialFontName=_font("sans"))
        self._canvas.setTitle(self.title)
        self._canvas.setAuthor(self.author)

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return x * POINTS_PER_MM, (self.size[1] - y) * POINTS_PER_MM

    def words(
        self, text: str, x: float, y: float, width: float, size: float = 10, font: str = "sans", colour: Any = INK
    ) -> float:
        """Write ``text`` into a column, its upper left corner at ``x``, ``y``; return the height it takes, mm."""
        paragraph, height = self._paragraph(text, width, size, font, colour)
        left, top = self._at(x, y)
        paragraph.drawOn(self._canvas, left, top - height)
        return float(height / POINTS_PER_MM)

    def height_of(self, text: str, width: float, size: float = 10, font: str = "sans") -> float:
        """Return the height (mm) that `words` would take."""
        return float(self._paragraph(text, width, size, font, INK)[1] / POINTS_PER_MM)

    def _paragraph(self, text: str, width: float, size: float, font: str, colour: Any) -> tuple[Any, float]:
        from reportlab.lib.colors import Color
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph

        style = ParagraphStyle(
            "words", fontName=_font(font), fontSize=size, leading=1.32 * size, textColor=Color(*colour)
        )
        paragraph = Paragraph(escape(text).replace("\n", "<br/>"), style)
        return paragraph, paragraph.wrap(width * POINTS_PER_MM, 1e6)[1]

    def picture(
        self, picture: Bytes, x: float, y: float, width: float, height: float, *, photograph: bool = False
    ) -> None:
        """Lay a grey or RGB picture with its upper left corner at ``x``, ``y``, stretched to a size in mm."""
        from reportlab.lib.utils import ImageReader

        left, low = self._at(x, y + height)
        image: Any = image_of(picture)
        if photograph:
            image.save(packed := io.BytesIO(), "JPEG", quality=JPEG_QUALITY)
            image = packed
        self._canvas.drawImage(ImageReader(image), left, low, width * POINTS_PER_MM, height * POINTS_PER_MM)

    def line(
        self, points: Any, *, wide: float = 0.25, colour: Any = INK, dash: tuple[float, ...] = (), closed: bool = False
    ) -> None:
        """Draw a line through points (n, 2) in mm; ``dash`` are lengths of strokes and gaps, mm."""
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setLineWidth(wide * POINTS_PER_MM)
        self._canvas.setDash([length * POINTS_PER_MM for length in dash])
        self._canvas.setLineJoin(1)  # round: a sharp tip stays where it is
        path = self._canvas.beginPath()
        self._follow(path, points)
        if closed:
            path.close()
        self._canvas.drawPath(path)
        self._canvas.setDash([])

    def _follow(self, path: Any, points: Any) -> None:
        """Go on in a path along points (n, 2), mm, those left out that are not seen."""
        seen = shapely.simplify(shapely.linestrings(points), FINEST, preserve_topology=False)
        for number, (x, y) in enumerate(shapely.get_coordinates(seen).tolist()):
            (path.lineTo if number else path.moveTo)(*self._at(x, y))

    def line_of_break(self, x: float, y: float, tall: float) -> None:
        """Draw, from ``y`` down, what says that something goes on there: a narrow line with a zigzag (ISO 128-2)."""
        middle = y + tall / 2
        zigzag = [
            (x, middle - BREAK),
            (x - BREAK, middle - BREAK / 2),
            (x + BREAK, middle + BREAK / 2),
            (x, middle + BREAK),
        ]
        for wide, colour in ((1.6, WHITE), (0.4, INK)):  # light round it, so that it is seen on a dark picture
            self.line([(x, y), *zigzag, (x, y + tall)], wide=wide, colour=colour)

    def lines(self, many: Any, *, wide: float = 0.12, colour: Any = INK) -> None:
        """Draw straight lines, each from its first to its last point, all at once: a hatch."""
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setLineWidth(wide * POINTS_PER_MM)
        self._canvas.lines([(*self._at(*line[0]), *self._at(*line[-1])) for line in many])

    def area(self, rings: Any, colour: Any) -> None:
        """Fill an area within closed rings, each (n, 2) in mm; a ring in another is a hole."""
        self._canvas.setFillColorRGB(*colour)
        path = self._canvas.beginPath()
        for ring in rings:
            self._follow(path, ring)
            path.close()
        self._canvas.drawPath(path, stroke=0, fill=1, fillMode=0)  # even-odd

    def label(
        self,
        text: str,
        x: float,
        y: float,
        size: float = 7,
        font: str = "sans",
        colour: Any = SOFT,
        align: Align = "middle",
    ) -> None:
        """Write one short line, the ``left``, ``middle`` or ``right`` end of its foot at ``x``, ``y``."""
        self._canvas.setFillColorRGB(*colour)
        self._canvas.setFont(_font(font), size)
        draw = {"left": "drawString", "middle": "drawCentredString", "right": "drawRightString"}[align]
        getattr(self._canvas, draw)(*self._at(x, y), text)

    def check_bar(self, x: float, y: float) -> None:
        """Draw the 50 mm bar, its upper left corner at ``x``, ``y``, and say how to print."""
        self._canvas.setFillColorRGB(*INK)
        left, low = self._at(x, y + 1.2)
        self._canvas.rect(left, low, CHECK_BAR * POINTS_PER_MM, 1.2 * POINTS_PER_MM, stroke=0, fill=1)
        length = f"{CHECK_BAR:g} mm ({CHECK_BAR / MM_PER_INCH:.2f} in)"
        told = (
            f"If this bar is {length} long, the print is at true size; if not, print at 100 %, not fitted to the page."
        )
        self.words(told, x + CHECK_BAR + 3, y - 1.2, 130, 7, colour=SOFT)

    def table(
        self,
        rows: list[tuple[str, ...]],
        x: float,
        y: float,
        widths: tuple[float, ...],
        size: float = 8,
        least: float = 0.0,
        under: Mapping[int, str] | None = None,
    ) -> float:
        """Write a table, its first row the heads, other rows at least ``least`` mm high; return its height, mm.

        ``under`` holds what is to be heeded under a row, by its number, 0 for the heads.
        """
        top = y
        for number, row in enumerate(rows):
            font = "sans" if number else "sans-bold"
            high = max(
                self.height_of(cell or " ", wide - 2, size, font) for cell, wide in zip(row, widths, strict=True)
            )
            high = max(high, least - 1.6) if number else high
            place = x
            for cell, wide in zip(row, widths, strict=True):
                self.words(cell, place + 0.5, y + 0.7, wide - 2, size, font)
                place += wide
            y += high + 1.6
            if under and number in under:
                y += self.words(f"▲ {under[number]}", x + 0.5, y - 0.4, sum(widths) - 2, size, "sans-bold", HEED) + 0.8
            self.line([(x, y), (x + sum(widths), y)], wide=0.12 if number else 0.3, colour=RULE if number else INK)
        return y - top

    def turn_over(self) -> None:
        """Go on to a new page."""
        self._canvas.showPage()

    def finish(self) -> bytes:
        """Return the PDF."""
        self._canvas.save()
        return self._stream.getvalue()


def page_pictures(pdf: bytes, dots_per_inch: float = 150.0) -> list[bytes]:
    """Return each page of a PDF as PNG bytes."""
    import pypdfium2

    pictures = []
    document = pypdfium2.PdfDocument(pdf)
    for page in counted("pages", document):
        shown = page.render(scale=dots_per_inch / 72).to_pil().convert("RGB")
        pictures.append(png_bytes(np.asarray(shown), dots_per_inch / MM_PER_INCH))
        page.close()
    document.close()
    return pictures
