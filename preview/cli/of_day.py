"""Commands for the day at the forge: as they are typed and explained."""

from __future__ import annotations

from pathlib import Path

from preview.cli import commands
from preview.cli.options import INTO, START, Commands, command, unit_options


def add_plan(to: Commands) -> None:
    """Add `plan`."""
    plan = command(
        to, "plan", "day at the forge: whether your tools manage it, in how many heats",
        "Works out from the job and your own tools whether press or hammer manages each pass, in how many bites and "
        "heats, what fire and furnace have to do, and what comes after forging. Before the can is welded shut.",
        f"{START} --shop demo_patterns/shops/press_12t.toml --fit --blades 2 --out planned",
    )  # fmt: skip
    plan.option("--shop", type=Path, required=True, metavar="SHOP.toml", help="your tools: press, hammer, furnace")
    plan.option(
        "--fit", action="store_true",
        help="fit bites, passes and heats to the tools, tell how far that moves the pattern, and with --out write the "
        "fitted job, fitted.toml",
    )  # fmt: skip
    plan.option(
        "--blades", type=int, metavar="N",
        help="so many blades of this kind: how blanks lie in each bar, turned and mirrored, how many cans, what is "
        "left over, hours and cost by the times and prices in SHOP.toml; with --out blanks.svg, at true size",
    )  # fmt: skip
    unit_options(plan)
    plan.option("--out", type=Path, metavar="DIR", help=f"{INTO}: plan.txt, plan.json (default: text is shown only)")
    plan.set_defaults(run=commands.plan)
