"""Help pages: plain text of 80 columns, what can be typed first.

An example comes before any option, commands are grouped by what a maker does with them. Words only; nothing is loaded
and nothing drawn.
"""

from __future__ import annotations

import inspect
import re
import textwrap
from typing import Any

from typer.core import TyperCommand

from kerftone.cli.declarations import examples, groups
from kerftone.cli.screen import WIDTH

COLUMN = 24
"""Where the words beside an option begin."""


class Helpful(TyperCommand):
    """A command with our help page."""

    def get_help(self, ctx: Any) -> str:
        """The page, as text."""
        return help_page(self, ctx.command_path)


def help_page(command: Any, path: str) -> str:
    """The help of one command, or of a group of them, that is called by these words."""
    words = " ".join(path.split()[1:])
    about = inspect.cleandoc(command.help or "").replace("\f", "")
    first, _, more = about.partition("\n\n")
    parts = [_filled(first)]
    if examples(words):
        parts.append("\n".join(_example(line) for line in examples(words)))
    if more:
        parts.append("\n\n".join(_filled(one) for one in more.split("\n\n")))
    if hasattr(command, "commands"):
        parts += _grouped(command) if not words else ["\n".join(_one_line(*pair) for pair in _short(command))]
        parts.append(f"`{path} COMMAND --help` tells the rest of each.")
    else:
        parts += _options(command)
    return "\n\n".join(parts)


def _filled(words: str) -> str:
    return textwrap.fill(" ".join(words.split()), WIDTH - 1)


def _example(line: str) -> str:
    """An example, over two lines where it is long."""
    if len(line) + 2 < WIDTH:
        return f"  {line}"
    return textwrap.fill(
        line, WIDTH - 3, initial_indent="  ", subsequent_indent="      ", break_on_hyphens=False
    ).replace("\n", " \\\n")


def _short(command: Any) -> list[tuple[str, str]]:
    return [
        (name, inspect.cleandoc(one.help or "").split("\n\n")[0]) for name, one in command.commands.items()
    ]


def _grouped(command: Any) -> list[str]:
    """The commands under what a maker does with them."""
    short = dict(_short(command))
    return [
        "\n".join([head, *(_one_line(name, short[name]) for name in names)])
        for head, names in groups().items()
    ]


def _one_line(name: str, words: str) -> str:
    """A command or an option, and words beside it."""
    lines = textwrap.wrap(" ".join(words.split()), WIDTH - COLUMN - 1) or [""]
    head = f"  {name}"
    if len(head) >= COLUMN:
        return "\n".join([head, *(" " * COLUMN + line for line in lines)])
    return "\n".join([f"{head:<{COLUMN}}{lines[0]}", *(" " * COLUMN + line for line in lines[1:])])


def _options(command: Any) -> list[str]:
    """What is to be given, then what may be added."""
    given = [_argument(one) for one in command.params if one.param_type_name == "argument"]
    options = [one for one in command.params if one.param_type_name == "option" and "--help" not in one.opts]
    given += [_option(one) for one in options if one.required]
    added = [_option(one) for one in options if not one.required]
    parts = ["\n".join(["To be given", *given])] if given else []
    return parts + (["\n".join(["May be added", *added])] if added else [])


def _argument(param: Any) -> str:
    return _one_line(param.metavar, param.help or "")


def _option(param: Any) -> str:
    names = ", ".join(sorted(param.opts, key=len))
    value = "" if param.is_flag else f" {param.metavar}"
    usual = ""
    if not param.is_flag and not param.required and param.default not in (None, ()):
        usual = f" Usually {getattr(param.default, 'value', param.default)}."
    return _one_line(f"{names}{value}", re.sub(r"\s+", " ", param.help or "") + usual)
