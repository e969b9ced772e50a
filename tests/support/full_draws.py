"""Whether the parts of a motif come out whole in made-up forges, worked out without the search's own shortcuts.

Each forge has everything unsure about it changed at once and for real; its face is pulled back to the can by the direct
map, and it is looked which of the pattern's own parts touch the rim of what is asked for.
"""

from __future__ import annotations

import numpy as np
import shapely
from scipy import ndimage

from preview.base.errors import JobError
from preview.pipeline import laid_raster
from tests.support.true_forge import TrueForge

STEP, OVER, TO_A_PART = 0.5, (6.0, 0.7), 3
"""How far apart (mm) points lie along the rim, and at most all over the room, along and across; and how many there are
of these to the length and the height of the smallest part at least, so that none slips through between them."""


LABELS = 100_000
"""More than there are parts: in a bar of tiles each tile has its own."""


def labelled(job):
    """Return what tells of places in the pattern (mm) which of its bright parts they are on; 0 is none."""
    raster = laid_raster(job)
    labels, _ = ndimage.label(raster.share_of(job.bright_powders)[1:-1, 1:-1] > 0.5)
    wide, high = raster.cell
    rows, columns = labels.shape

    def at(first, second):
        column = np.floor(first / wide + columns / 2).astype(int)
        row = np.floor(rows / 2 - second / high).astype(int)
        on = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
        return np.where(on, labels[np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)], 0)

    return at


def room_of(outline, margin):
    edge, spine, _ = outline.traced()
    return shapely.Polygon(np.concatenate([edge, spine[::-1]])).buffer(0).buffer(-margin)


def points_of(room, apart=OVER):
    """Return points all along the rim of a room, and points all over it, (n, 2) each."""
    rim = shapely.get_coordinates(shapely.segmentize(room.exterior, STEP))
    left, low, right, high = room.bounds
    over = np.stack(np.meshgrid(np.arange(left, right, apart[0]), np.arange(low, high, apart[1])), axis=-1).reshape(
        -1, 2
    )
    return rim, over[shapely.contains_xy(room, over)]


def whole_in_full_draws(job, parts, margin, rng, draws):
    """Return in which of ``draws`` forges which parts of the right face come out whole, (draws, parts).

    None is where blade, or the tang that lies in the bar as it is reckoned, leaves the bar.
    """
    smallest = [min(getattr(part, size) for part in parts) / TO_A_PART for size in ("length", "height")]
    rim, over = points_of(room_of(job.blade.outline, margin), np.minimum(OVER, smallest))
    label_at, seen = labelled(job), job.pattern.direction.seen
    wanted = []
    for part in parts:
        # a point of the rim lies half a pixel inside the part: most of them know which it is
        known = label_at(*part.spots)
        tile = np.searchsorted(welds(job.history), part.in_bar[0].mean())
        wanted.append(int(np.bincount(known[known > 0]).argmax()) + LABELS * tile)
    pressed = next(
        bar for step, bar in zip(job.history.steps[::-1], job.history.bars[::-1], strict=False) if not step.mills
    ).thickness
    found = np.zeros((draws, len(parts)), dtype=bool)
    with_tang = in_steel(job, with_tang=True)
    for draw in range(draws):
        forge = _possible(rng, job)
        off = rng.standard_normal() * job.unsure.flow * pressed
        if not in_steel(forge.job, with_tang):
            continue
        can, in_bar = _origin(forge, np.concatenate([rim, over]), off, pressed)
        labels = label_at(*seen(*can)) + LABELS * np.searchsorted(welds(forge.job.history), in_bar)
        touched, inside = labels[: len(rim)], labels[len(rim) :]
        found[draw] = [(inside == label).any() and not (touched == label).any() for label in wanted]
    return found


def in_steel(job, with_tang):
    """Say whether the blade lies in its bar, and its tang too."""
    outline, bar = job.blade.outline, job.history.bar
    heel, edge, _ = job.blade.corner(bar)
    steel = shapely.box(-bar.length / 2, -bar.width / 2, bar.length / 2, bar.width / 2).buffer(1e-4)
    butt = heel - outline.tang_length * with_tang
    return steel.contains(shapely.box(butt, edge, heel + outline.length, edge + outline.height))


def _possible(rng, job):
    """Draw a forge whose bar has as many tiles as reckoned.

    A bar that comes to a pass thinner than that leaves it is pressed a little all the same.
    """
    state, many = rng.bit_generator.state, len(welds(job.history))
    while True:
        try:
            drawn = TrueForge.drawn(rng, job)
            if len(welds(drawn.job.history)) == many:
                return drawn
            state = rng.bit_generator.state
        except JobError as error:
            number = int(error.faults[0].where.partition("[")[2].partition("]")[0])
            forging = list(job.forging)
            forging[number] = forging[number].model_copy(update={"height": 0.99 * forging[number].height})
            job = job.model_copy(update={"forging": tuple(forging)})
            rng.bit_generator.state = state


def _origin(forge, places, off, over):
    """Return where places (n, 2), mm, came from in the can, and along the bar: the flow law off, the blows undone."""
    ground, history = forge.job.ground, forge.job.history
    along, across = places.T
    x, y, z = ground.blade.blade_to_bar(along, across, ground.stand("right", along, across), ground.bar)
    x, y = forge.wander.moved(-forge.weights, x, y - off * np.tanh(y / over))
    return history.origin(np.stack([x, y, z], axis=1)).T, x


def welds(history):
    """Return where along the bar, on its middle line, tiles meet, mm."""
    found = [np.zeros(0)]
    for number, step in enumerate(history.steps):
        along = step.joints(history.met[number])
        points = np.stack([along, np.zeros_like(along), np.zeros_like(along)], axis=1)
        found.append(history.between(points, history.frames[number + 1], "bar")[:, 0])
    return np.sort(np.concatenate(found))
