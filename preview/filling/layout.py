"""From the wanted picture back to the can: what to lay so that it shows on the ground face."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from PIL import ImageColor

from preview.base.arrays import Array, Bytes, Float32, Mask
from preview.base.errors import Fault, JobError
from preview.base.progress import counted
from preview.base.units import Sentence, mm, mm2, say
from preview.blade.grind import Side
from preview.face.columns import Met, folded_area, meet
from preview.face.face_map import compose
from preview.face.grid import FaceGrid, face_grid
from preview.face.origins import Origins
from preview.face.view import View
from preview.filling.agreement import Agreement, agree
from preview.filling.wanted import Placed, Wanted
from preview.filling.wanted_picture import one_tone
from preview.job.job import Job
from preview.pattern.colours import STRAY
from preview.pattern.pattern import Pattern
from preview.pattern.powders import Powder
from preview.pattern.raster import LARGEST_RASTER, Cells, Raster
from preview.pipeline import face_map, find_origins

COLUMNS_PER_MM = 12.0
"""Columns solved for in a millimetre of the can; between them the way to the face is read bilinearly."""

MOST_PX_PER_MM = 48.0
COMPARED_AT = 10.0
"""Pixels in a millimetre at which the outcome is compared with the picture."""

PICTURE = "can_pattern.png"
CONTESTED_COLOUR = (213, 94, 0)
SPARE_COLOURS = ("black", "white", "red", "lime", "blue", "cyan", "magenta", "yellow")
"""Colours none of which lies between two others; for powders whose own colours do."""


@dataclass(frozen=True, eq=False)
class Layout:
    """What to lay in the can.

    Parameters
    ----------
    picture
        The can's floor in the powders' colours, RGB bytes, row 0 at +across, columns along.
    px_per_mm
        Its pixels in a millimetre.
    job
        The job with this pattern; its picture is to lie beside it as `PICTURE`.
    powders
        For each powder its share of the can's floor.
    unused
        Share of the can's floor whose columns come out on no wanted face; the first powder lies there.
    contested
        Columns (a grid of the can's floor, row 0 at +across) of which the two faces ask different powders.
    contested_area
        Their area on the can's floor, mm2.
    contested_on_blade
        The stretch of the blade they show on: least and largest along and across, mm; None where there are none.
    off_blade
        Share of the wanted picture's bright area that lies off the blade's outline or on the can's shell.
    folded
        Area of the wanted faces (mm2) where columns turn back and show twice.
    notes
        What the smith should know, in words.
    """

    picture: Bytes
    px_per_mm: float
    job: Job
    powders: dict[str, float]
    unused: float
    contested: Mask
    contested_area: float
    contested_on_blade: tuple[float, float, float, float] | None
    off_blade: float
    folded: float
    notes: tuple[Sentence, ...]

    @property
    def marked(self) -> Bytes:
        """The picture with the contested columns in orange: to look at, not to fill by."""
        marked = self.picture.copy()
        marked[self.contested] = CONTESTED_COLOUR
        return marked


def lay_out(job: Job, wanted: Wanted) -> Layout:
    """Return what to lay in the can of ``job`` so that ``wanted`` shows on its ground blade.

    Each column of the can is followed to where it meets the ground face, and takes the powder wanted there. Where
    both faces are wanted and ask different powders of a column, the face that it meets nearer to the bar's
    middle keeps it, since columns are least bent there.

    Raises
    ------
    JobError
        If no layout can do it: dividers along the blade, a twisted or tiled bar, no column that meets the face.
    FileError
        If the wanted picture cannot be read; the job's own is not asked for.
    """
    _check(job)
    placed = place(job, wanted)
    length, width, _ = job.can.inside
    # the forging and the blade count; the job's own picture may not be drawn yet
    bare = Cells((job.powders[0].name,), np.ones((1, 3, 3), dtype=np.float32))
    origins = find_origins(job, Raster(bare, (length, width), 0.0, ()))
    per_mm = min(MOST_PX_PER_MM, float(np.sqrt(0.98 * LARGEST_RASTER / (length * width))))
    rows, columns = round(width * per_mm), round(length * per_mm)

    x, y = _nodes(length), _nodes(width)[::-1]
    met = {side: meet(origins, side, *np.meshgrid(x, y)) for side in counted("columns to the face", wanted.sides)}
    if not any(each.on_blade.any() for each in met.values()):
        raise JobError.at("blade", "no column of the can comes out on the wanted face; the blade lies outside it")
    asked = {side: _asked(placed, met[side], (rows, columns)) for side in counted("what is asked", wanted.sides)}
    reached = {side: _finer(met[side].on_blade, (rows, columns)) >= 0.5 for side in wanted.sides}
    classes = placed.raster.classes
    shares = np.zeros((len(classes), rows, columns), dtype=np.float32)
    shares[classes.index(job.powders[0].name)] = 1
    contested, stretch = np.zeros((rows, columns), dtype=bool), None
    if len(wanted.sides) == 1:
        side = wanted.sides[0]
        shares = np.where(np.isfinite(asked[side]), asked[side], shares)
    else:
        shares, contested, stretch = _settled(met, asked, reached, shares)
    unused = 1 - float(np.any([*reached.values()], axis=0).mean())

    powders = _told_apart(job.powders)
    palette = np.array([ImageColor.getrgb(powder.colours[0])[:3] for powder in powders], dtype=np.float32)
    picture = np.rint(np.tensordot(shares, palette, axes=(0, 0))).astype(np.uint8)
    pattern = Pattern(picture=PICTURE, dividers="through")
    new = job.model_copy(update={"pattern": pattern, "powders": powders})
    bright = job.bright_powders
    found = Layout(
        picture=picture,
        px_per_mm=per_mm,
        job=new,
        powders={name: float(share.mean()) for name, share in zip(classes, shares, strict=True)},
        unused=unused,
        contested=contested,
        contested_area=float(contested.mean()) * length * width,
        contested_on_blade=stretch,
        off_blade=_off_blade(placed, bright, wanted.sides[0], origins),
        folded=sum(folded_area(origins, side) for side in wanted.sides),
        notes=(*one_tone(placed.raster, bright), *placed.raster.notes),
    )
    return replace(found, notes=(*found.notes, *_notes(found)))


def place(job: Job, wanted: Wanted) -> Placed:
    """Return the wanted picture placed on the job's blade; round it lies the first powder."""
    return Placed(wanted, job.blade.outline, job.powders, job.powders[0].name)


def _check(job: Job) -> None:
    faults = []
    if not job.pattern.direction.upright:
        problem = "dividers along the blade show the same all along it; a picture needs dividers through"
        faults.append(Fault("pattern.dividers", problem))
    for number, step in enumerate(job.forging):
        if not step.keeps_columns:
            problem = f"after a {step.step} each column comes out in many places; no layout puts a picture there"
            faults.append(Fault(f"forging[{number}]", problem))
    if faults:
        raise JobError(faults)


def _told_apart(powders: tuple[Powder, ...]) -> tuple[Powder, ...]:
    """Return the powders with one colour each, none of which may be taken for the soft edge between two others."""
    colours = [np.array(ImageColor.getrgb(powder.colours[0])[:3], dtype=float) for powder in powders]
    clear = all(
        float(np.linalg.norm(one - other)) > 2 * STRAY
        and all(_off_line(third, one, other) > STRAY for third in colours if third is not one and third is not other)
        for place, one in enumerate(colours)
        for other in colours[:place]
    )
    named = [powder.colours[0] if clear else spare for powder, spare in zip(powders, SPARE_COLOURS, strict=False)]
    return tuple(p.model_copy(update={"colours": (colour,)}) for p, colour in zip(powders, named, strict=True))


def _off_line(point: Array, one: Array, other: Array) -> float:
    step = other - one
    share = np.clip((point - one) @ step / (step @ step), 0, 1)
    return float(np.linalg.norm(point - one - share * step))


def _nodes(size: float) -> Array:
    """Return the places (mm) of the columns that are solved for, from one side of the can to the other."""
    return np.linspace(-size / 2, size / 2, round(size * COLUMNS_PER_MM) + 1)


def _finer(nodes: Array | Mask, shape: tuple[int, int]) -> Array:
    """Read ``nodes`` (rim to rim) bilinearly at the middles of ``shape`` cells; NaN where a corner is."""
    rows, columns = nodes.shape
    row = (np.arange(shape[0]) + 0.5) / shape[0] * (rows - 1)
    column = (np.arange(shape[1]) + 0.5) / shape[1] * (columns - 1)
    top, left = row.astype(int), column.astype(int)
    down, right = (row - top)[:, None], (column - left)[None, :]
    upper = nodes[top][:, left] * (1 - right) + nodes[top][:, left + 1] * right
    lower = nodes[top + 1][:, left] * (1 - right) + nodes[top + 1][:, left + 1] * right
    return np.asarray(upper * (1 - down) + lower * down)


def _asked(placed: Placed, met: Met, shape: tuple[int, int]) -> Float32:
    """Return the shares that a face asks of each cell of the can's floor; NaN where no column of it gets there."""
    along, across = _finer(met.along, shape), _finer(met.across, shape)
    there = np.isfinite(along)
    asked = np.full((len(placed.raster.classes), *shape), np.nan, dtype=np.float32)
    asked[:, there] = placed.shares(along[there], across[there])
    return asked


def _settled(
    met: dict[Side, Met],
    asked: dict[Side, Float32],
    reached: dict[Side, Mask],
    otherwise: Float32,
) -> tuple[Float32, Mask, tuple[float, float, float, float] | None]:
    """Return the shares kept of what both faces ask, the contested cells, and where on the blade they show."""
    shape = otherwise.shape[1:]
    right_height, left_height = (np.abs(_finer(met[side].up, shape)) for side in ("right", "left"))
    on_right, on_left = reached["right"], reached["left"]
    nearer = on_right & (~on_left | (right_height <= left_height))
    first = np.where(nearer, asked["right"], asked["left"])
    second = np.where(nearer, asked["left"], asked["right"])
    shares = np.where(np.isfinite(first), first, np.where(np.isfinite(second), second, otherwise))
    contested = on_right & on_left
    contested &= np.nan_to_num(asked["right"]).argmax(axis=0) != np.nan_to_num(asked["left"]).argmax(axis=0)
    if not contested.any():
        return shares, contested, None
    along, across = _finer(met["right"].along, shape)[contested], _finer(met["right"].across, shape)[contested]
    return shares, contested, (float(along.min()), float(along.max()), float(across.min()), float(across.max()))


def _off_blade(placed: Placed, bright: tuple[str, ...], side: Side, origins: Origins) -> float:
    """Return the share of the wanted bright area that no column of the can serves."""
    rows, columns = placed.raster.shares.shape[1:]
    step = max(1, min(rows, columns) // 300)
    wide, high = placed.raster.cell
    right = (np.arange(0, columns, step) + 0.5 - columns / 2) * wide
    up = (rows / 2 - 0.5 - np.arange(0, rows, step)) * high
    right, up = np.meshgrid(right, up)
    names = [name for name in placed.raster.classes if name in bright]
    share = sum(placed.raster.shares[placed.raster.classes.index(name)][::step, ::step] for name in names)
    along, across = placed.on_face(right, up)
    blade = origins.ground.blade
    served = blade.outline.contains(along, across)
    grid = face_grid(blade.outline, 4.0)
    face = compose(origins, View.of(side, blade, 4.0))
    row = np.clip(((grid.across[0, 0] - across) * 4).round().astype(int), 0, grid.shape[0] - 1)
    column = np.clip(((along - grid.along[0, 0]) * 4).round().astype(int), 0, grid.shape[1] - 1)
    if face.off_pattern is not None:
        served &= ~face.off_pattern[row, column]
    total = float(np.sum(share))
    return float(np.sum(share * ~served)) / total if total else 0.0


def _notes(found: Layout) -> list[Sentence]:
    notes = []
    if found.off_blade > 0.005:
        notes.append(
            say(
                "{} of the wanted bright area lies off the blade or on the can's shell and cannot be had: make the "
                "picture smaller or move it.", f"{found.off_blade:.0%}",
            )
        )  # fmt: skip
    if found.contested_on_blade is not None and found.contested_area > 0.05:
        low, high, edge, spine = found.contested_on_blade
        notes.append(
            say(
                "On {} of the can's floor the two faces ask for different powders (they show {} from the heel, {} "
                "over the edge's baseline). The face met nearer to the bar's middle keeps them.",
                mm2(found.contested_area, ".1f"),
                mm(low, high, form=".0f", between=" to "), mm(edge, spine, form=".0f", between=" to "),
            )
        )  # fmt: skip
    if found.folded > 0.5:
        notes.append(
            say(
                "On {} of the face the columns turn back: what is laid there shows at a second spot too.",
                mm2(found.folded),
            )
        )
    notes.append(
        say(
            "{} of the can's floor comes out on no wanted face (ends, sides, what is cut round the outline): the first "
            "powder lies there, any will do.", f"{found.unused:.0%}",
        )
    )  # fmt: skip
    return notes


def wanted_bright(job: Job, wanted: Wanted, grid: FaceGrid) -> Float32:
    """Return the wanted share of bright steel at a face's pixels, averaged over each, ``(rows, columns)``."""
    placed = place(job, wanted)
    # about one sample for each cell of the picture that a pixel spans
    count = int(np.clip(np.ceil(1 / (grid.px_per_mm * min(placed.raster.cell))), 2, 4))
    part = ((np.arange(count) + 0.5) / count - 0.5) / grid.px_per_mm
    total = np.zeros(grid.shape, dtype=np.float32)
    bright = [place for place, name in enumerate(placed.raster.classes) if name in job.bright_powders]
    for dx, dy in counted("the wanted picture", [(dx, dy) for dx in part for dy in part]):
        along, across = (grid.along + dx).astype(np.float32), (grid.across + dy).astype(np.float32)
        total += placed.shares(*np.broadcast_arrays(along, across))[bright].sum(axis=0) / count**2
    return total


def agreement_of(job: Job, wanted: Wanted, side: Side, px_per_mm: float = COMPARED_AT) -> Agreement:
    """Return how well ``side`` of a job's blade agrees with what is wanted on it."""
    face = face_map(job, side, px_per_mm)
    shown = face.share_of(job.bright_powders)
    if face.off_pattern is not None:
        shown = np.where(face.off_pattern, 0, shown)
    return agree(wanted_bright(job, wanted, face.grid), shown, face.grid.mask, px_per_mm)
