"""The shop's sheet, read back from the PDF."""

from __future__ import annotations

import pytest

from tests.support.pdf import words

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_the_shop_sheet_says_what_the_shop_needs(shop):
    text = words(shop)
    for word in (
        "Łukasz & Søn", "Can and fill", "weigh in", "Step by step", "read at 1000 °C", "your reading",
        "mm from the heel", "Etch 12 min", "Cautions", "Vent the can", "50 mm", "Marking templates", "Left face",
    ):  # fmt: skip
        assert word in text, word
