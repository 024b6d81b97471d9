"""`python -m kerftone.cli.manual`: the reference of the command line, from the commands themselves.

Written to docs/cli.md by `make docs`; a test compares the two. It is made from the declarations, not from
a help screen, so that it does not change with the width of a terminal or the version of a library.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator
from typing import Any

import typer

from kerftone.cli.app import app

HEAD = """# Commands

Written by `make docs` from the commands themselves; do not edit by hand.

Results go to stdout, progress and remarks to stderr. With `--json` the result is one JSON document. Exit
codes: 0 done; 1 a fault of the program; 2 a mistake you can mend, told in one message, or an option that does
not exist; 3 from `plan`, where all is written but the drum does not sound its notes;
130 stopped with Ctrl-C. With `--json` a mistake is also told on stdout, as `{"error": {...}}`.
"""


def manual() -> str:
    """The whole page, as Markdown."""
    group: Any = typer.main.get_command(app)
    pages = [HEAD, _options("kerftone", group)]
    pages += [_command(name, command) for name, command in _all_commands(group)]
    return "\n".join(pages)


def _all_commands(group: Any) -> Iterator[tuple[str, Any]]:
    """Each command by the words it is called with; those of a group follow the group."""
    for name, command in group.commands.items():
        yield name, command
        if hasattr(command, "commands"):
            yield from ((f"{name} {inner}", one) for inner, one in _all_commands(command))


def _command(name: str, command: Any) -> str:
    return f"## kerftone {name}\n\n{inspect.cleandoc(command.help or '')}\n\n" + _options(
        f"kerftone {name}", command
    )


def _options(name: str, command: Any) -> str:
    """How a command is typed, and a list of what it takes."""
    arguments = [p for p in command.params if p.param_type_name == "argument"]
    options = [p for p in command.params if p.param_type_name == "option" and "--help" not in p.opts]
    tail = " COMMAND" if hasattr(command, "commands") else ""
    needed = "".join(f" {_long(p)} {_value(p)}" for p in options if p.required)
    more = " [OPTIONS]" if any(not p.required for p in options) else ""
    given = "".join(f" {p.metavar}" if p.required else f" [{p.metavar}]" for p in arguments)
    usage = name + given + needed + more + tail
    lines = [f"- `{p.metavar}`: {p.help}" for p in arguments]
    lines += [f"- `{_names(p)}`: {p.help}{_default(p)}" for p in options]
    return (
        f"```text\n{usage}\n```\n"
        + "".join(f"\n{line}" for line in ["", *lines] if lines)
        + "\n" * bool(lines)
    )


def _long(option: Any) -> str:
    return str(next(name for name in option.opts if name.startswith("--")))


def _value(option: Any) -> str:
    return "" if option.is_flag else str(option.metavar)


def _names(option: Any) -> str:
    names = ", ".join(sorted(option.opts, key=len, reverse=True))
    return f"{names} {_value(option)}".strip()


def _default(option: Any) -> str:
    if option.is_flag or option.required or option.default is None:
        return ""
    return f" Usually {getattr(option.default, 'value', option.default)}."


if __name__ == "__main__":
    sys.stdout.write(manual())
