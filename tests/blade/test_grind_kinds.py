"""Every kind of grind there is, in the same battery."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from preview.base.units import METRIC, Units
from preview.blade.grind import Grind
from preview.blade.grinds import GRIND_KINDS, GROUND_KINDS, Convex, Flat, Hollow, Unground
from preview.job.faults import make_settings

ALONG = np.array([0.0, 60.0, 120.0])
THICKNESS = np.array([4.0, 3.7, 3.4])
HEIGHT = 18.0

every_kind = pytest.mark.parametrize("kind", GRIND_KINDS.values(), ids=list(GRIND_KINDS))
ground_kinds = pytest.mark.parametrize("kind", GROUND_KINDS.values(), ids=list(GROUND_KINDS))
how_told = pytest.mark.parametrize("told", [{}, {"height": 14.0}, {"hold": "angle", "angle": 8.0}], ids=str)


def lines(kind, **told):
    return Grind(right=kind(**told), left=Flat()).lines("right", ALONG, THICKNESS, HEIGHT)


@ground_kinds
@how_told
def test_it_runs_from_the_edge_to_the_grind_line(kind, told):
    found = lines(kind, **told)
    assert found.fault() is None
    assert found.stand(np.zeros((1, 1)))[0] == pytest.approx(found.foot, abs=1e-9)
    assert found.stand(found.height) == pytest.approx(found.face, abs=1e-9)
    if "height" in told:
        assert found.height == pytest.approx([14.0] * 3)
    if "angle" in told:
        assert found.angle == pytest.approx([8.0] * 3)


@every_kind
def test_it_only_rises_from_the_edge_and_never_stands_proud_of_the_face(kind):
    found = lines(kind)
    distance = np.linspace(0, 60, 600)[:, None]
    stand = found.stand(distance)
    assert (np.diff(stand, axis=0) >= -1e-12).all()
    assert (stand <= found.face).all()
    assert found.fault() is None


@every_kind
def test_single_precision_stays_single_and_is_the_same(kind):
    found = lines(kind, **({"height": 14.0} if kind in GROUND_KINDS.values() else {}))
    distance = np.linspace(0, 40, 101)[:, None]
    single = found.stand(distance.astype(np.float32))
    assert single.dtype == np.float32
    np.testing.assert_allclose(single, found.stand(distance), atol=1e-4)


@ground_kinds
def test_coming_down_takes_metal_and_puts_none_on(kind):
    bevel = kind(height=16.0)
    distance = np.linspace(0, 40, 400)[:, None]
    shares = np.linspace(0.05, 1, 20)
    stands = [
        Grind(right=bevel.lowered(share, 16.0), left=Flat()).lines("right", ALONG, THICKNESS, HEIGHT).stand(distance)
        for share in shares
    ]
    own = Grind(right=bevel, left=Flat()).lines("right", ALONG, THICKNESS, HEIGHT).stand(distance)
    np.testing.assert_allclose(stands[-1], own, atol=1e-12)
    for before, after in pairwise(stands):
        assert (after - before).max() <= 1e-9


@every_kind
def test_every_field_says_how_it_is_asked_for(kind):
    for name in kind.model_fields:
        control = kind.control(name)
        assert (control is None) == (name == "kind"), name
        assert control is None or (control.label and control.help)


@every_kind
def test_words(kind):
    bevel = kind()
    assert bevel.title
    assert kind.name() == bevel.kind
    assert "mm" not in bevel.words(Units(sizes="inch"))
    if bevel.is_ground:
        assert bevel.words(METRIC).startswith(f"{bevel.kind} ground full height")
        assert bevel.at_height(20.0).words(METRIC).startswith(f"{bevel.kind} ground 20 mm high")
        assert "at 6.5° a side" in bevel.at_angle(6.5).words(METRIC)
        assert "0.787 in high" in bevel.at_height(20.0).words(Units(sizes="inch"))


@ground_kinds
def test_what_both_have_is_kept_as_another_kind(kind):
    bevel = kind(hold="angle", height=21.0, angle=7.0)
    for other in GROUND_KINDS.values():
        assert bevel.as_kind(other) == other(hold="angle", height=21.0, angle=7.0)
    assert bevel.as_kind(kind) == bevel
    assert bevel.as_kind(Unground) == Unground()
    assert Unground().as_kind(kind) == kind()


@ground_kinds
def test_a_missed_grind_line_is_lower_or_its_angle_steeper(kind):
    assert kind(height=12.0).missed(0.5, 0.2, HEIGHT) == kind(height=11.5)
    assert kind().missed(0.5, 0.2, HEIGHT) == kind(height=17.5)
    assert kind(hold="angle", angle=5.0).missed(0.5, 0.2, HEIGHT) == kind(hold="angle", angle=5.2)


@every_kind
def test_a_job_file_may_hold_what_other_kinds_need(kind):
    others = {
        name: field.default
        for other in GRIND_KINDS.values()
        for name, field in other.model_fields.items()
        if name != "kind"
    }
    others.pop("angle")  # None, which a job file cannot say
    grind = Grind.model_validate({"right": {**others, "kind": kind.name()}, "left": {"kind": "flat"}})
    assert grind.right == kind()
    assert Grind.model_validate(grind.model_dump()) == grind
    assert hash(grind) == hash(Grind(right=kind(), left=Flat()))


def test_a_file_of_an_earlier_version_gives_the_wheel_by_its_radius():
    told = Grind.model_validate({"right": {"kind": "hollow", "wheel_radius": "5 in"}}).right
    assert told == Hollow(wheel_diameter=254.0)
    assert "wheel_radius" not in told.model_dump()
    assert Grind.model_validate({"right": {"kind": "flat", "wheel_radius": 125}}).right == Flat()


def test_flat_is_meant_where_no_kind_is_named():
    assert Grind.model_validate({"right": {"height": 12, "sag": 0.2}}).right == Flat(height=12)


@pytest.mark.parametrize(
    ("right", "where", "words"),
    [
        ({"kind": "hollow", "xyz": 1}, "grind.right.xyz", "unknown key"),
        ({"sagg": 1}, "grind.right.sagg", "is 'sag' meant?"),
        ({"kind": "hollow", "wheel_diameter": -1}, "grind.right.wheel_diameter", "over 0"),
        ({"kind": "wavy"}, "grind.right.kind", "'hollow'.*'none' is needed; given 'wavy'$"),
        ({"kind": "holow"}, "grind.right.kind", "given 'holow'; is 'hollow' meant?"),
        ({"kind": "hollow", "wheel_radius": 125, "wheel_diameter": 250}, "grind.right", "one of them is needed"),
        ({"kind": "hollow", "wheel_radius": "1,5 in"}, "grind.right", "1,5: write 1.5"),
        ({"kind": ["flat"]}, "grind.right.kind", "is needed; given"),
        ({"hold": "angle"}, "grind.right", "an angle is needed"),
        (3, "grind.right", "a table is needed"),
    ],
)
def test_what_is_wrong_is_told_with_its_key(right, where, words):
    with pytest.raises(Exception, match=words) as error:
        make_settings(Grind, {"right": right}, "grind")
    assert [fault.where for fault in error.value.faults] == [where]


def test_faults_in_the_readers_units():
    inches = Units(sizes="inch")
    assert "diameter 1.102 in" in lines(Hollow, height=28.0, wheel_diameter=28.0).fault().told(inches)
    assert "bulge of 0.024 in" in lines(Convex, height=18.0, sag=0.6).fault().told(inches)
    assert "blade's height of 18 mm; given 37" in str(Flat(height=37.0).height_fault(HEIGHT))


def test_an_unground_face_has_nothing_to_hold():
    unground = Grind(right=Unground(), left=Flat()).lines("right", ALONG, THICKNESS, HEIGHT)
    assert unground.fault() is None
    assert unground.stand(np.zeros((2, 1))) == pytest.approx(np.stack([THICKNESS / 2] * 2))
    assert Unground().lowered(0.5, 20.0).missed(1.0, 1.0, 36.0).at_height(3.0).at_angle(4.0) == Unground()
    with pytest.raises(ValueError, match="one face at least"):
        Grind(right=Unground())
