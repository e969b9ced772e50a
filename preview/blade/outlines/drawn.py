"""An outline that the smith has drawn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Literal, Self

import numpy as np
from pydantic import Field, InstanceOf, field_validator, model_serializer, model_validator
from pydantic_core.core_schema import SerializerFunctionWrapHandler

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.errors import JobError
from preview.base.files import leaves_folder, read_bytes
from preview.base.papers import PaperName
from preview.base.pictures import KEPT_BY_CAMERAS, LARGEST_FILE as LARGEST_PHOTO
from preview.base.settings import Angle, Control, NonNegativeLength, PositiveLength
from preview.base.units import Sentence
from preview.base.words import brief
from preview.blade.outlines.base import Outline
from preview.blade.outlines.orienting import EdgeAt, TipAt
from preview.blade.outlines.reading import LARGEST_FILE, closed_lines, the_outline
from preview.blade.outlines.ruler import Ruler
from preview.blade.outlines.tracing import PHOTOGRAPHS, Told, trace_template
from preview.blade.outlines.understanding import Stated, Understood, understand


class DrawnOutline(Outline):
    """A closed outline out of an SVG or DXF drawing, at its own size or at a stated ``length``, or of a photograph.

    ``drawing`` is a path inside the job file's folder; what it draws is read by `in_folder`, which a job's reader
    calls. A ``length`` that is the drawing's own is not written, and ``height`` is always the drawing's. The other
    keys state what the drawing may not tell; left out, it is looked for. The photograph of a template needs its
    ``length``, the ``paper`` that it lies on, or a ``ruler``: two places of it and how far they are apart.
    """

    shape: Annotated[Literal["drawn"], Control("Outline", help="The profile, from a drawing.")] = "drawn"
    drawing: str
    length: Annotated[
        PositiveLength,
        Control(
            "Blade length", "mm", "Heel to tip; left out, as drawn.", least=1.0, step=0.5,
            offer="Another length than drawn", start=180.0,
        ),
    ] = 180.0  # fmt: skip
    height: PositiveLength = 36.0
    turn: Annotated[
        Angle | None,
        Control(
            "Turn", "°", "Turn the drawing counter-clockwise, so that the blade lies level.", step=1.0,
            offer="Turn the drawing", start=0.0,
        ),
    ] = None  # fmt: skip
    tip_at: Annotated[
        TipAt | None,
        Control("Tip at the", help="Where the tip is in the drawing, once level.", offer="Say the tip", start="right"),
    ] = None
    edge_at: Annotated[
        EdgeAt | None,
        Control(
            "Edge at the", help="Where the edge is in the drawing, once level.", offer="Say the edge", start="bottom"
        ),
    ] = None
    ricasso: Annotated[
        NonNegativeLength | None,
        Control("Ricasso", "mm", "Unground at the heel.", least=0.0, step=0.5, offer="Say the ricasso", start=10),
    ] = None
    tang: Annotated[
        NonNegativeLength | None,
        Control("Tang", "mm", "How much lies behind the heel.", least=0.0, step=0.5, offer="Say the tang", start=100.0),
    ] = None
    paper: PaperName | None = None
    ruler: Ruler | None = None
    drawn: Annotated[InstanceOf[Understood] | None, Field(exclude=True)] = None
    content: Annotated[bytes, Field(exclude=True)] = b""

    @field_validator("drawing")
    @classmethod
    def _inside(cls, drawing: str) -> str:
        if leaves_folder(drawing):
            msg = "has to be a path inside its own folder"
            raise ValueError(msg)
        return drawing

    @model_validator(mode="after")
    def _of_a_photograph(self) -> Self:
        if not self.is_photograph and (self.paper or self.ruler):
            told = "paper" if self.paper else "ruler"
            msg = f"{told} tells the size of what is photographed; {self.drawing} is a drawing, which length sizes"
            raise ValueError(msg)
        return self

    @property
    def called(self) -> str:
        """See `Outline.called`."""
        return "profile of its own"

    @property
    def is_photograph(self) -> bool:
        """Whether it is read from a photograph, not from a drawing."""
        return PurePosixPath(self.drawing).suffix.lower() in (*PHOTOGRAPHS, *KEPT_BY_CAMERAS)

    @model_serializer(mode="wrap")
    def _as_stated(self, written: SerializerFunctionWrapHandler) -> dict[str, Any]:
        table: dict[str, Any] = written(self)
        if self._length_stated is None:
            table.pop("length", None)
        return table

    @property
    def _length_stated(self) -> float | None:
        return self.length if "length" in self.model_fields_set else None

    @property
    def files(self) -> dict[str, bytes]:
        """See `Outline.files`."""
        return {self.drawing: self.content}

    def in_folder(self, folder: Path) -> Self:
        """See `Outline.in_folder`."""
        stated = Stated(self._length_stated, self.turn, self.tip_at, self.edge_at, self.ricasso, self.tang)
        path = folder / PurePosixPath(self.drawing)
        if self.is_photograph:
            content = read_bytes(path, LARGEST_PHOTO, "a photograph of a template")
            drawn = _photographed(path, content, self.paper, self.ruler, stated)
        else:
            content = read_bytes(path, LARGEST_FILE, "a drawing of an outline")
            drawn = _understood(path, content, stated)
        read = self.model_copy(
            update={"drawn": drawn, "content": content, "length": drawn.length, "height": drawn.height}
        )
        if stated.length is None:
            read.__pydantic_fields_set__.discard("length")
        return read

    @property
    def understood(self) -> Understood:
        """What was understood of the drawing; raises `JobError` where it was not read yet."""
        if self.drawn is None:
            raise JobError.at(
                "blade.outline.drawing", f"has to be read first, by in_folder; given {brief(self.drawing)}"
            )
        return self.drawn

    @property
    def notes(self) -> tuple[Sentence, ...]:
        """See `Outline.notes`."""
        return self.understood.notes

    def edge(self, along: Array) -> Array:
        """See `Outline.edge`."""
        return np.asarray(np.interp(along, *self.understood.edge.T))

    def spine(self, along: Array) -> Array:
        """See `Outline.spine`."""
        return np.asarray(np.interp(along, *self.understood.spine.T))

    def bevel_edge(self, along: Array) -> Array:
        """See `Outline.bevel_edge`."""
        return np.asarray(np.interp(along, *self.understood.bevel_edge.T))

    def traced(self) -> tuple[Array, Array, Array]:
        """See `Outline.traced`; the drawing's own corners."""
        return self.understood.edge, self.understood.spine, self.understood.bevel_edge

    @property
    def ricasso_length(self) -> float:
        """See `Outline.ricasso_length`."""
        return self.understood.ricasso

    @property
    def choil_span(self) -> tuple[float, float] | None:
        """See `Outline.choil_span`."""
        return self.understood.choil

    @property
    def tang_polygon(self) -> Array:
        """See `Outline.tang_polygon`."""
        return self.understood.tang


@kept
def _understood(path: Path, content: bytes, stated: Stated) -> Understood:
    ring, notes = the_outline(closed_lines(path, content), path)
    found = understand(ring, stated)
    return replace(found, notes=(*notes, *found.notes))


@kept
def _photographed(
    path: Path, content: bytes, paper: PaperName | None, ruler: Ruler | None, stated: Stated
) -> Understood:
    length = None if stated.length is None else stated.length + (stated.tang or 0.0)
    ring, notes = trace_template(path, content, Told(paper, ruler, length, level=stated.turn is None))
    found = understand(ring, stated)
    return replace(found, notes=(*notes, *found.notes))
