"""What each command does with its options, by the public names of the library."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from preview.cli.typed import given_in, units_in

if TYPE_CHECKING:
    from preview import Printing

ASIDE = Path("-")
"""Standard input, or output."""


def page(options: Namespace) -> None:
    """Serve the page."""
    from preview.page.serving import serve

    serve(options.port, options.log, network=options.network)


def render(options: Namespace) -> None:
    """Draw both faces."""
    import preview

    job = preview.load_job(options.job)
    wanted = given_in(options, "px_per_mm", "draws", "sharpened", "after")
    draw = preview.render_uncut if options.bar else preview.render
    if options.bar and ("draws" in wanted or "sharpened" in wanted):
        raise preview.RequestError.at("bar", "likely looks and a sharpened edge are of the blade; leave them out")
    if "after" in wanted and not options.bar:
        raise preview.RequestError.at("after", "it is the bar that is drawn after a step; --bar is needed as well")
    for path in draw(job, options.out, units=units_in(options), force=options.force, **wanted):
        print(path)


def view(options: Namespace) -> None:
    """Write the blade in the hand."""
    from preview import SheetWords, load_job, make_settings, save_view

    job, beside = load_job(options.job), tuple(map(load_job, options.beside or ()))
    words = make_settings(SheetWords, given_in(options, "maker", "made_for"), "view")
    save_view(job, options.out, beside=beside, words=words, units=units_in(options), force=options.force)
    print(options.out)


def fields(options: Namespace) -> None:
    """Write the raw arrays."""
    from preview import load_job, save_fields, uncut

    job = load_job(options.job)
    save_fields(uncut(job) if options.bar else job, options.px_per_mm, options.out, force=options.force)
    print(options.out)


def trace(options: Namespace) -> None:
    """Carry points to the can or back."""
    from preview import load_job, save_text, trace_table

    points = sys.stdin if options.points == ASIDE else options.points
    text = trace_table(load_job(options.job), points, reverse=options.reverse)
    off = [str(row) for row, line in enumerate(text.splitlines()[1:], start=1) if line.endswith(",")]
    if off:
        print(f"off the metal, so their cells stay empty: row {', '.join(off)}", file=sys.stderr)
    if options.out == ASIDE:
        sys.stdout.write(text)
    else:
        save_text(text, options.out, force=options.force)


def _printing(options: Namespace) -> Printing:
    from preview import Printing, make_settings

    return make_settings(
        Printing, given_in(options, "bead", "tolerance", "height", "bed", "clearance", "layer", "base"), "printing"
    )


def layout(options: Namespace) -> None:
    """Go back from a picture to the can."""
    from preview import Wanted, lay_out, load_job, make_settings, save_layout

    values = {"picture": options.wanted, **given_in(options, "face", "at", "size", "turn", "swap")}
    wanted = make_settings(Wanted, values, "wanted")
    printing = _printing(options)
    found = lay_out(load_job(options.job), wanted)
    how = {"printing": printing, "units": units_in(options), "force": options.force}
    for path in save_layout(found, wanted, options.out, **how):
        print(path)
    sys.stdout.write((options.out / "layout.txt").read_text(encoding="utf-8"))


def dividers(options: Namespace) -> None:
    """Write the dividers."""
    from preview import load_job, save_dividers

    how = {"printing": _printing(options), "units": units_in(options), "outlined": options.outlined}
    paths = save_dividers(load_job(options.job), options.out, **how, force=options.force)
    for path in paths:
        print(path)
    for path in paths:
        if path.suffix == ".txt":
            sys.stdout.write(path.read_text(encoding="utf-8"))


def fill(options: Namespace) -> None:
    """Fill dividers drawn elsewhere."""
    from preview import load_job, parse_fill, read_regions, save_filled

    job, fills = load_job(options.job), parse_fill(options.powders)
    how = given_in(options, "unit", "walls", "solid", "close", "bead")
    regions = read_regions(options.dividers, job.pattern_area, height=options.cut, **how)
    for path in save_filled(job, regions, fills, options.out, force=options.force):
        print(path)
    print(f"{len(regions.polygons)} regions, numbered in regions.png; {' '.join(map(str, regions.notes))}")


def budget(options: Namespace) -> None:
    """Weigh the job."""
    from preview import advice_text, advise, budget_text, load_job, preview, save_budget, weigh

    job, units = load_job(options.job), units_in(options)
    found = weigh(job, **given_in(options, "bead", "margin", "read_at"))
    if options.out is not None:
        for path in save_budget(job, found, options.out, units=units, force=options.force):
            print(path)
    sys.stdout.write(advice_text(advise(preview(job)), units))
    sys.stdout.write(budget_text(job, found, units))


def plan(options: Namespace) -> None:
    """Plan the day at the forge."""
    from preview import day_text, load_job, load_shop, make_batch, make_plan, save_plan, suit

    job, shop, units = load_job(options.job), load_shop(options.shop), units_in(options)
    found = make_plan(job, shop)
    suited = suit(job, shop) if options.fit else None
    batch = None
    if options.blades is not None:
        batch = make_batch(suited.plan if suited and not suited.faults else found, options.blades)
    if options.out is not None:
        known = {"own": options.job, "units": units, "force": options.force}
        for path in save_plan(found, options.out, suited=suited, batch=batch, **known):
            print(path)
    sys.stdout.write(day_text(found, suited, units, batch))


def trials(options: Namespace) -> None:
    """Try grinds."""
    from preview import TrialGrinds, load_job, make_settings, save_trials

    lists = {name: text.split(",") for name, text in given_in(options, "heights", "angles", "kinds").items()}
    grinds = make_settings(TrialGrinds, {**lists, **given_in(options, "face")}, "trials")
    told = {"units": units_in(options), "force": options.force}
    for path in save_trials(load_job(options.job), grinds, options.out, **told):
        print(path)
    sys.stdout.write((options.out / "trials.txt").read_text(encoding="utf-8"))


def place(options: Namespace) -> None:
    """Search where to cut."""
    from preview import Cut, load_job, make_settings, parse_keep, save_places

    lists = {
        name: text.split(",") for name, text in given_in(options, "along", "across", "bar", "heights", "angles").items()
    }
    values = {**lists, **given_in(options, "face", "margin"), "turned": options.turned, "mirrored": options.mirrored}
    cut = make_settings(Cut, {**values, "keep": parse_keep(options.keep or ())}, "place")
    told = {"own": options.job, "units": units_in(options), "force": options.force}
    for path in save_places(load_job(options.job), cut, options.out, **told):
        print(path)
    sys.stdout.write((options.out / "place.txt").read_text(encoding="utf-8"))


def sheet(options: Namespace) -> None:
    """Set a sheet."""
    from preview import (
        RequestError,
        SheetWords,
        load_blade,
        load_job,
        load_shop,
        make_batch,
        make_plan,
        make_settings,
        save_sheet,
    )

    words = make_settings(SheetWords, given_in(options, "maker", "made_for", "story", "date"), "sheet")
    job, beside = load_job(options.job), tuple(map(load_job, options.beside or ()))
    known = {"beside": beside, "units": units_in(options), "force": options.force, **given_in(options, "paper")}
    day = make_plan(job, load_shop(options.shop)) if options.shop else None
    if options.blades is not None and day is None:
        raise RequestError.at(
            "blades", "what several blades take is reckoned with your tools; --shop is needed as well"
        )
    batch = make_batch(day, options.blades) if day and options.blades is not None else None
    past = load_blade(options.past) if options.past else None
    for path in save_sheet(job, options.kind, options.out, words=words, day=day, batch=batch, past=past, **known):
        print(path)
