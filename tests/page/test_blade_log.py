"""The blade log on the page: a blade is written down, looked at, compared, and shown on the client's sheet."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest
from PIL import Image

from preview.job.work import work_folder, work_home
from preview.log.adding import Known, add_to_blade
from preview.log.log import load_log, zipped_log
from tests.page.visiting import control, open_panel, press, visit


@pytest.mark.slow
def test_a_blade_is_written_down_and_shown(tmp_path):
    page = visit()
    open_panel(page, "Your forge", "Blade log")
    for number, size in enumerate((300.0, 50.0, 4.0)):
        [each for each in page.number_input if each.label in ("Length, mm", "Width, mm", "Thickness, mm")][
            number
        ].set_value(size)
    control(page, "text_area", "The etch as it was done, a dip a line").set_value("ferric chloride 1:4; 12")
    press(page, "Write it down")
    assert "bath and minutes are needed" in page.error[0].value
    control(page, "text_area", "The etch as it was done, a dip a line").set_value("ferric chloride 1:4, 12\nstrong, 9")
    press(page, "Write it down")
    assert page.success[0].value == "Marsh moon is written down."
    log = work_folder(work_home(), page.session_state.work) / "log"
    (blade,) = load_log(log)
    assert blade.record.bar == (300, 50, 4)
    assert [dip.bath for dip in blade.record.dips] == ["ferric chloride 1:4", "strong"]
    control(page, "text_input", "What it goes by").set_value("Another")
    press(page, "Write it down")
    Image.fromarray(np.full((20, 60, 3), 90, np.uint8)).save(tmp_path / "r.png")
    add_to_blade(log, "Another", Known(right=tmp_path / "r.png"))
    control(page, "selectbox", "Blade").set_value("Another").run()
    press(page, "Write it down")
    control(page, "selectbox", "Look at").set_value("Marsh moon").run()
    assert page.table[1].value.iloc[0, 1:].tolist()[1] == "300.0"
    control(page, "selectbox", "and compare with").set_value("Another").run()
    assert not page.exception
    assert "Dip 2" in page.table[1].value.to_csv()
    open_panel(page, "Hand over", "Sheets")
    past = control(page, "selectbox", "A blade made before, beside its own preview")
    assert past.options == ["None", "Another"]
    with zipfile.ZipFile(io.BytesIO(zipped_log(load_log(log)))) as saved:
        saved.extractall(tmp_path / "own")
    assert [each.record for each in load_log(tmp_path / "own")] == [each.record for each in load_log(log)]
