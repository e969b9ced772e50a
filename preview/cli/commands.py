"""What each command does with its options, by the public names of the library."""

from __future__ import annotations

import sys
from argparse import Namespace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from preview import Known, Printing, Units

ASIDE = Path("-")
"""Standard input, or output."""


def _given(options: Namespace, *names: str) -> dict[str, Any]:
    """Return the options that were given; for the others the library's own values hold."""
    return {name: value for name in names if (value := getattr(options, name)) is not None}


def _pairs(values: Any) -> Any:
    """Return a list's values two by two; what is no list is for the model to refuse."""
    return list(zip(values[::2], values[1::2], strict=False)) if isinstance(values, list) else values


def page(options: Namespace) -> None:
    """Serve the page."""
    from preview.page.serving import serve

    serve(options.port, options.log, network=options.network)


def render(options: Namespace) -> None:
    """Draw both faces."""
    import preview

    job = preview.load_job(options.job)
    wanted = _given(options, "px_per_mm", "draws", "sharpened", "after")
    draw = preview.render_uncut if options.bar else preview.render
    if options.bar and ("draws" in wanted or "sharpened" in wanted):
        raise preview.RequestError.at("bar", "likely looks and a sharpened edge are of the blade; leave them out")
    if "after" in wanted and not options.bar:
        raise preview.RequestError.at("after", "it is the bar that is drawn after a step; --bar is needed as well")
    for path in draw(job, options.out, units=_units(options), force=options.force, **wanted):
        print(path)


def view(options: Namespace) -> None:
    """Write the blade in the hand."""
    from preview import load_job, save_view

    job, beside = load_job(options.job), tuple(map(load_job, options.beside or ()))
    save_view(job, options.out, beside=beside, units=_units(options), force=options.force)
    print(options.out)


def fields(options: Namespace) -> None:
    """Write the raw arrays."""
    from preview import load_job, save_fields, uncut

    job = load_job(options.job)
    save_fields(uncut(job) if options.bar else job, options.px_per_mm, options.out, force=options.force)
    print(options.out)


def calibrate(options: Namespace) -> None:
    """Learn what was measured."""
    from preview import learn, load_job, save_calibration

    boxes = {zone: text for zone in ("bright", "dark", "card") if (text := getattr(options, zone))}
    learnt = learn(
        load_job(options.job),
        readings=options.readings,
        marks=options.marks,
        ruler=options.ruler,
        coupon=options.coupon,
        boxes=boxes,
        date=date.today().isoformat(),
        **_given(options, "card_lightness"),
    )
    save_calibration(learnt.calibration, options.out, force=options.force)
    for word in learnt.words:
        print(word)
    if learnt.fit is not None:
        print(f"{'row':>3}  {'reading':<12} {'measured less fitted, mm':>24}")
        for each in learnt.fit.residuals:
            print(f"{each.row:>3}  {each.quantity.replace('_', ' '):<12} {each.off:>24.2f}")
    print(options.out)


def log(options: Namespace) -> None:
    """Keep the log: add a blade or what is known of one, compare two, or list them all."""
    import preview

    known = _known(options)
    asked = [name for name in ("add", "name", "compare") if getattr(options, name) is not None]
    if asked in (["add"], ["compare", "name"]) or ("compare" in asked and (len(asked) > 1 or known != preview.Known())):
        raise preview.RequestError.at("log", "a blade is added with --add and --name; --compare goes by itself")
    if asked and (options.out is not None or options.forge is not None):
        raise preview.RequestError.at("log", "--out and --forge are of the whole log; leave out what is of one blade")
    if options.out is not None and options.forge is not None:
        raise preview.RequestError.at("log", "--out and --forge are written one at a time")
    if not asked and known != preview.Known():
        raise preview.RequestError.at("log.name", "is needed, to say of which blade this is known")
    if options.compare:
        first, second = (preview.find_blade(options.log, name) for name in options.compare)
        sys.stdout.write(preview.compare_text(first, second, _units(options)))
    elif options.name:
        if options.add:
            blade = preview.add_blade(options.log, preview.load_job(options.add), options.name, known)
        else:
            blade = preview.add_to_blade(options.log, options.name, known, force=options.force)
        print(blade.folder)
        sys.stdout.write(preview.log_text([blade], _units(options)))
    else:
        blades = preview.load_log(options.log)
        if options.forge is not None:
            learnt = [blade.learnt for blade in blades if blade.learnt is not None]
            forge = preview.forge_over(learnt)
            preview.save_calibration(forge, options.forge, force=options.force)
            print(options.forge, preview.forge_words(forge, len(learnt)), sep="\n")
        if options.out is not None:
            for path in preview.save_over_time(blades, options.out, units=_units(options), force=options.force):
                print(path)
        sys.stdout.write(preview.log_text(blades, _units(options)))


def _known(options: Namespace) -> Known:
    from preview import Known, parse_dip

    given = _given(options, "day", "bar", "result", "readings", "marks", "ruler", "coupon", "right", "left", "photos")
    regions = _given(options, "bright", "dark", "card", "card_lightness")
    return Known(**given, dips=tuple(map(parse_dip, options.dips or ())), regions=regions)


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


def _units(options: Namespace) -> Units:
    from preview import Units

    heats: Literal["°C", "°F"] = "°F" if "fahrenheit" in options and options.fahrenheit else "°C"
    return Units(sizes="inch" if options.inches else "mm", heats=heats)


def _printing(options: Namespace) -> Printing:
    from preview import Printing, make_settings

    return make_settings(
        Printing, _given(options, "bead", "tolerance", "height", "bed", "clearance", "layer", "base"), "printing"
    )


def layout(options: Namespace) -> None:
    """Go back from a picture to the can."""
    from preview import Wanted, lay_out, load_job, make_settings, save_layout

    values = {"picture": options.wanted, **_given(options, "face", "at", "size", "turn", "swap")}
    wanted = make_settings(Wanted, values, "wanted")
    printing = _printing(options)
    found = lay_out(load_job(options.job), wanted)
    how = {"printing": printing, "units": _units(options), "force": options.force}
    for path in save_layout(found, wanted, options.out, **how):
        print(path)
    sys.stdout.write((options.out / "layout.txt").read_text(encoding="utf-8"))


def dividers(options: Namespace) -> None:
    """Write the dividers."""
    from preview import load_job, save_dividers

    how = {"printing": _printing(options), "units": _units(options), "outlined": options.outlined}
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
    how = _given(options, "unit", "walls", "solid", "close", "bead")
    regions = read_regions(options.dividers, job.pattern_area, height=options.cut, **how)
    for path in save_filled(job, regions, fills, options.out, force=options.force):
        print(path)
    print(f"{len(regions.polygons)} regions, numbered in regions.png; {' '.join(map(str, regions.notes))}")


def budget(options: Namespace) -> None:
    """Weigh the job."""
    from preview import advice_text, advise, budget_text, load_job, preview, save_budget, weigh

    job, units = load_job(options.job), _units(options)
    found = weigh(job, **_given(options, "bead", "margin", "read_at"))
    if options.out is not None:
        for path in save_budget(job, found, options.out, units=units, force=options.force):
            print(path)
    sys.stdout.write(advice_text(advise(preview(job)), units))
    sys.stdout.write(budget_text(job, found, units))


def plan(options: Namespace) -> None:
    """Plan the day at the forge."""
    from preview import day_text, load_job, load_shop, make_batch, make_plan, save_plan, suit

    job, shop, units = load_job(options.job), load_shop(options.shop), _units(options)
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

    lists = {name: text.split(",") for name, text in _given(options, "heights", "angles", "kinds").items()}
    grinds = make_settings(TrialGrinds, {**lists, **_given(options, "face")}, "trials")
    told = {"units": _units(options), "force": options.force}
    for path in save_trials(load_job(options.job), grinds, options.out, **told):
        print(path)
    sys.stdout.write((options.out / "trials.txt").read_text(encoding="utf-8"))


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

    words = make_settings(SheetWords, _given(options, "maker", "made_for", "story", "date"), "sheet")
    job, beside = load_job(options.job), tuple(map(load_job, options.beside or ()))
    known = {"beside": beside, "units": _units(options), "force": options.force, **_given(options, "paper")}
    day = make_plan(job, load_shop(options.shop)) if options.shop else None
    if options.blades is not None and day is None:
        raise RequestError.at(
            "blades", "what several blades take is reckoned with your tools; --shop is needed as well"
        )
    batch = make_batch(day, options.blades) if day and options.blades is not None else None
    past = load_blade(options.past) if options.past else None
    for path in save_sheet(job, options.kind, options.out, words=words, day=day, batch=batch, past=past, **known):
        print(path)


def pack(options: Namespace) -> None:
    """Pack the job."""
    from preview import load_job, save_packed

    save_packed(load_job(options.job), options.out, force=options.force)
    print(options.out)


def outline(options: Namespace) -> None:
    """Show what is understood of an outline."""
    from preview import load_job, read_outline, save_profile

    stated = _given(options, "length", "turn", "tip_at", "edge_at", "ricasso", "tang", "paper")
    if options.ruler is not None or options.ruler_length is not None:
        marks = dict(zip(("first", "second"), _pairs(options.ruler) or (), strict=False))
        stated["ruler"] = {**marks, **({"apart": options.ruler_length} if options.ruler_length else {})}
    is_job = options.of.suffix.lower() in {".toml", ".zip"}
    found = load_job(options.of).blade.outline if is_job else read_outline(options.of, stated)
    save_profile(found, options.out, units=_units(options), force=options.force)
    for note in found.notes:
        print(note.told(_units(options)))
    print(options.out)


def sketch(options: Namespace) -> None:
    """Make a drawing into a pattern."""
    from preview import FINEST_FILLED, Sketch, clean_sketch, make_settings, save_sketch

    values = _given(options, "width", "swap", "fill", "smallest", "smooth", "pale", "crop")
    if options.corners is not None:
        values["corners"] = _pairs(options.corners)
    found = clean_sketch(options.photo, make_settings(Sketch, values, "sketch"), finest=FINEST_FILLED)
    for path in save_sketch(found, options.out, svg=options.svg, force=options.force):
        print(path)
    for note in found.notes:
        print(note)


def match(options: Namespace) -> None:
    """Lay a photograph on its preview."""
    import preview

    job, units = preview.load_job(options.job), _units(options)
    how = {"of": options.of} if options.of else {}
    if options.corners is not None:
        how["corners"] = _pairs(options.corners)
    if options.card is not None:
        how["card"] = _pairs(options.card)
    if options.card_size is not None:
        how["card_size"] = options.card_size
    found = preview.match(job, options.photo, options.face or "right", **how)
    for path in preview.save_match(job, found, options.out, units=units, force=options.force):
        print(path)
    sys.stdout.write(preview.match_text(found, units))
    if found.seen is None:
        preview.seen_job(job, found)  # says why not
