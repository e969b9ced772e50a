"""An outline that the smith has drawn."""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Literal, Self

import numpy as np
from pydantic import Field, InstanceOf, field_validator, model_serializer
from pydantic_core.core_schema import SerializerFunctionWrapHandler

from preview.base.arrays import Array
from preview.base.cache import kept
from preview.base.errors import JobError
from preview.base.files import leaves_folder, read_bytes
from preview.base.settings import Angle, Control, NonNegativeLength, PositiveLength
from preview.base.units import Sentence
from preview.blade.outlines.base import Outline
from preview.blade.outlines.reading import LARGEST_FILE, read_shapes
from preview.blade.outlines.understanding import EdgeAt, Stated, TipAt, Understood, the_outline, understand


class DrawnOutline(Outline):
    """A closed outline out of an SVG or DXF drawing, at its own size or at a stated ``length``.

    ``drawing`` is a path inside the job file's folder; what it draws is read by `in_folder`, which a job's reader
    calls. A ``length`` that is the drawing's own is not written, and ``height`` is always the drawing's. The other
    keys state what the drawing may not tell; left out, it is looked for.
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
    drawn: Annotated[InstanceOf[Understood] | None, Field(exclude=True)] = None
    content: Annotated[bytes, Field(exclude=True)] = b""

    @field_validator("drawing")
    @classmethod
    def _inside(cls, drawing: str) -> str:
        if leaves_folder(drawing):
            msg = "has to be a path inside its own folder"
            raise ValueError(msg)
        return drawing

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
            raise JobError.at("blade.outline.drawing", f"has to be read first, by in_folder; given {self.drawing!r}")
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
def _understood(path: Path, content: bytes, stated: Stated) -> Understood:  # noqa: ARG001
    ring, notes = the_outline(read_shapes(path), path)
    found = understand(ring, stated)
    return Understood(
        found.edge, found.spine, found.bevel_edge, found.tang, found.ricasso, found.choil, (*notes, *found.notes)
    )
