"""Carbon that the can drinks, against the error function, other published laws, and an integration of its own."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import erf, erfinv

from preview.forging.bar import Bar, Can
from preview.forging.carbon import CAN_CARBON, POWDER_CARBON, SOUND, carbon_skin, diffused, diffusivity
from preview.forging.history import History
from preview.forging.steps import Consolidate, Press, Tile, Trim, Turn, Twist
from preview.forging.steps.base import Heat

GAS = 8.314462618
CLOSED = Heat(temperature=1180, minutes=45, protected=True)
OPEN = CLOSED.model_copy(update={"protected": False})
THICK = Bar(100.0, 40.0, 40.0, wall=10.0)
"""A solid bar whose outer 10 mm are the can's: a couple that has no end as far as carbon gets."""

FLAT = Press(height=10, spread=0, friction=0)
MILL = Trim(faces=1.0)


def agren(temperature, carbon):
    """mm2/s; J. Ågren, Scripta Metall. 20 (1986) 1507, from memory."""
    kelvin = temperature + 273.15
    moles = carbon / 12.011
    site = moles / ((100 - carbon) / 55.845)
    rise = np.exp(-(1 / kelvin - 2.221e-4) * (17767 - 26436 * site))
    return 1e6 * 4.53e-7 * (1 + site * (1 - site) * 8339.9 / kelvin) * rise


def tibbetts(temperature, carbon):
    """mm2/s; G. G. Tibbetts, J. Appl. Phys. 51 (1980) 4813, from memory."""
    energy = 37000 - 6600 * carbon
    return 100 * 0.47 * np.exp(-1.6 * carbon) * np.exp(-energy / (1.987 * (temperature + 273.15)))


@pytest.mark.parametrize("law", [agren, tibbetts])
@pytest.mark.parametrize("temperature", [1000, 1100, 1200, 1290])
def test_three_laws_agree(law, temperature):
    carbon = np.linspace(0.1, 1.0, 10)
    ratio = law(temperature, carbon) / diffusivity(temperature, carbon)
    assert (ratio > 0.95).all()
    assert (ratio < 1.4).all()


def test_the_law_against_a_textbook_value():
    """0.15 cm2/s and 135 kJ/mol for carbon in austenite, as textbooks of steel give it without carbon's own part."""
    plain = 15.0 * np.exp(-135000 / (GAS * (1150 + 273.15)))
    assert diffusivity(1150, np.array(0.9)) == pytest.approx(plain, rel=0.1)


def cells(count=400, length=12.0):
    ends = np.linspace(0, length, count + 1)
    return (ends[1:] + ends[:-1]) / 2, np.full(count, length / count)


def spread_out(carbon, lengths, constant, seconds, steps=200, *, closed=True):
    for each in np.diff(seconds * (np.arange(steps + 1) / steps) ** 2):
        carbon = diffused(carbon, lengths, np.ones_like(carbon), np.full_like(carbon, constant), each, closed=closed)
    return carbon


def test_a_couple_is_the_error_function():
    """0.9 against 0.1 % carbon: c = 0.5 + 0.4 erf(x / 2 sqrt(D t)) (Crank, The Mathematics of Diffusion)."""
    x, lengths = cells()
    found = spread_out(np.where(x < 6, 0.9, 0.1), lengths, 1e-4, 2400)
    assert found == pytest.approx(0.5 - 0.4 * erf((x - 6) / (2 * np.sqrt(0.24))), abs=2e-3)
    assert found.sum() == pytest.approx(0.5 * x.size)


def test_an_open_end_is_the_error_function():
    """Carbon gone at the end: c = 0.9 erf(x / 2 sqrt(D t)), 90 % of it left at 1.163 x 2 sqrt(D t)."""
    x, lengths = cells()
    found = spread_out(np.full(x.size, 0.9), lengths, 1e-4, 2400, closed=False)
    assert found == pytest.approx(0.9 * erf((12 - x) / (2 * np.sqrt(0.24))), abs=3e-3)
    assert erfinv(0.9) == pytest.approx(1.163, abs=1e-3)


def integrated(bar: Bar, heat: Heat) -> float:
    """How deep under the joint 90 % of the powder's carbon is left: lines of a fine grid, by an adaptive integrator."""
    half, count = bar.thickness / 2, 800
    step = half / count
    x = (np.arange(count) + 0.5) * step
    start = np.where(x < half - bar.wall, POWDER_CARBON, CAN_CARBON)

    def change(_, carbon):
        middle = diffusivity(heat.temperature, (carbon[1:] + carbon[:-1]) / 2)
        flow = np.concatenate([[0.0], middle * np.diff(carbon) / step, [0.0]])
        return np.diff(flow) / step

    end = 60 * heat.minutes
    found = solve_ivp(change, (0, end), start, method="LSODA", lband=1, uband=1, rtol=1e-6, atol=1e-8).y[:, -1]
    return float(half - bar.wall - np.interp(-SOUND * POWDER_CARBON, -found, x))


def test_a_heat_by_another_integration():
    found = carbon_skin(History(THICK, (Turn(heat=CLOSED), MILL)))
    assert found.under_joint == pytest.approx(integrated(THICK, CLOSED), rel=0.02)
    assert found.shell == pytest.approx(10)
    assert found.deep == pytest.approx(10 + found.under_joint)
    assert found.milled == pytest.approx(1)
    assert found.left == pytest.approx(found.deep - 1)
    assert (found.gone, found.eaten) == (0, None)


def test_it_is_thinned_with_the_bar():
    """Pressed evenly from 40 to 10 mm a layer is a quarter as thick; heated after that it is as deep as in any bar."""
    before = carbon_skin(History(THICK, (Turn(heat=CLOSED), FLAT)))
    at_rest = carbon_skin(History(THICK, (Turn(heat=CLOSED),)))
    assert before.under_joint == pytest.approx(at_rest.under_joint / 4)
    thin = Bar(400.0, 40.0, 10.0, wall=2.5)
    after = carbon_skin(History(THICK, (FLAT, Turn(quarters=2, heat=CLOSED))))
    assert after.under_joint == pytest.approx(
        carbon_skin(History(thin, (Turn(quarters=2, heat=CLOSED),))).under_joint, rel=5e-3
    )


def test_loose_powder_ends_as_deep_as_its_steel():
    """By Fick, steel at 0.6 of solid conducts 0.6 as much over what welding makes 0.6 as long: 0.6 sqrt(D t) deep.

    Not just that, since the solid wall takes the carbon faster than the powder gives it.
    """
    can = Can(length=80, width=40, height=40, wall=10, fill_density=0.6)
    loose = carbon_skin(History(can.bar(), (Consolidate(heat=CLOSED),)))
    solid = carbon_skin(History(Bar(100.0, 60.0, 60.0, wall=10.0), (Turn(heat=CLOSED),)))
    assert 0.6 * solid.under_joint < loose.under_joint < 0.8 * solid.under_joint


def test_an_open_fire_takes_more_and_scale_eats_the_wall():
    """A wall of 0.3 mm, of which half of 0.65 mm would scale: through it, and into the powder's steel."""
    thin = Bar(100.0, 40.0, 10.0, wall=0.3)
    found = carbon_skin(History(thin, (Turn(heat=OPEN), MILL)))
    assert found.eaten == 1
    assert found.gone == 1
    assert found.shell == pytest.approx(0.3 - OPEN.scale, abs=1e-6)
    closed = carbon_skin(History(thin, (Turn(heat=CLOSED), MILL)))
    assert found.deep > closed.deep
    whole = carbon_skin(History(Bar(100.0, 40.0, 10.0, wall=0.5), (Turn(heat=OPEN), MILL)))
    assert whole.eaten is None
    assert whole.gone == pytest.approx(OPEN.scale / 0.5)


@pytest.mark.parametrize(
    "steps",
    [
        (Consolidate(heat=Heat(temperature=1180, minutes=0)),),
        (Consolidate(heat=OPEN), Turn(), Press(height=8, heat=OPEN), Trim(faces=(2, 0.5), sides=3)),
        (Consolidate(), Press(height=22, repeat=2, turn_between=True), Trim(faces=2), Twist(turns=1, heat=OPEN)),
        (Consolidate(heat=OPEN), Press(height=20), Tile(slice=9, heat=OPEN), Trim(faces=1)),
    ],
)  # fmt: skip
@pytest.mark.parametrize("wall", [0.0, 1.5])
def test_any_work_has_an_answer(steps, wall):
    found = carbon_skin(History(Can(length=60, width=30, height=46, wall=wall).bar(), steps))
    assert all(np.isfinite(each) for each in vars(found).values() if each is not None)
    assert found.left >= 0


def test_the_worse_of_two_faces_counts():
    steps = (Consolidate(heat=OPEN), Press(height=8, heat=OPEN))
    bar = Can(length=60, width=30, height=46).bar()
    uneven = carbon_skin(History(bar, (*steps, Trim(faces=(0.5, 2)))))
    even = carbon_skin(History(bar, (*steps, Trim(faces=0.5))))
    assert uneven.left == pytest.approx(even.left, abs=0.02)


def test_milled_joints_are_told_of_no_more():
    """A face whose joint went at the first milling: at the second its skin is short of carbon by the fire alone."""
    steps = (Consolidate(heat=CLOSED), Press(height=20), Trim(faces=4), Press(height=8, heat=OPEN), MILL)
    found = carbon_skin(History(Can(length=60, width=30, height=46).bar(), steps))
    assert found.under_joint is None
    assert found.shell is None
    assert found.by_fire
    assert found.deep > 0.2
