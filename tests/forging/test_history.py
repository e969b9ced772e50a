from __future__ import annotations

import numpy as np
import pytest

from preview.base.errors import JobError
from preview.forging.bar import Can
from preview.forging.history import History, pull_back
from preview.forging.section_table import SectionTable
from preview.forging.steps import Consolidate, ForgeBevel, Press, Taper, Trim, Turn, Twist, Upset
from preview.forging.steps.base import Heat

CAN = Can(length=75, width=30, height=46, wall=2.0, fill_density=0.6)
EIGHT_PRESSES = History(
    CAN.bar(),
    (
        Consolidate(),
        Press(height=25, bite=22, repeat=4, turn_between=True),
        Press(height=7, bite=20, repeat=4),
        Trim(faces=0.9, sides=4, ends=8),
    ),
)
EVERYTHING = History(
    CAN.bar(),
    (
        Consolidate(),
        Press(height=26, bite=22, repeat=2, turn_between=True),
        Turn(),
        Trim(sides=(1.0, 0.5)),
        Press(height=8, bite=20, repeat=3, friction=0.5),
        Trim(faces=(0.7, 1.1), sides=3, ends=(5, 9)),
        ForgeBevel(edge_thickness=2.5, height=15),
        Taper(tip_thickness=4, tip_width=24),
    ),
)


def inside(history: History, count: int = 4000, share: float = 1.0) -> np.ndarray:
    return (np.random.default_rng(5).random((count, 3)) - 0.5) * np.array(history.bar.size) * share


def test_frames_lead_from_can_to_bar_and_back():
    history = EVERYTHING
    assert history.frames[:3] == ("can", "1 consolidate", "2 press")
    points = inside(history, 500, 0.6)
    points = points[np.isfinite(history.bar_to_can(points)).all(axis=1)]
    can = history.between(points, "bar", "can")
    np.testing.assert_allclose(history.between(can, "can", "bar"), points, atol=1e-9)
    for frame in history.frames:
        there = history.between(can, "can", frame)
        np.testing.assert_allclose(history.between(there, frame, "bar"), points, atol=1e-9)
    with pytest.raises(KeyError, match="known: can"):
        history.between(points, "bar", "anvil")


@pytest.mark.parametrize("history", [EIGHT_PRESSES, EVERYTHING], ids=["eight presses", "everything"])
def test_tabulated_pull_back_is_the_direct_one(history):
    """Under 0.005 mm everywhere on the metal, rim included, and the same metal but for the skin itself."""
    points = inside(history, 20000)
    points[::7, 1] = np.sign(points[::7, 1]) * history.bar.width / 2 * 0.9999
    direct = history.bar_to_can(points)
    x, y, z, metal = pull_back(history)(*np.moveaxis(points, -1, 0))
    table = np.stack(np.broadcast_arrays(x, y, z), axis=-1)
    both = np.isfinite(direct).all(axis=1) & metal
    assert both.mean() > 0.4
    assert np.abs(table - direct)[both].max() < 0.005
    assert (np.isfinite(direct).all(axis=1) != metal).mean() < 1e-3


def test_tabulated_pull_back_of_the_demos(demo):
    history = demo.history
    points = inside(history, 6000)
    direct = history.bar_to_can(points)
    x, y, z, metal = pull_back(history)(*np.moveaxis(points.astype(np.float32), -1, 0))
    both = np.isfinite(direct).all(axis=1) & metal
    table = np.stack(np.broadcast_arrays(x, y, z), axis=-1)
    assert np.abs(table - direct)[both].max() < 0.005
    assert x.dtype == y.dtype == z.dtype == np.float32


SQUARE = Press(height=24, bite=20, repeat=4, turn_between=True)
FLAT = Press(height=8, bite=20, repeat=3)
TWISTED = {
    "twisted after a press": (Consolidate(), SQUARE, Twist(turns=1), FLAT, Trim(faces=0.5, sides=3, ends=4)),
    "milled and twisted": (Consolidate(), SQUARE, Trim(faces=2, sides=2), Twist(turns=1), FLAT),
    "twisted as it is": (Consolidate(), Twist(turns=1), FLAT),
    "twisted and upset": (Consolidate(), Twist(turns=0.5), Upset(length=60)),
    "pressed only": (Consolidate(), FLAT),
}


@pytest.mark.parametrize("steps", TWISTED.values(), ids=TWISTED)
def test_tabulated_or_direct_it_is_the_same_metal(steps):
    """A twist lays corners where the section before it had none: the table, which ends there, says nothing of them."""
    history = History(Can(length=80, width=30, height=50, wall=0).bar(), steps)
    points = inside(history, 20000)
    points[:2000, 1] = np.sign(points[:2000, 1]) * history.bar.width / 2
    points[1000:4000, 2] = np.sign(points[1000:4000, 2]) * history.bar.thickness / 2  # the die skin; with the side's
    points = points.astype(np.float32)
    x, y, z, metal = pull_back(history)(*points.T)
    direct = history.bar_to_can(points)
    kept = np.isfinite(direct).all(axis=1)
    assert (kept != metal).mean() < 1e-4
    assert np.abs(np.stack(np.broadcast_arrays(x, y, z), axis=-1) - direct)[kept & metal].max() < 0.005


def test_forged_skin_is_metal_in_float32_too():
    """The forged bevel's own surface, as raw arrays hold it."""
    history = EVERYTHING
    along, across = (np.linspace(-0.49, 0.49, 50)[:, None] * size for size in history.bar.size[:2])
    across = across.T * 0.9
    along, across = np.broadcast_arrays(along, across)
    through = history.bar.thickness_at(along, across) / 2
    skin = np.stack([along, across, through], axis=-1)
    inner = np.isfinite(history.bar_to_can(skin - [0, 0, 0.01])).all(axis=-1)
    assert inner.mean() > 0.5
    assert np.isfinite(history.bar_to_can(skin.astype(np.float32))[inner]).all()


@pytest.mark.parametrize("height", [17, 1])
def test_image_rows_read_like_single_points(height):
    """Of tiles, what runs through the bar hangs on the place along it alone, so that one row of it does for all."""
    back = pull_back(EIGHT_PRESSES)
    along, across = np.linspace(-60, 60, 31)[None, :], np.linspace(-15, 15, 17)[:, None]
    through = np.linspace(-2, 2, 31)[None, :] * np.ones((height, 1))
    rows = back(along, across, through)
    single = back(*(np.array(a) for a in np.broadcast_arrays(along, across, through)))
    for one, other in zip(rows, single, strict=True):
        np.testing.assert_allclose(np.broadcast_to(one, (17, 31)), other, atol=1e-5)


def test_a_table_is_worked_out_once_for_equal_histories():
    again = History(CAN.bar(), tuple(step.model_copy() for step in EIGHT_PRESSES.steps))
    assert pull_back(again) is pull_back(EIGHT_PRESSES)


def test_the_section_is_not_tabulated_anew_for_what_does_not_change_it(monkeypatch):
    """The can's length, heats without scale, and what is trimmed after the presses leave the table; an upset hangs on
    the length, and scale changes the section.
    """
    made = []
    monkeypatch.setattr(SectionTable, "of", lambda *given: made.append(given[1:3]))
    scaled = Heat(temperature=1100, minutes=20)
    heat = scaled.model_copy(update={"protected": True})
    squeeze, press = Consolidate(), Press(height=21.03, friction=0.9)

    def tabulated(length: float, *steps) -> int:
        made.clear()
        pull_back(History(CAN.model_copy(update={"length": length}).bar(), steps))
        return len(made)

    assert tabulated(80.0, squeeze, press) == 1
    assert tabulated(81.0, squeeze, press.model_copy(update={"heat": heat}), Trim(ends=4, faces=1)) == 0
    assert tabulated(80.0, squeeze, press.model_copy(update={"heat": scaled})) == 1
    assert tabulated(81.0, squeeze, press.model_copy(update={"height": 21.04})) == 1
    assert tabulated(80.0, squeeze, Upset(length=60.5)) == tabulated(81.0, squeeze, Upset(length=60.5)) == 1


def test_gradient_of_the_whole_is_the_volume_ratio():
    assert np.linalg.det(EVERYTHING.gradient()) == pytest.approx(1 / 1 * 0.6, rel=1e-6)


def test_trimmed_metal_is_gone_for_good():
    """What a trim took does not come back when a later press makes the bar wide again."""
    history = History(
        CAN.bar(), (Consolidate(), Press(height=25, friction=1.0), Trim(sides=2), Press(height=8, friction=1.0))
    )
    points = inside(history, 5000)
    can = history.bar_to_can(points)
    gone = np.isnan(can).any(axis=1)
    _, _, _, metal = pull_back(history)(*np.moveaxis(points, -1, 0))
    assert 0 < gone.mean() < 0.2
    assert (gone == ~metal).mean() > 0.998


def test_faults_name_the_step():
    with pytest.raises(JobError, match=r"forging\[1\]\.height"):
        _ = History(CAN.bar(), (Consolidate(), Press(height=90))).bar
    with pytest.raises(JobError, match="loose to the end"):
        _ = History(CAN.bar(), ()).bar
