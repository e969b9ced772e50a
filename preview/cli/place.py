"""What the command `place` does with its options, by the public names of the library."""

from __future__ import annotations

import sys
from argparse import Namespace

LISTS = ("along", "across", "heights", "angles")


def place(options: Namespace) -> None:
    """Search where to cut."""
    from preview import Cut, Units, load_job, make_settings, parse_keep, save_places

    lists = {name: text.split(",") for name in LISTS if (text := getattr(options, name)) is not None}
    plain = {name: getattr(options, name) for name in ("face", "margin", "turned", "mirrored")}
    cut = make_settings(Cut, {**lists, **plain, "keep": parse_keep(options.keep or ())}, "place")
    units = Units(sizes="inch" if options.inches else "mm", heats="°F" if options.fahrenheit else "°C")
    for path in save_places(
        load_job(options.job), cut, options.out, own=options.job, units=units, force=options.force
    ):  # fmt: skip
        print(path)
    sys.stdout.write((options.out / "place.txt").read_text(encoding="utf-8"))
