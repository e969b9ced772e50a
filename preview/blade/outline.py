"""The name by which other modules know the outline's contract."""

from __future__ import annotations

from preview.blade.outlines import Outline

__all__ = ["Outline"]
