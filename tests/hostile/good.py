"""Good files, from which the bad ones are made."""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Callable
from pathlib import Path

from PIL import Image

from preview.job.file import load_job
from preview.job.uncut import uncut
from tests.support.spreadsheets import ods, xlsx
from tests.support.steel_photo import Shot, photograph

DEMOS = ("plain_start", "plain_start", "plain_start", "three_steels", "end_grain", "along_the_bar", "wrung_out")
"""What the jobs are made from, the usual one more often."""

SMALLER = 6
"""Pictures are made so many times smaller: what is tried stays, and a case takes half the time."""

READINGS = """pass,thickness_before,thickness_after,bite,width_face_before,width_mid_before,width_face_after,width_mid_after,temperature
1,42.3,35.4,20,30.4,30.4,32.0,34.1,20
2,35.4,30,20,32,34.1,33.6,36.4,
3,30,25,20,33.6,36.4,35.5,39,
"""  # noqa: E501
MARKS = """x,y,can_across,can_up
-9,-2,-12,-18
9,-2,12,-18
-9,2,-12,18
9,2,12,18
0,0,0,0
0,2,0,18
"""
RULER = "x,y,across,through\n0,0,0,0\n10,0,10,0\n10,10,10,-10\n0,10,0,-10\n"
POINTS = "along,across,through\n50,18,1.5\n90,4,0\n500,0,0\n"
SVG = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="60mm" height="20mm"
 viewBox="0 0 60 20"><style>.a { fill: #ffffff }</style>
<defs><g id="g"><rect x="1" y="1" width="5" height="5"/></g></defs>
<rect width="60" height="20" fill="black"/><path class="a" d="M5,5 h10 v10 h-10 z M7,7 a2,2 0 0 1 4,0 z" fill="white"/>
<circle cx="30" cy="10" r="6" fill="#fff" transform="rotate(20 30 10) scale(1.1)"/><use xlink:href="#g" x="40" y="5"/>
<polygon points="50,5 58,5 54,15" fill="white" stroke="black"/><text x="3" y="3">note</text></svg>
"""
PROFILE = """<svg xmlns="http://www.w3.org/2000/svg" width="260mm" height="60mm" viewBox="0 0 260 60">
<path d="M10,20 L90,20 L90,16 L230,16 Q215,40 180,48 L95,48 L90,40 L10,40 Z" fill="none" stroke="black"/></svg>
"""


def make_good(home: Path, demos: Path, main: Callable[[list[str]], int]) -> dict[str, bytes]:
    """Return good files by their names: those of the demos, some written here, and some that the program writes."""
    home.mkdir()
    files = {path.name: path.read_bytes() for path in demos.iterdir() if path.suffix in {".toml", ".png"}}
    del files["marsh_moon_etched.png"]
    for name in {f"{demo}.png" for demo in DEMOS}:
        with Image.open(io.BytesIO(files[name])) as picture:
            size = picture.width // SMALLER, picture.height // SMALLER
            picture.resize(size, Image.Resampling.NEAREST).save(home / name)  # no tones between: they are mixed powders
        files[name] = (home / name).read_bytes()
    texts = {
        "readings.csv": READINGS, "marks.csv": MARKS, "ruler.csv": RULER, "points.csv": POINTS,
        "shop.toml": (demos / "shops" / "press_25t.toml").read_text("utf-8"),
        "drawing.svg": SVG, "profile.svg": PROFILE,
    }  # fmt: skip
    files |= {name: text.encode() for name, text in texts.items()}
    with Image.open(demos / "reed_sketch.jpg") as photo:
        photo.reduce(3).save(home / "photo.jpg", quality=80)
    rows = [
        [float(cell) if cell.replace(".", "", 1).isdigit() else cell for cell in line.split(",")]
        for line in READINGS.splitlines()
    ]
    files |= {"readings.ods": ods(rows), "readings.xlsx": xlsx(rows)}
    half = Image.new("L", (60, 40), 40)
    half.paste(190, (30, 0, 60, 40))
    for name in ("half.png", "half.tif", "half.gif", "half.bmp", "half.webp", "half.jpg"):
        half.save(home / name)
    Image.new("L", (32, 32), 128).save(home / "grey.png")
    Image.effect_noise((64, 48), 80).convert("I;16").save(home / "deep.tif")
    half.convert("P").save(home / "palette.png", transparency=1)
    (home / "can.csv").write_text("powder_weight\n400\n")
    child = os.fork()
    if child == 0:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        job = str(demos / "plain_start.toml")
        made = main(["pack", job, "--out", str(home / "packed.zip")])
        photo = photograph(uncut(load_job(demos / "plain_start.toml")), "right", Shot(seed=1, columns=1500))
        (home / "bar.jpg").write_bytes(photo.jpeg)
        made += main(["dividers", job, "--bead", "0.6", "--out", str(home / "walls")])
        log, read = str(home / "log"), ["--readings", str(home / "can.csv"), "--bar", "200,40,5"]
        made += main(["log", log, "--add", job, "--name", "First", *read, "--dips", "ferric, 12"])
        made += main(["log", log, "--add", job, "--name", "Second", "--right", str(home / "half.png")])
        os._exit(made)
    assert os.waitpid(child, 0)[1] == 0
    files |= {path.name: path.read_bytes() for path in (*home.glob("*.*"), *(home / "walls").rglob("dividers.*"))}
    files |= {path.relative_to(home).as_posix(): path.read_bytes() for path in home.glob("log/**/*") if path.is_file()}
    shutil.rmtree(home)
    return files
