"""What the commands about the smith's own things do: what he measured, made, drew and photographed."""

from __future__ import annotations

import sys
from argparse import Namespace
from contextlib import suppress
from datetime import date
from typing import TYPE_CHECKING

from preview.cli.typed import given_in, pairs, units_in

if TYPE_CHECKING:
    from preview import Known


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
        **given_in(options, "card_lightness"),
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
        sys.stdout.write(preview.compare_text(first, second, units_in(options)))
    elif options.name:
        if options.add:
            blade = preview.add_blade(options.log, preview.load_job(options.add), options.name, known)
        else:
            blade = preview.add_to_blade(options.log, options.name, known, force=options.force)
        print(blade.folder)
        sys.stdout.write(preview.log_text([blade], units_in(options)))
    else:
        blades = preview.load_log(options.log)
        if options.forge is not None:
            learnt = [each for each in map(preview.taught, blades) if each is not None]
            forge = preview.forge_over(learnt)
            preview.save_calibration(forge, options.forge, force=options.force)
            print(options.forge, preview.forge_words(forge, len(learnt)), sep="\n")
        if options.out is not None:
            for path in preview.save_over_time(blades, options.out, units=units_in(options), force=options.force):
                print(path)
        sys.stdout.write(preview.log_text(blades, units_in(options)))


def _known(options: Namespace) -> Known:
    from preview import Known, parse_dip

    given = given_in(options, "day", "bar", "result", "readings", "marks", "ruler", "coupon", "right", "left", "photos")
    regions = given_in(options, "bright", "dark", "card", "card_lightness")
    return Known(**given, dips=tuple(map(parse_dip, options.dips or ())), regions=regions)


def pack(options: Namespace) -> None:
    """Pack the job."""
    from preview import load_job, save_packed

    save_packed(load_job(options.job), options.out, force=options.force)
    print(options.out)


def outline(options: Namespace) -> None:
    """Show what is understood of an outline."""
    from preview import load_job, read_outline, save_profile

    stated = given_in(options, "length", "turn", "tip_at", "edge_at", "ricasso", "tang", "paper")
    if options.ruler is not None or options.ruler_length is not None:
        marks = dict(zip(("first", "second"), pairs(options.ruler) or (), strict=False))
        stated["ruler"] = {**marks, **({"apart": options.ruler_length} if options.ruler_length else {})}
    is_job = options.of.suffix.lower() in {".toml", ".zip"}
    found = load_job(options.of).blade.outline if is_job else read_outline(options.of, stated)
    save_profile(found, options.out, units=units_in(options), force=options.force)
    for note in found.notes:
        print(note.told(units_in(options)))
    print(options.out)


def sketch(options: Namespace) -> None:
    """Make a drawing into a pattern."""
    from preview import FINEST_FILLED, Sketch, clean_sketch, make_settings, save_sketch

    values = given_in(options, "width", "swap", "fill", "smallest", "smooth", "pale", "crop")
    if options.corners is not None:
        values["corners"] = pairs(options.corners)
    found = clean_sketch(options.photo, make_settings(Sketch, values, "sketch"), finest=FINEST_FILLED)
    for path in save_sketch(found, options.out, svg=options.svg, force=options.force):
        print(path)
    for note in found.notes:
        print(note)


def match(options: Namespace) -> None:
    """Lay a photograph on its preview."""
    import preview

    job, units = preview.load_job(options.job), units_in(options)
    how = {}
    if options.corners is not None:
        how["corners"] = pairs(options.corners)
    if options.card is not None:
        how["card"] = () if options.card == "none" else pairs(options.card)
    if options.card_size is not None:
        how["card_size"] = options.card_size
    if options.mark:
        how["marks"] = [[part.split(",") for part in mark.split("=")] for mark in options.mark]
    of = {"of": options.of} if options.of else {}
    photos, faces = options.photo, options.face or ["right"]
    if len(photos) > 2 or len(faces) != len(photos):
        raise preview.RequestError.at("photo", "one is needed, or two, each with its face: --face right or left")
    try:
        matches = [preview.match(job, photos[0], faces[0], **of, **how)]
        if len(photos) == 2:
            matches = [*preview.match_both(matches[0], preview.match(job, photos[1], faces[1], **of))]
    except preview.RequestError as error:
        with suppress(preview.FileError):  # that a file is in the way is not what is to be told
            preview.save_refusal(error, options.out, units=units, force=options.force)
        raise
    for path in preview.save_match(job, matches, options.out, units=units, force=options.force):
        print(path)
    for each in matches:
        sys.stdout.write(preview.match_text(each, units))
    if matches[0].seen is None:
        preview.seen_job(job, matches[0])  # says why not
