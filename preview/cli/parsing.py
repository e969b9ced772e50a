"""Options whose usual values, names and ranges stand in the library alone, looked up where they are needed."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from textwrap import fill
from typing import Any, Literal, NoReturn, get_args, get_origin, get_type_hints

EPILOG = "Exit code 0, or 2 with one clear line for each fault. Files that exist are kept unless --force is given."


class Parser(argparse.ArgumentParser):
    """A parser whose errors are one line each, whatever was typed."""

    def error(self, message: str) -> NoReturn:
        """See `argparse.ArgumentParser.error`."""
        from preview import tidy  # not for help, which is to come at once

        super().error(tidy(message))


class Command(Parser):
    """A command's parser; what holds where an option is not given is looked up only to show help.

    Parameters
    ----------
    about
        One or two sentences: what the command gives, and when one wants it.
    example
        A line that works in the project's folder.
    """

    def __init__(self, *, about: str = "", example: str = "", **known: Any) -> None:
        super().__init__(
            description=fill(about, 100),
            epilog=f"example:\n  {example}\n\n{fill(EPILOG, 100)}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            **known,
        )
        self.example = example
        self._told: list[tuple[argparse.Action, str, str]] = []

    def option(
        self, *names: str, usual: str = "", of: str = "", several: bool = False, group: Any = None, **known: Any
    ) -> None:
        """Add an option, None where it is not given.

        Parameters
        ----------
        names, known
            As for `argparse.ArgumentParser.add_argument`.
        usual
            What holds where it is not given: an argument of a public function or model, such as ``Printing.bead``.
        of
            An argument likewise, whose type lists the names that the option takes.
        several
            Whether it takes a list of them, which is for the model to check.
        group
            The group of options that it belongs to, if any.
        """
        if of and not several:
            known["choices"] = Names(of)
        self._told.append(((group or self).add_argument(*names, **known), usual, of))

    def format_help(self) -> str:
        """Return the help, with the names that options take and their usual values."""
        while self._told:
            action, usual, of = self._told.pop()
            words = [", ".join(Names(of))] if of else []
            words += [f"default {written(usual_value(usual))}"] if usual else []
            if words:
                action.help = f"{action.help} ({'; '.join(words)})"
        return super().format_help()


def usual_value(where: str) -> Any:
    """Return what an argument of a public function or model, such as ``Printing.bead``, is when it is not given."""
    from inspect import signature

    import preview

    owner, name = where.split(".")
    of = getattr(preview, owner)
    if isinstance(of, type) and issubclass(of, preview.Settings):
        return of.model_fields[name].default
    return signature(of).parameters[name].default


def written(value: Any) -> str:
    """Return a value as it is typed."""
    if isinstance(value, tuple):
        return ",".join(map(written, value))
    return value if isinstance(value, str) else f"{value:g}"


class Names:
    """The names that an argument of a public function or model takes, read from its type when they are needed."""

    def __init__(self, where: str) -> None:
        self.owner, self.name = where.split(".")

    def __iter__(self) -> Iterator[str]:
        import preview

        return _names(get_type_hints(getattr(preview, self.owner), include_extras=True)[self.name])

    def __contains__(self, name: object) -> bool:
        return name in tuple(self)


def _names(hint: Any) -> Iterator[str]:
    for part in get_args(hint):
        if get_origin(hint) is Literal:
            yield part
        else:
            yield from _names(part)


def resolution(text: str) -> float:
    """Read a number of pixels per millimetre."""
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not 0.5 <= value <= 60:
        msg = f"a number of pixels per millimetre from 0.5 to 60 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return value


def draws(text: str) -> int:
    """Read a number of draws."""
    if not text.isdecimal() or len(text) > 4 or not 6 <= int(text) <= 2000:
        msg = f"a whole number of draws from 6 to 2000 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return int(text)


def amount(text: str) -> float:
    """Read a number of at least 0."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value < 10_000:
        msg = f"a number of at least 0 is needed; given {text!r}"
        raise argparse.ArgumentTypeError(msg)
    return value


def listed(text: str) -> str | list[str]:
    """Read text with commas as a list, other text as it is."""
    return text.split(",") if "," in text else text


class Version(argparse.Action):
    """Shows the version of the installed program."""

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        """See `argparse.Action`."""
        from importlib.metadata import version

        print(f"etch-preview {version('etch-preview')}")
        parser.exit()


class Completion(argparse.Action):
    """Prints what a shell needs to complete commands, options and names of files."""

    def __call__(self, parser: argparse.ArgumentParser, _: Any, shell: Any, __: Any = None) -> None:
        """See `argparse.Action`."""
        import shtab

        (commands,) = (each.choices for each in parser._actions if isinstance(each, argparse._SubParsersAction))
        for command in commands.values():
            for action in command._actions:
                if action.type is Path:
                    action.complete = shtab.FILE
        print(shtab.complete(parser, shell))
        parser.exit()
