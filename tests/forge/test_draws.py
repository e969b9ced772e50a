from __future__ import annotations

import numpy as np
import pytest

from preview.cli import main
from preview.forge import uncertain
from preview.forge.bands import motif_parts, seen_near, stations
from preview.forge.draws import likely
from preview.forge.things import Uncertain, uncertain_things
from preview.job.calibration import Calibration, Settling
from preview.job.unsure import Unsure
from preview.pipeline import face_maps, preview, trace
from tests.conftest import DEMOS

SURE = dict.fromkeys(Unsure.model_fields, 0.0) | {"hammer_length": 30.0}
SURE_SETTLING = {"fill_density": 0.55} | dict.fromkeys(
    ("fill_density_error", "along_error", "across_error", "scale_factor_error"), 0.0
)
SURE_FORGE = Calibration(spread_factor_error=0.0, friction_error=0.0)
TABLES = {
    "powders": [
        {"name": "plain", "colours": ["black"], "nickel": 0.1},
        {"name": "bright", "colours": ["white"], "nickel": 4.0},
    ],
    "can": {"length": 70, "width": 30, "height": 44, "wall": 0},
    "forging": [{"step": "consolidate"}, {"step": "press", "height": 8, "bite": 20, "repeat": 2}, {"step": "trim"}],
    "blade": {"thickness": 6, "outline": {"shape": "sheepsfoot", "length": 100, "height": 36}},
    "grind": {"right": {"height": 24}},
}


@pytest.fixture
def bands_alone(monkeypatch):
    """Leave out the map of chances, which takes nearly all the time, where only bands are asked for."""
    monkeypatch.setattr("preview.forge.draws._chance", lambda *_: np.zeros((2, 2), dtype=np.float32))


def stripes() -> np.ndarray:
    return (np.indices((300, 700)).sum(axis=0) // 35 % 2).astype(bool)


def test_nothing_unsure_is_the_preview_itself(make):
    job = make(stripes(), **TABLES, unsure=SURE).model_copy(update={"forge": SURE_FORGE})
    found = likely(job, draws=8, width=500)
    face = preview(job, width=500).faces[0]
    inner = face.grid.mask
    assert np.abs(found.chance[0] - face.shares[0])[inner].mean() < 0.02
    assert len(found.looks) == 6
    assert all((look == found.looks[0]).all() for look in found.looks)
    assert len(found.bands) == 3
    for band in found.bands:
        assert np.abs([*band.along, *band.across]).max() < 1e-6


def test_the_same_seed_gives_the_same_bytes(make):
    job = make(stripes(), **TABLES)
    one, other = (likely(job, draws=8, width=400) for _ in range(2))
    assert one.sheet.tobytes() == other.sheet.tobytes()
    assert one.map.tobytes() == other.map.tobytes()
    assert one.bands == other.bands
    another = likely(job.model_copy(update={"seed": 2}), draws=8, width=400)
    assert another.map.tobytes() != one.map.tobytes()


@pytest.mark.usefixtures("bands_alone")
def test_small_spreads_agree_with_moving_each_thing_for_real(make):
    """Root of the sum of squares of exact moves (the direct map, no table) against 6000 draws: within 5 per cent."""
    small = {
        "hammer": 0.0, "edge_offset": 0.01, "bevel": 0.1, "angle": 0.0, "thickness": 0.0, "heel": 0.05, "edge": 0.05,
        "mid_plane": 0.01, "fill": 0.003, "settling": 0.01, "scale": 0.0, "flow": 0.0,
    }  # fmt: skip
    forge = Calibration(spread_factor_error=0.01, friction_error=0.02)
    job = make(stripes(), **TABLES, unsure=small).model_copy(update={"forge": forge})
    found = likely(job, draws=6000, width=900, looks=False)
    bar = job.history.bar

    def origin(changed, along, across):
        place = np.array([along]), np.array([across])
        stand = changed.ground.stand("right", *place)
        return trace(changed, np.column_stack([*place, stand]))[0, :2]

    def variants():
        corner = job.blade.corner(bar)
        for name, start, error in (
            ("heel", corner[0] + bar.length / 2, 0.05), ("edge", corner[1] + bar.width / 2, 0.05),
            ("mid_plane", 0.0, 0.01),
        ):  # fmt: skip
            placed = job.blade.placement.model_copy(update={name: start + error})
            yield job.model_copy(update={"blade": job.blade.model_copy(update={"placement": placed})})
        for name in ("spread_factor", "friction"):
            moved = getattr(forge, name) + getattr(forge, f"{name}_error")
            yield job.model_copy(update={"forge": forge.model_copy(update={name: moved})})
        yield job.model_copy(update={"can": job.can.model_copy(update={"fill_density": job.can.fill_density + 0.003})})
        for name in ("along", "across"):
            moved = forge.model_copy(update={"settling": Settling(**SURE_SETTLING, **{name: 0.01})})
            yield job.model_copy(update={"forge": moved})
        bevel = job.grind.right.model_copy(update={"height": 23.9})
        yield job.model_copy(update={"grind": job.grind.model_copy(update={"right": bevel})})
        yield job.model_copy(update={"grind": job.grind.model_copy(update={"edge_offset": 0.01})})

    for band, (station, across) in zip(found.bands, stations(job), strict=True):
        here = origin(job, station, across)
        jacobian = np.stack(
            [
                (origin(job, station + 0.1, across) - origin(job, station - 0.1, across)) / 0.2,
                (origin(job, station, across + 0.1) - origin(job, station, across - 0.1)) / 0.2,
            ],
            axis=1,
        )
        moves = [np.linalg.solve(jacobian, origin(each, station, across) - here) for each in variants()]
        along, aside = np.sqrt(np.square(moves).sum(axis=0))
        for (low, high), error in ((band.along, along), (band.across, aside)):
            assert (high - low) / 2 == pytest.approx(1.2816 * error, rel=0.05), band.place


@pytest.mark.usefixtures("bands_alone")
def test_spread_and_friction_go_together_as_they_were_fitted(make):
    """Errors that are one and the same (correlation 1 or -1) give bands of the summed or the opposed moves."""
    widths = []
    for correlation in (-1.0, 0.0, 1.0):
        forge = Calibration(spread_factor_error=0.05, friction_error=0.1, correlation=correlation)
        job = make(stripes(), **TABLES, unsure=SURE).model_copy(update={"forge": forge})
        widths.append(np.ptp(likely(job, draws=1500, width=300, looks=False).bands[0].across))
    opposed, apart, summed = widths
    assert apart == pytest.approx(np.sqrt((opposed**2 + summed**2) / 2), rel=0.05)
    assert abs(opposed - summed) > 0.1 * summed


@pytest.mark.usefixtures("bands_alone")
def test_a_calibrated_forge_has_narrower_bands(make):
    job = make(stripes(), **TABLES, unsure={"hammer": 0.3})
    known = job.model_copy(update={"forge": Calibration(spread_factor_error=0.02, friction_error=0.04)})
    bands = [likely(each, width=300, looks=False).bands for each in (job, known)]
    assert len(bands[0]) == 3
    for vague, sure in zip(*bands, strict=True):
        assert np.ptp(sure.across) < np.ptp(vague.across)


def test_a_ring_s_middle_lies_on_the_steel_that_it_stands_for(make):
    """A hoop's centroid lies in its hole, an angle's beside it: a point of each is bright all round."""
    rows, columns = np.indices((300, 700))
    away = np.hypot(rows - 150, columns - 200)
    angle = (columns > 400) & (columns < 600) & (rows > 50) & (rows < 250) & ((columns < 440) | (rows > 210))
    job = make(((away > 60) & (away < 100)) | angle, **TABLES)
    face = face_maps(job, 8.0)[0]
    points = motif_parts(face, ("bright",))
    assert len(points) == 2
    for along, across in points:
        near = np.hypot(face.grid.along - along, face.grid.across - across) < 1.0
        assert (face.share_of(("bright",))[near] > 0.9).all()
    far = np.array([(points[0, 0] + 2.0, points[0, 1]), (0.98 * face.grid.along[0, -1], 10.0)])
    near_one, near_none = seen_near(face, ("bright",), far, points)
    assert near_one == pytest.approx(points[0])
    held = face.share_of(("bright",)) > 0.5
    away = np.hypot(face.grid.along - far[1, 0], face.grid.across - far[1, 1])
    assert np.hypot(*(near_none - far[1])) == pytest.approx(away[held & face.grid.mask].min(), abs=0.5)
    assert seen_near(face, (), far, points) == pytest.approx(far)  # nothing is bright


@pytest.mark.usefixtures("bands_alone")
def test_lines_along_a_layered_bar_have_a_place_across_only(make):
    layers = np.zeros((440, 300), dtype=bool)
    layers[(np.arange(440) // 20) % 2 == 0] = True
    job = make(layers, **{**TABLES, "pattern": {"dividers": "along"}})
    bands = likely(job, width=300, looks=False).bands
    assert len(bands) == 3
    for band in bands:
        assert np.abs(band.along).max() < 0.05
        assert np.ptp(band.across) > 0.1


@pytest.mark.slow
def test_command_line(tmp_path):
    job = str(DEMOS / "plain_start.toml")
    assert main(["render", job, "--out", str(tmp_path), "--px-per-mm", "2", "--likely", "12"]) == 0
    names = {path.name for path in tmp_path.iterdir()}
    assert {"likely_looks.png", "likely_map.png", "likely.json", "faces.png"} <= names
    assert main(["render", job, "--out", str(tmp_path), "--px-per-mm", "2", "--likely", "12"]) == 2
    with pytest.raises(SystemExit):
        main(["render", job, "--out", str(tmp_path), "--likely", "many"])


def test_one_more_uncertain_thing_in_front_changes_nothing_else(make, monkeypatch):
    job = make(stripes(), **TABLES)
    before = likely(job, draws=24, width=300)
    monkeypatch.setattr(
        uncertain, "uncertain_things", lambda job: (Uncertain("weather", lambda _by: job, 1.0), *uncertain_things(job))
    )
    after = likely(job, draws=24, width=300)
    np.testing.assert_allclose(after.chance[0], before.chance[0], atol=1e-4)
    for one, other in zip(before.bands, after.bands, strict=True):
        assert other.along == pytest.approx(one.along, abs=1e-4)
        assert other.across == pytest.approx(one.across, abs=1e-4)
    off = np.abs(after.sheet.astype(int) - before.sheet)
    assert off.max() <= 1
    assert len({thing.name for thing in uncertain_things(job)}) == len(uncertain_things(job)) > 5
