"""A command line that cannot be read: what was typed, what there is, and how it should be, in our own words.

The library that reads the options says what kind of slip it is and where; none of its sentences is shown.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence

import click

from kerftone.cli.declarations import Taken, examples, inside, takes


def slip_words(error: click.UsageError, typed: Sequence[str]) -> str:
    """One message for this slip, with where the help is. typed: the words of the command line."""
    path = error.ctx.command_path if error.ctx is not None else "kerftone"
    return f"{_words(error, path, typed)} See `{path} --help`."


def _words(error: click.UsageError, path: str, typed: Sequence[str]) -> str:
    words = " ".join(path.split()[1:])
    options = [one for one in takes(words) if one.flags]
    if isinstance(error, click.BadParameter) and error.param is not None:
        one = next(one for one in takes(words) if one.name == error.param.name)
        return _missing(one, words) if isinstance(error, click.MissingParameter) else _bad_value(one, typed)
    if isinstance(error, click.NoSuchOption):
        there = [one.called for one in options]
        mend = _near(error.option_name, there, 0.6) or f"It has {', '.join(there) or 'none'}."
        return f"`{path}` has no option {error.option_name[:40]}. {mend}"
    if isinstance(error, click.BadOptionUsage):
        return next((_no_value(one) for one in options if error.option_name in one.names), "")
    if isinstance(error, click.exceptions.NoSuchCommand):
        name, there = error.command_name, inside(words)
        mend = _near(name.casefold(), there, 0.5) or f"There are {', '.join(there)}."
        return f"There is no command {name[:40]}. {mend}" if name else f"No command is named. {mend}"
    extra = re.search(r"\(([^()]*)\)[^()]*$", error.message)
    return (
        f"There is more than `{path}` takes: {extra[1][:60] if extra else 'see the end of the line'}. A name with a "
        "blank in it stands in quotes, and an option begins with --."
    )


def _near(name: str, there: Iterable[str], least: float) -> str:
    """The likeliest of what there is; "" where none is like it."""
    near = difflib.get_close_matches(name, there, 1, least)
    return f"Did you mean {near[0]}?" if near else ""


def _missing(one: Taken, words: str) -> str:
    about, typed = one.help.rstrip("."), examples(words)
    example = f" Such as `{typed[0]}`." if typed else ""
    return f"{one.called} is missing: {about[:1].lower()}{about[1:]}.{example}"


def _no_value(one: Taken) -> str:
    if one.kind == "flag":
        return f"{one.called} stands alone and takes no value: write it without what follows."
    return f"{one.called} has no value. Write what it is after it: {one.called} {one.value}."


def _bad_value(one: Taken, typed: Sequence[str]) -> str:
    given = _given(one, typed)
    has = f"{one.called} is {given[:40]!r}" if given is not None else f"{one.called} cannot be read"
    return f"{has}. It must be {_wanted(one)}."


def _given(one: Taken, typed: Sequence[str]) -> str | None:
    """What was typed for this option; None for an argument, which has no name to be found by."""
    found = None
    for at, word in enumerate(typed):
        name, sign, value = word.partition("=")
        if one.flags and name in one.names:
            found = value if sign else next(iter(typed[at + 1 : at + 2]), found)
    return found


def _wanted(one: Taken) -> str:
    """What may stand there, in words."""
    between = "" if one.min is None else f", {one.min:g} or more"
    if one.min is not None and one.max is not None:
        between = f" from {one.min:g} to {one.max:g}"
    kinds = {"whole": f"a whole number{between}", "number": f"a number{between}", "numbers": "a number"}
    return " or ".join(one.choices) or kinds.get(one.kind) or one.value
