"""Tools as settings: what a shop file may hold, and what it is told when it may not."""

from __future__ import annotations

import pytest

from preview.base.errors import FileError, RequestError
from preview.day.shop_file import load_shop
from preview.day.tools import Hammer, Press
from preview.forging.squeeze import Squeeze

PRESS = "[press]\ntonnes = 12\ndie_width = 40\ndie_length = 100\n"
PASS = Squeeze(20.0, 16.0, 45.0, 120.0, 20.0, 0.7)


def shop_of(tmp_path, text):
    path = tmp_path / "shop.toml"
    path.write_text(text)
    return load_shop(path)


def test_made_up_shops_are_said_to_be_invented(shop):
    assert shop.tools
    assert shop.title


def test_units_and_defaults(tmp_path):
    shop = shop_of(tmp_path, PRESS.replace("40", '"1 1/2 in"') + '[furnace]\nreach = "2300 F"\n')
    assert shop.press.die_width == pytest.approx(38.1)
    assert shop.furnace.reach == pytest.approx(1260)
    assert shop.hammer is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a press or a hammer is needed"),
        (PRESS.replace("12", "0"), "shop.press.tonnes"),
        (PRESS + "ram_speed = 1e-300\n", "shop.press.ram_speed: a number of at least 0.1"),
        (PRESS.replace("40", "1e-300"), "shop.press.die_width: a number of at least 1"),
        (PRESS + "make = 'x'\n", "shop.press.make: unknown key"),
        ("[hammer]\nmass = 50\ndie_width = 50\ndie_length = 80\n", "one of them is needed"),
        ("[hammer]\nmass = 50\nspeed = 5\nenergy = 9\ndie_width = 50\ndie_length = 80\n", "one of them is needed"),
    ],
)
def test_faults_are_told(tmp_path, text, said):
    with pytest.raises(RequestError, match=said):
        shop_of(tmp_path, text)


def test_no_toml(tmp_path):
    with pytest.raises(FileError, match="cannot be understood"):
        shop_of(tmp_path, "press = (")


def test_a_press_asks_more_where_it_is_colder():
    press = Press(tonnes=12, die_width=40, die_length=100)
    assert press.load(PASS, 950) > press.load(PASS, 1100) > 0
    assert press.load(PASS, 1050) == pytest.approx(2 * Press(tonnes=24, die_width=40, die_length=100).load(PASS, 1050))


def test_what_does_not_go_between_the_dies():
    press = Press(tonnes=12, die_width=15, die_length=40, daylight=18)
    said = " ".join(map(str, press.refusals(PASS)))
    assert "open 18 mm" in said
    assert "wider than the die, 15 mm" in said
    assert "45.0 mm wide reaches beyond" in said


def test_energy_of_a_blow():
    """By hand: 50 kg at 5 m/s are 625 J; half as many blows again where the die covers two thirds of the bar."""
    hammer = Hammer(mass=50, speed=5, die_width=50, die_length=100)
    same = Hammer(mass=50, energy=625, die_width=50, die_length=100)
    assert hammer.blow == same.blow == 625
    assert same.strikes_at == pytest.approx(5000)
    assert hammer.each(PASS, 1050) == same.each(PASS, 1050)
    short = Hammer(mass=50, speed=5, die_width=50, die_length=30)
    assert short.each(PASS, 1050) > hammer.each(PASS, 1050)
