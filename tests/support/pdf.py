"""What a PDF holds, read back by a library, in millimetres."""

from __future__ import annotations

import ctypes

import pypdfium2
from pypdfium2 import raw

from preview.sheets.paper import POINTS_PER_MM


def paths(pdf: bytes, page: int, *, closed: bool = False) -> list[tuple[float, float, float, float]]:
    """Return the boxes of a page's paths by the points they are drawn through: left, low, right, top in mm.

    With ``closed`` of those alone whose end goes back to their beginning.
    """
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for each in document[page].get_objects():
        if each.type != raw.FPDF_PAGEOBJ_PATH:
            continue
        points = []
        for number in range(raw.FPDFPath_CountSegments(each.raw)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(each.raw, number), x, y)
            points.append((x.value / POINTS_PER_MM, y.value / POINTS_PER_MM))
        if closed and not raw.FPDFPathSegment_GetClose(raw.FPDFPath_GetPathSegment(each.raw, len(points) - 1)):
            continue
        (left, right), (low, top) = ((min(side), max(side)) for side in zip(*points, strict=True))
        found.append((left, low, right, top))
    document.close()
    return found


def words(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return text


def lowest_words(pdf: bytes) -> list[float]:
    """Return how far over the paper's lower end the lowest words of each page stand, mm."""
    document, found = pypdfium2.PdfDocument(pdf), []
    for page in document:
        text = page.get_textpage()
        found.append(min(text.get_rect(n)[1] for n in range(text.count_rects())) / POINTS_PER_MM)
    document.close()
    return found


def size(pdf: bytes) -> tuple[int, tuple[float, float]]:
    document = pypdfium2.PdfDocument(pdf)
    found = len(document), tuple(side / POINTS_PER_MM for side in document[0].get_size())
    document.close()
    return found


def author(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    found = document.get_metadata_value("Author")
    document.close()
    return str(found)


def fonts(pdf: bytes) -> dict[str, bool]:
    """Return the names of the fonts that a PDF's text is set in, and whether each is embedded."""
    document, found = pypdfium2.PdfDocument(pdf), {}
    for page in document:
        for each in page.get_objects([raw.FPDF_PAGEOBJ_TEXT]):
            font = raw.FPDFTextObj_GetFont(each.raw)
            name = ctypes.create_string_buffer(200)
            raw.FPDFFont_GetBaseFontName(font, name, 200)
            found[name.value.decode()] = raw.FPDFFont_GetIsEmbedded(font) == 1
    document.close()
    return found
