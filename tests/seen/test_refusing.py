"""Photographs on which the steel cannot be followed: the cause is named, and written down alone."""

from __future__ import annotations

import pytest
from PIL import Image

from preview.base.errors import RequestError
from preview.cli import main
from preview.job.file import load_job
from preview.seen.match import match
from tests.conftest import DEMOS

PHOTO = DEMOS / "marsh_moon_bar.jpg"


@pytest.mark.parametrize(
    ("piece", "side"), [((0, 0, 0.7, 1), "right"), pytest.param((0.3, 0, 1, 1), "left", marks=pytest.mark.slow)]
)
def test_an_end_out_of_the_picture_is_named_and_nothing_else_written(piece, side, tmp_path, capsys):
    with Image.open(PHOTO) as whole:
        box = [round(each * size) for each, size in zip(piece, whole.size * 2, strict=True)]
        whole.crop(box).reduce(2).save(tmp_path / "cropped.jpg")
    job = str(DEMOS / "marsh_moon.toml")
    asked = ["match", job, "--photo", str(tmp_path / "cropped.jpg"), "--out", str(tmp_path / "out")]
    assert main(asked) != 0
    cause = f"the steel runs off its {side} side: take it anew with both ends in the picture"
    assert cause in capsys.readouterr().err
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["match.txt"]
    text = (tmp_path / "out" / "match.txt").read_text()
    assert "not taken for your work; nothing is changed" in text
    assert f"\n{cause[0].upper()}{cause[1:]}.\n" in text


def test_another_work_s_bar_is_named_by_its_proportions():
    """The bar of the end grain is ten times as long as it is wide, that on the photograph six times."""
    with pytest.raises(RequestError, match=r"photo: what lies on it is 6.* times as long .* is it another work's"):
        match(load_job(DEMOS / "end_grain.toml"), PHOTO)


@pytest.mark.slow
def test_a_bar_that_is_nearly_as_long_for_its_width_is_told_by_both():
    """That of the running wave is: the ends of the one on the photograph are plainly in the picture."""
    with pytest.raises(RequestError, match=r"6\.\d times as long .* this work \d\.\d times; an end does not lie where"):
        match(load_job(DEMOS / "running_wave.toml"), PHOTO)


def test_what_is_asked_wrongly_is_not_written_down(tmp_path):
    asked = ["match", str(DEMOS / "marsh_moon.toml"), "--photo", str(PHOTO), "--out", str(tmp_path / "out")]
    assert main([*asked, "--corners", "0.1,0.1"]) != 0
    assert not (tmp_path / "out").exists()
