"""A command line that cannot be read: what was typed, what there is, and how it should be, in our own words.

The library that reads the options says what kind of slip it is and where; none of its sentences is shown.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from enum import Enum
from typing import Any

import typer

from kerftone.cli.declarations import examples

WrongCommand: type[Exception] = typer.BadParameter.__mro__[1]
"""Typer's usage error: older versions have it from click, newer ones carry their own."""


def slip_words(error: Exception, typed: Sequence[str], root: Any) -> str:
    """One message for this slip, with where the help is.

    typed: the words of the command line. root: the group of all commands.
    """
    context = getattr(error, "ctx", None)
    command, path = _command_of(typed, root)
    if context is not None:
        command, path = context.command, context.command_path
    return f"{_words(error, command, path, typed)} See `{path} --help`."


def _command_of(typed: Sequence[str], root: Any) -> tuple[Any, str]:
    """The command that these words name, where the slip itself does not say which it is."""
    command, path = root, "kerftone"
    for word in typed:
        if word in getattr(command, "commands", {}):
            command, path = command.commands[word], f"{path} {word}"
    return command, path


def _words(error: Exception, command: Any, path: str, typed: Sequence[str]) -> str:
    kind = type(error).__name__
    param = getattr(error, "param", None)
    if kind == "MissingParameter" and param is not None:
        return _missing(param, path)
    if kind == "NoSuchOption":
        return _no_option(str(getattr(error, "option_name", "")), command, path)
    if param is not None:
        return _bad_value(param, typed)
    named = re.search(r"(?<![\w-])(--?[a-zA-Z][\w-]*)", str(error))
    option = next((one for one in _options(command) if named and named[1] in one.opts), None)
    if option is not None:
        return _no_value(option)
    word = re.search(r"'([^']*)'", str(error))
    if hasattr(command, "commands"):
        return _no_command(word[1] if word else None, command)
    extra = re.search(r"\(([^()]*)\)[^()]*$", str(error))
    return (
        f"There is more than `{path}` takes: {extra[1][:60] if extra else 'see the end of the line'}. A name with a "
        "blank in it stands in quotes, and an option begins with --."
    )


def _options(command: Any) -> list[Any]:
    return [one for one in command.params if one.param_type_name == "option"]


def _long(option: Any) -> str:
    return next((str(one) for one in option.opts if one.startswith("--")), str(option.opts[0]))


def _missing(param: Any, path: str) -> str:
    name = param.metavar if param.param_type_name == "argument" else _long(param)
    about = (param.help or "").rstrip(".")
    typed = examples(" ".join(path.split()[1:]))
    example = f" Such as `{typed[0]}`." if typed else ""
    return f"{name} is missing: {about[:1].lower()}{about[1:]}.{example}"


def _no_option(name: str, command: Any, path: str) -> str:
    there = [_long(one) for one in _options(command)]
    near = difflib.get_close_matches(name, there, 1, 0.6)
    mend = f"Did you mean {near[0]}?" if near else f"It has {', '.join(there) or 'none'}."
    return f"`{path}` has no option {name[:40]}. {mend}"


def _no_command(name: str | None, command: Any) -> str:
    there = list(command.commands)
    if not name:
        return f"No command is named. There are {', '.join(there)}."
    near = difflib.get_close_matches(name.casefold(), there, 1, 0.5)
    mend = f"Did you mean {near[0]}?" if near else f"There are {', '.join(there)}."
    return f"There is no command {name[:40]}. {mend}"


def _no_value(option: Any) -> str:
    if option.is_flag:
        return f"{_long(option)} stands alone and takes no value: write it without what follows."
    return f"{_long(option)} has no value. Write what it is after it: {_long(option)} {option.metavar}."


def _bad_value(param: Any, typed: Sequence[str]) -> str:
    name = param.metavar if param.param_type_name == "argument" else _long(param)
    given = _given(param, typed)
    has = f"{name} is {given[:40]!r}" if given is not None else f"{name} cannot be read"
    return f"{has}. It must be {_wanted(param)}."


def _given(param: Any, typed: Sequence[str]) -> str | None:
    """What was typed for this option; None for an argument, which has no name to be found by."""
    found = None
    for at, word in enumerate(typed):
        for option in param.opts if param.param_type_name == "option" else ():
            if word == option and at + 1 < len(typed):
                found = typed[at + 1]
            elif word.startswith(f"{option}="):
                found = word.partition("=")[2]
    return found


def _wanted(param: Any) -> str:
    """What may stand there, in words."""
    kind = getattr(getattr(param, "type_descriptor", None), "annotation", None)
    low, high = getattr(param, "min", None), getattr(param, "max", None)
    between = f" from {low:g} to {high:g}" if low is not None and high is not None else ""
    between = between or (f", {low:g} or more" if low is not None else "")
    if isinstance(kind, type) and issubclass(kind, Enum):
        return " or ".join(str(one.value) for one in kind)
    if kind is int:
        return f"a whole number{between}"
    if kind is float:
        return f"a number{between}"
    return str(param.metavar or "of another kind")
