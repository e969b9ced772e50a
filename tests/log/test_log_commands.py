from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from preview.base.errors import RequestError
from preview.cli import main
from preview.job.calibration import load_calibration
from preview.job.file import load_job
from preview.log.log import load_blade
from preview.log.past import past_of
from preview.sheets.sheets import sheet_pdf
from tests.conftest import DEMOS
from tests.support.pdf import words

JOB = str(DEMOS / "plain_start.toml")


def log(folder, *arguments):
    return main(["log", str(folder / "log"), *arguments])


def test_a_log_from_the_first_blade_on(tmp_path, capsys):
    Image.fromarray(np.full((30, 90, 3), 90, np.uint8)).save(tmp_path / "r.jpg")
    (tmp_path / "can.csv").write_text("powder_weight\n400\n")
    assert log(tmp_path) == 2
    assert "there is no such folder" in capsys.readouterr().err
    dips = ("--dips", "ferric chloride 1:4, 12", "strong, 45, coffee")
    assert log(tmp_path, "--add", JOB, "--name", "First", "--day", "2026-03-21", "--bar", "200,40,1/4 in", *dips) == 0
    assert capsys.readouterr().out.splitlines()[1] == "2026-03-21  First"
    assert log(tmp_path, "--name", "first", "--right", str(tmp_path / "r.jpg"), "--result", "Fair") == 0
    assert log(tmp_path, "--add", JOB, "--name", "Second", "--readings", str(tmp_path / "can.csv")) == 0
    capsys.readouterr()
    assert log(tmp_path, "--compare", "first", "second") == 0
    assert capsys.readouterr().out.startswith("First  |  Second")
    assert log(tmp_path, "--out", str(tmp_path / "out"), "--inches") == 0
    assert "x 0.250 in; photographs: right; Fair" in capsys.readouterr().out
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["over_time.csv", "over_time.png"]
    assert log(tmp_path, "--forge", str(tmp_path / "forge.toml")) == 0
    assert "How the can settles is that of the last one measured" in capsys.readouterr().out
    assert load_calibration(tmp_path / "forge.toml").settling.fill_density > 0.3
    for arguments, told in (
        (("--add", JOB), "--add and --name"),
        (("--name", "third"), "which has 'First', 'Second'; given 'third'"),
        (("--result", "x"), "log.name: is needed"),
        (("--compare", "first", "second", "--result", "x"), "goes by itself"),
        (("--name", "first", "--out", "x"), "of the whole log"),
        (("--forge", "x.toml", "--out", "x"), "one at a time"),
        (("--name", "first", "--result", "Bad"), "use --force"),
        (("--add", JOB, "--name", "n", "--dips", "12"), "log.dips"),
        (("--compare", "first", "third"), "given 'third'"),
    ):
        assert log(tmp_path, *arguments) == 2
        assert told in capsys.readouterr().err


@pytest.mark.slow
def test_a_blade_made_before_on_the_clients_sheet(tmp_path):
    photo = np.zeros((60, 120, 3), np.uint8)
    photo[:, 60:] = 200
    Image.fromarray(photo).save(tmp_path / "l.png")
    assert log(tmp_path, "--add", JOB, "--name", "Reed & moon", "--left", str(tmp_path / "l.png")) == 0
    blade, job = load_blade(tmp_path / "log" / "reed_moon"), load_job(JOB)
    past = past_of(blade)
    assert (past.photograph == photo).all()
    assert past.shown.shape[1] > 8 * job.blade.outline.length
    told = words(sheet_pdf(job, "client", past=blade))
    assert told.index("Caution") < told.index("A blade made before") < told.index("Reed & moon")
    for kind, beside in (("shop", ()), ("client", (job,))):
        with pytest.raises(RequestError, match="of a single blade"):
            sheet_pdf(job, kind, past=blade, beside=beside)
    (blade.folder / "left.png").unlink()
    with pytest.raises(RequestError, match="no face of Reed & moon was photographed"):
        past_of(load_blade(blade.folder))
