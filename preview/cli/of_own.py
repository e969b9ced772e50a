"""Commands that take in a smith's own drawings, forge and etch, and keep his work: as they are typed and explained."""

from __future__ import annotations

from pathlib import Path

from preview.cli import own_commands as commands
from preview.cli.options import INTO, START, Commands, Given, command, unit_options
from preview.cli.parsing import Command, listed


def add_match(to: Commands) -> None:
    """Add `match`."""
    match = command(
        to, "match", "photograph of the real bar or blade laid on its preview",
        "Finds on a photograph of the milled and lightly etched bar, or of the finished blade, where the pattern "
        "really lies, says what that teaches and what stays unsure, and writes the job of this very bar: previews, "
        "likely looks and sheets of that job are those of the bar in your hand. Take the picture squarely, from 60 cm "
        "or more, on plain grey cloth, edge down, fingers off. What is not taken for this work changes nothing.",
        "demo_patterns/marsh_moon.toml --photo demo_patterns/marsh_moon_bar.jpg --out matched",
    )  # fmt: skip
    match.option(
        "--photo", type=Path, required=True, action="append", metavar="F.jpg",
        help="photo of the bar or blade; a second one of the other face, with its --face, is put together with it",
    )  # fmt: skip
    match.option(
        "--face", of="match.side", usual="match.side", action="append", metavar="FACE",
        help="face that it shows, once for each photo",
    )  # fmt: skip
    match.option("--of", of="match.of", usual="match.of", metavar="WHAT", help="what it shows: uncut, or finished")
    match.option(
        "--corners", type=listed, metavar="X,Y,...",
        help="corners of the bar, or of a box round the blade, in shares of the photo, from the upper left clockwise "
        "(default: found); this and what follows are of the first photo",
    )  # fmt: skip
    match.option(
        "--card", type=listed, metavar="X,Y,...|none",
        help="corners of a card that lies flat beside it, likewise: it tells how the camera was held (default: found)",
    )  # fmt: skip
    match.option("--card-size", type=listed, metavar="W,H", help="its width and height, mm (default: 85.6,53.98)")
    match.option(
        "--mark", action="append", metavar="PX,PY=X,Y",
        help="point of the pattern: its pixel of the photo, and where the preview shows it, mm from heel and edge; "
        "once for each, three of them where the pattern is hard to read",
    )  # fmt: skip
    unit_options(match)
    match.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    match.set_defaults(run=commands.match)


def add_sketch(to: Commands) -> None:
    """Add `sketch`."""
    sketch = command(
        to, "sketch", "clean pattern from a photographed drawing",
        "Makes the photo or scan of a drawing on paper into a clean pattern picture: laid straight, evenly lit, "
        "without ruled lines, in two tones. For a pattern that is drawn by hand.",
        "demo_patterns/reed_sketch.jpg --width 60 --svg --out reed.png",
        Given("photo", "PHOTO", "photo or scan of the drawing"),
    )  # fmt: skip
    sketch.option("--out", type=Path, required=True, metavar="PATTERN.png", help="picture to write")
    sketch.option("--svg", action="store_true", help="outlines as SVG beside it, at true size")
    sketch.option("--width", usual="Sketch.width", metavar="MM", help="width of the pattern, mm; its height follows")
    sketch.option("--swap", action="store_true", help="what is drawn dark stays bright, the paper dark")
    sketch.option("--fill", action="store_true", help="fill closed outlines")
    sketch.option("--smallest", usual="Sketch.smallest", metavar="MM", help="what is narrower than this goes, mm")
    sketch.option("--smooth", usual="Sketch.smooth", metavar="MM", help="width over which edges are evened out, mm")
    sketch.option("--pale", metavar="SHARE", help="how dark counts as drawn, 0 to 1 (default: found)")
    sketch.option(
        "--corners", type=listed, metavar="X,Y,...",
        help="the sheet's corners in shares of the photo, from the upper left clockwise (default: found)",
    )  # fmt: skip
    sketch.option("--crop", type=listed, metavar="L,T,R,B", help="what of the sheet is taken, in shares (default: all)")
    sketch.set_defaults(run=commands.sketch)


def add_outline(to: Commands) -> None:
    """Add `outline`."""
    outline = to.add_parser(
        "outline", help="what is understood of a blade's outline",
        about="Draws a blade's outline at true size and says what is understood of it: edge, spine, heel, ricasso, "
        "choil, plunge, tang and tip. For a look at your own drawing (SVG or DXF), or the photo of a template on plain "
        "ground, before a job names it.",
        example=f"etch-preview outline {START} --out outline.svg",
    )  # fmt: skip
    outline.option("of", type=Path, metavar="JOB|DRAWING", help="job file (TOML), a drawing (SVG or DXF), or a photo")
    outline.option("--force", action="store_true", help="replace files that exist")
    outline.option("--length", metavar="MM", help="of a drawing: heel to tip, mm (default: as drawn)")
    outline.option("--turn", metavar="DEG", help="of a drawing: turn it counter-clockwise, degrees (default: as found)")
    outline.option("--tip-at", of="DrawnOutline.tip_at", metavar="SIDE", help="of a drawing: where its tip is")
    outline.option("--edge-at", of="DrawnOutline.edge_at", metavar="SIDE", help="of a drawing: where its edge is")
    outline.option("--ricasso", metavar="MM", help="of a drawing: unground length at the heel, mm (default: as found)")
    outline.option("--tang", metavar="MM", help="of a drawing: length behind the heel, mm (default: as found)")
    outline.option(
        "--paper", of="DrawnOutline.paper", metavar="PAPER", help="of a photo: paper that the template is on"
    )
    outline.option(
        "--ruler", type=lambda text: text.split(","), metavar="X,Y,X,Y",
        help="of a photo: two marks of a ruler, in shares of the photo from its upper left corner",
    )  # fmt: skip
    outline.option("--ruler-length", metavar="MM", help="of a photo: how far those marks are apart, mm")
    unit_options(outline)
    outline.option("--out", type=Path, required=True, metavar="F.svg|F.png", help="picture to write")
    outline.set_defaults(run=commands.outline)


def add_calibrate(to: Commands) -> None:
    """Add `calibrate`."""
    calibrate = command(
        to, "calibrate", "spread, friction and tones of your own forge",
        "Learns how your own forge and etch behave, from caliper readings or marks on an etched section or face, and "
        "from the photo of an etched coupon: a calibration file for your jobs to name.",
        f"{START} --readings readings.csv --out forge.toml",
    )  # fmt: skip
    _measured_options(calibrate)
    calibrate.option("--out", type=Path, required=True, metavar="F.toml", help="calibration file to write")
    calibrate.set_defaults(run=commands.calibrate)


def _measured_options(command: Command) -> None:
    command.option("--readings", type=Path, metavar="F.csv", help="caliper readings, a row a pass; the can's too")
    command.option("--marks", type=Path, metavar="F.csv", help="marks seen on an etched section or face, mm or px")
    command.option("--ruler", type=Path, metavar="F.csv", help="points of known place on the marks' photo, px and mm")
    command.option("--coupon", type=Path, metavar="PHOTO", help="photo of an etched coupon")
    for zone in ("bright", "dark", "card"):
        command.option(f"--{zone}", metavar="L,T,R,B", help=f"the {zone} region of it, in shares of its sides, 0 to 1")
    command.option(
        "--card-lightness", type=float, usual="learn.card_lightness", metavar="L*", help="of the card, 0 to 100"
    )


def add_log(to: Commands) -> None:
    """Add `log`."""
    log = command(
        to, "log", "your own blades: forecast and found, listed, compared, over time",
        "Keeps a folder of plain files for each blade that you make: the job as it was, what was measured, the etch as "
        "done, photographs, and how it came out. Lists them with how the forecasts held; with --add a new one, with "
        "--name alone what has become known of one since, with --compare two side by side.",
        f"blades --add {START} --name 'First knife' --bar 200,40,5 --dips 'ferric chloride 1:4, 12'",
        Given("log", "LOG", "folder of the log"),
    )  # fmt: skip
    log.option("--add", type=Path, metavar="JOB", help="add a blade: its job, copied with all that it names")
    log.option("--name", metavar="NAME", help="what the blade goes by")
    log.option("--compare", nargs=2, metavar="NAME", help="two blades of the log side by side")
    log.option("--day", metavar="DAY", help="when it was made, as 2026-03-21 (default: today)")
    log.option("--bar", type=listed, metavar="L,W,T", help="the bar after its last step, before cutting, cold, mm")
    log.option(
        "--dips",
        nargs="+",
        metavar="BATH,MIN",
        help="the etch as done, dip by dip: bath, minutes, and ,coffee if it was",
    )
    log.option("--result", metavar="TEXT", help="how it came out, in your own words")
    log.option("--right", type=Path, metavar="PHOTO", help="photograph of its right face")
    log.option("--left", type=Path, metavar="PHOTO", help="photograph of its left face")
    log.option("--photos", type=Path, nargs="+", metavar="PHOTO", help="further photographs: the bar, a section")
    _measured_options(log)
    unit_options(log)
    log.option(
        "--out", type=Path, metavar="DIR",
        help=f"{INTO}: forecast against found over all blades, as a plot and as numbers (default: not written)",
    )  # fmt: skip
    log.option(
        "--forge", type=Path, metavar="F.toml",
        help="calibration file to write: your forge's mean over all blades, and how far they scatter",
    )  # fmt: skip
    log.set_defaults(run=commands.log)


def add_pack(to: Commands) -> None:
    """Add `pack`."""
    pack = command(
        to, "pack", "job with all its files in one",
        "Packs the job with its pattern picture and all else that it names into one ZIP file, the same bytes for the "
        "same job. To keep a job, to send it, or to open it on the page of another machine.",
        f"{START} --out plain_start.zip",
    )  # fmt: skip
    pack.option("--out", type=Path, required=True, metavar="F.zip", help="file to write")
    pack.set_defaults(run=commands.pack)
