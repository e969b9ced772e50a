"""The numbers beside the picture, against what can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from preview.pipeline import preview

POWDERS = [
    {"name": "plain", "colours": ["black"], "nickel": 0.1},
    {"name": "bright", "colours": ["white"], "nickel": 4.0},
]
FLAT = {"length": 120, "width": 50, "height": 30, "wall": 0, "fill_density": 0.6}


def numbers(job, px_per_mm=4):
    return preview(job, px_per_mm=px_per_mm).numbers


def lines(width_px: int, period: int, columns: int = 1200) -> np.ndarray:
    picture = np.zeros((500, columns), dtype=bool)
    picture[:, (np.arange(columns) % period) < width_px] = True
    return picture


def test_unforged_metal_is_not_stretched_and_does_not_slide(make):
    job = make(
        powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(job)
    assert found.stretch_along == pytest.approx(1, abs=1e-4)
    assert found.stretch_across == pytest.approx(1, abs=1e-4)
    assert found.right.slide == pytest.approx(0, abs=1e-4)
    assert found.softening == (0, 0, 0)
    assert found.bar == pytest.approx((120, 50, 18))


def test_stretch_of_a_homogeneous_press_is_the_spread_laws(make):
    job = make(
        powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 9, "spread": 0.3, "friction": 0}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(job)
    assert found.stretch_along == pytest.approx(2**0.7, rel=1e-4)
    assert found.stretch_across == pytest.approx(2**0.3, rel=1e-4)


def test_friction_slides_the_pattern_outwards_towards_the_mid_plane(make):
    """The middle of the bar moves out further than its skin, so what shows at the edge came from nearer the middle."""
    job = make(
        powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 9, "spread": 0.3, "friction": 0.6}],
        blade={"thickness": 8, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    face = numbers(job).right
    assert face.slide > 0.2
    assert face.slide_on_blade == pytest.approx(face.slide * 2**0.3, rel=0.5)


def test_line_widths(make):
    """Lines 0.6 mm wide on 2 mm of unforged can: finest bright 0.6, finest dark 1.4; bright share 0.3."""
    job = make(
        lines(6, 20), powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(job)
    assert found.finest["bright"] == pytest.approx(0.6, abs=0.12)
    assert found.finest["plain"] == pytest.approx(1.4, abs=0.2)
    assert found.right.bright_share == pytest.approx(0.3, abs=0.005)
    assert found.unfilled["bright"] == 0


def test_lines_that_do_not_survive_are_said_in_words(make):
    job = make(
        lines(2, 20), powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 9, "spread": 1, "friction": 0}, {"step": "turn",
        "quarters": 2}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(job)
    assert found.unfilled["bright"] > 0.9
    assert any("hardly fills" in str(note) for note in found.notes)
    thin = make(
        lines(2, 40, columns=2400), powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(thin)
    assert found.unseen["bright"] > 0.9
    assert any("read as grey" in str(note) for note in found.notes)
    seen = make(
        lines(4, 40, columns=2400), powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(seen, px_per_mm=1)
    assert found.unseen["bright"] < 0.01  # 0.2 mm, over the 0.15 mm that can be seen
    assert not any("read as grey" in str(note) for note in found.notes)


def test_shell_on_the_face_is_counted_and_named(make):
    """Wall 2 mm on a bar 22 mm thick, all of it left on: the unground flat is shell, the bevel below it is not."""
    can = {**FLAT, "wall": 2}
    job = make(
        powders=POWDERS, can=can, forging=[{"step": "consolidate"}],
        blade={"thickness": 20, "outline": {"shape": "sheepsfoot", "length": 100, "height": 40}},
        grind={"edge": 0.5, "right": {"height": 20}},
    )  # fmt: skip
    found = numbers(job)
    # thickness 20 stands 10 mm up, the fill 9: the bevel meets the shell 1 mm under the flat
    above = 1 - (9 - 0.25) / (10 - 0.25) * 20 / 40
    outline = job.blade.outline
    along = np.linspace(0, 100, 4001)
    area = np.trapezoid(outline.spine(along), along)
    over = np.trapezoid(np.maximum(outline.spine(along) - (1 - above) * 40, 0), along)
    assert found.right.shell_share == pytest.approx(over / area, abs=0.01)
    assert any("shell" in str(note) for note in found.notes)


def test_motif_off_the_blade(make):
    """A bright half of the can from the middle on, on a blade that covers half of the can's length."""
    job = make(
        powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 60, "height": 40, "point": 1}},
    )  # fmt: skip
    found = numbers(job)
    assert found.motif_off == pytest.approx(1 - 30 * 40 / (60 * 50), abs=0.02)
    assert any("off the finished right face" in str(note) for note in found.notes)


def test_nothing_is_said_of_a_motif_that_is_mostly_on_the_blade(make):
    job = make(
        powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}],
        blade={"thickness": 5, "outline": {"shape": "sheepsfoot", "length": 116, "height": 47, "point": 1}},
    )  # fmt: skip
    found = numbers(job, px_per_mm=1)
    assert 0.05 < found.motif_off < 0.2
    assert found.notes == ()


def test_powders_that_etch_alike_are_warned_of(make):
    """0.1 and 0.3 % of nickel hold off 1 - 2**-0.1 = 0.067 and 0.188 of the attack: 0.121 of 54 in L*, 6.5."""
    alike = [POWDERS[0], {**POWDERS[1], "nickel": 0.3}]
    job = make(
        powders=alike, can=FLAT, forging=[{"step": "consolidate"}], etch={"minutes": 600},
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    found = numbers(job, px_per_mm=1)
    assert found.contrast == pytest.approx(6.5, abs=0.1)
    assert any("pattern will look faint" in str(note) for note in found.notes)


@pytest.mark.parametrize(("length", "joints"), [(90, (9, 27, 45, 63, 81)), (50, (7, 25, 43))])
def test_joints_of_tiles(make, length, joints):
    """Six slices of a bar 18 mm thick, end grain up: a weld every 18 mm, one of them in the middle."""
    job = make(
        powders=POWDERS, can=FLAT, forging=[{"step": "consolidate"}, {"step": "tile", "slice": 20, "kerf": 0}],
        blade={"thickness": 5, "outline": {"length": length, "height": 30}},
    )  # fmt: skip
    assert numbers(job, px_per_mm=1).joints == pytest.approx(joints)


def test_softening_on_the_blade_is_that_of_the_last_heat(make):
    """An hour at 1200 C after all forging: one sigma is sqrt(2 D t) = 7.92 micrometres each way."""
    heat = {"temperature": 1200, "minutes": 60}
    job = make(
        powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 9, "friction": 0},
                 {"step": "trim", "heat": heat}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    assert numbers(job).softening == pytest.approx((7.92, 7.92, 7.92), rel=0.01)


@pytest.mark.parametrize(("bite", "warned"), [(4, True), (5.9, True), (6.1, False)])
def test_narrow_bites_are_warned_of(make, bite, warned):
    """Under a third of the thickness, which is 18 mm (common practice, no published source)."""
    job = make(
        powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": 12, "bite": bite}],
        blade={"thickness": 5, "outline": {"length": 100, "height": 40}},
    )  # fmt: skip
    assert any("third of the thickness" in str(note) for note in numbers(job, px_per_mm=1).notes) == warned


@pytest.mark.parametrize(
    ("friction", "thickness", "placement", "said"),
    [
        (0.6, 14, {"edge": 4}, "6 mm"),
        (0.6, 14, {"edge": 4.9}, "6.9 mm"),
        (0.6, 14, {"edge": 5.1}, None),
        (0.6, 14, {"edge": 12.2}, "6.8 mm"),
        (0.0, 14, {"edge": 4}, None),
    ],
    ids=["near the edge's side", "just too near", "just far enough", "near the spine's side", "no bulge"],
)
def test_a_blade_too_near_the_pressed_side_is_warned_of(make, friction, thickness, placement, said):
    """Within half a thickness, 7 mm, of the side, wherever it was milled to since.

    The bar is pressed to 51 mm and milled to 45, 2 off at the edge's side and 4 at the spine's; the blade is 30 high.
    """
    job = make(
        powders=POWDERS, can=FLAT,
        forging=[{"step": "consolidate"}, {"step": "press", "height": thickness, "width": 51, "friction": friction},
                 {"step": "trim", "sides": [2, 4]}],
        blade={"thickness": 5, "outline": {"length": 90, "height": 30}, "placement": placement},
    )  # fmt: skip
    assert job.history.bar.width == pytest.approx(45)
    notes = [str(note) for note in numbers(job, px_per_mm=1).notes if "as it was pressed" in str(note)]
    assert len(notes) == (said is not None)
    assert all(f"within {said} of" in str(note) for note in notes)
