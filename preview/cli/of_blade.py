"""Commands that look at the blade, and show it: as they are typed and explained."""

from __future__ import annotations

from pathlib import Path

from preview.cli import commands
from preview.cli.options import INTO, START, Commands, command, unit_options
from preview.cli.parsing import amount, draws, resolution


def add_render(to: Commands) -> None:
    """Add `render`."""
    render = command(
        to, "render", "picture of both faces, section, numbers and report",
        "Draws both faces of the etched blade and a section through it, and writes the numbers and a report beside "
        "them: the first look at a job, and the one to keep.",
        f"{START} --out looks --px-per-mm 8",
    )  # fmt: skip
    render.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    render.option(
        "--px-per-mm", type=resolution, usual="render.px_per_mm", metavar="N", help="pixels in a millimetre, 0.5 to 60"
    )
    render.option(
        "--likely", dest="draws", type=draws, metavar="N",
        help="likely looks and bands as well, from N draws, 6 to 2000: 64 will do",
    )  # fmt: skip
    render.option(
        "--sharpened", type=amount, metavar="MM", help="both faces as well once so much of the edge is sharpened away"
    )
    render.option(
        "--bar", action="store_true",
        help="instead, the flat bar's faces before the blade is cut, with the blade's outline, and their numbers",
    )  # fmt: skip
    render.option("--after", type=int, metavar="N", help="with --bar: after step N of the forging (default: the last)")
    unit_options(render)
    render.set_defaults(run=commands.render)


def add_view(to: Commands) -> None:
    """Add `view`."""
    view = command(
        to, "view", "blade to be turned in the hand",
        "Writes the blade as one page that turns, tilts and lights it in any browser, a phone's too, with nothing "
        "fetched from the net; as a picture of three views (PNG): three-quarter, heel and choil, the edge; or as a "
        "solid with its etched steel (GLB) for programs that show such. To send to a client. With other versions of "
        "the blade --beside it, in job files of their own, he chooses on the page, which says of each how far its "
        "pattern may lie off.",
        f"{START} --out blade.html",
    )  # fmt: skip
    view.option(
        "--beside", type=Path, nargs="+", metavar="JOB", help="up to three other versions, for a client to choose from"
    )
    view.option("--maker", metavar="TEXT", help="who makes the blade, for the page")
    view.option("--for", dest="made_for", metavar="TEXT", help="for whom")
    unit_options(view)
    view.option("--out", type=Path, required=True, metavar="F.html|F.png|F.glb", help="file to write")
    view.set_defaults(run=commands.view)


def add_fields(to: Commands) -> None:
    """Add `fields`."""
    fields = command(
        to, "fields", "raw arrays behind the picture",
        "Writes the arrays that the picture is made from, for both faces, as one NPZ file: where each pixel lies on "
        "the blade and lay in the can, its powder, nickel, tone and normal. For work of your own on them.",
        f"{START} --px-per-mm 4 --out plain_start.npz",
    )  # fmt: skip
    fields.option("--px-per-mm", type=resolution, required=True, metavar="N", help="pixels in a millimetre, 0.5 to 60")
    fields.option(
        "--bar", action="store_true", help="of the flat bar before the blade is cut; along and across from it"
    )
    fields.option("--out", type=Path, required=True, metavar="F.npz", help="file to write")
    fields.set_defaults(run=commands.fields)


def add_trace(to: Commands) -> None:
    """Add `trace`."""
    trace = command(
        to, "trace", "where points of the blade lay in the can",
        "Tells for each point of the finished blade where its grain lay in the can, or the other way round, as a CSV "
        "table. For when one spot matters: a mark, an inlay, a flaw.",
        f"{START} --points points.csv",
    )  # fmt: skip
    trace.option(
        "--points", type=Path, required=True, metavar="F.csv",
        help="points in mm, one a line: along,across,through of the blade; a heading line may come first; "
        "- is standard input",
    )  # fmt: skip
    trace.option("--reverse", action="store_true", help="points are of the can: where do they go on the blade?")
    trace.option("--out", type=Path, default=commands.ASIDE, metavar="F.csv", help="file to write, or - to show it")
    trace.set_defaults(run=commands.trace)


def add_trials(to: Commands) -> None:
    """Add `trials`."""
    trials = command(
        to, "trials", "same blade at several grinds, with the order in which to go",
        "Grinds the same blade at several heights, angles or kinds, side by side with their numbers, and says in which "
        "order to go, since steel never comes back. Before the grind is settled.",
        f"{START} --heights 12,16 --out trials",
    )  # fmt: skip
    tried = trials.add_mutually_exclusive_group(required=True)
    tried.add_argument("--heights", metavar="MM,...", help="grind heights to try, mm, up to twelve")
    tried.add_argument("--angles", metavar="DEG,...", help="grind angles to try, degrees a side, up to twelve")
    trials.option(
        "--kinds", of="TrialGrinds.kinds", several=True, group=tried, metavar="KIND,...", help="kinds of grind to try"
    )
    trials.option("--face", of="TrialGrinds.face", usual="TrialGrinds.face", metavar="FACE", help="face to look at")
    unit_options(trials)
    trials.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    trials.set_defaults(run=commands.trials)


def add_place(to: Commands) -> None:
    """Add `place`."""
    place = command(
        to, "place", "where in the bar to cut the blade so that its motif comes out whole",
        "Searches where in the bar the blade is cut, and if wanted how it is ground, so that the parts of its motif "
        "most likely come out whole, under all that is unsure: up to three places better than where it lies now, and "
        "how to move or scale the drawing as long as nothing is forged. Before the blade is cut.",
        f"{START} --keep 1 2=0.5 --margin 1.5 --out places",
    )  # fmt: skip
    place.option(
        "--keep", nargs="+", metavar="PART",
        help="parts to keep whole, by their number in place.png, or a box on the blade as it lies, X,Y,LENGTH,HEIGHT "
        "in mm from heel and edge; each with =WEIGHT if it counts otherwise (default: all that can be)",
    )  # fmt: skip
    place.option("--margin", usual="Cut.margin", metavar="MM", help="steel left round each part, mm")
    place.option("--face", of="Cut.face", usual="Cut.face", metavar="FACE", help="face that they are on")
    place.option("--along", metavar="MM,MM", help="how far off the bar's middle towards the tip, least and most, mm")
    place.option("--across", metavar="MM,MM", help="the same towards the spine")
    place.option("--bar", metavar="MM,MM", help="length and width of the bar as it was measured, mm")
    place.option("--turned", action="store_true", help="the bar may be turned round: the picture on its head")
    place.option("--mirrored", action="store_true", help="the bar may lie on its other face: the picture mirrored")
    ground = place.add_mutually_exclusive_group()
    ground.add_argument("--heights", metavar="MM,MM", help="grind heights between which to choose, mm")
    ground.add_argument("--angles", metavar="DEG,DEG", help="grind angles between which to choose, degrees a side")
    unit_options(place)
    place.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    place.set_defaults(run=commands.place)


def add_sheet(to: Commands) -> None:
    """Add `sheet`."""
    sheet = command(
        to, "sheet", "sheet for the client or the shop, as PDF and PNG",
        "Sets a sheet to print: for the client both faces at true size, likely looks and plain words; for the shop "
        "fill, targets hot and cold, the grind's table and templates to scribe by. With other versions of the blade "
        "--beside it, in job files of their own, the client's sheet shows them side by side to choose from, each with "
        "how far its pattern may lie off.",
        f'{START} --kind shop --maker "Reed & Anvil" --out sheets',
    )  # fmt: skip
    sheet.option("--kind", of="save_sheet.kind", required=True, metavar="KIND", help="whom it is for")
    sheet.option(
        "--paper", of="save_sheet.paper", usual="save_sheet.paper", metavar="PAPER", help="paper, lying on its side"
    )
    sheet.option(
        "--beside", type=Path, nargs="+", metavar="JOB", help="up to three other versions, for a client to choose from"
    )
    sheet.option(
        "--shop", type=Path, metavar="SHOP.toml", help="your tools: the shop's sheet then has the day at the forge"
    )
    sheet.option(
        "--past", type=Path, metavar="DIR",
        help="a blade's folder in your log: its photograph beside its own preview, on a page of the client's sheet",
    )  # fmt: skip
    sheet.option(
        "--blades", type=int, metavar="N",
        help="with --shop: the shop's sheet then has what so many blades of this kind take, and the blanks in the bar",
    )  # fmt: skip
    sheet.option("--maker", metavar="TEXT", help="who makes the blade")
    sheet.option("--for", dest="made_for", metavar="TEXT", help="for whom")
    sheet.option("--story", metavar="TEXT", help="what the pattern is about")
    sheet.option("--date", metavar="TEXT", help="date to print")
    unit_options(sheet)
    sheet.option("--out", type=Path, required=True, metavar="DIR", help=INTO)
    sheet.set_defaults(run=commands.sheet)
