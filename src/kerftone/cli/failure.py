"""How a command ends: well, on a maker's mistake, on a wrong option, or stopped by hand.

Exit codes: 0 done; 1 a fault of the program, with its traceback; 2 a mistake that the maker can mend, with
one clear message on stderr; 130 stopped with Ctrl-C. With --json a mistake is told on stdout too, as the one
document `{"error": {...}}`, so that a script reads one thing whatever happens.

Nothing heavy is loaded here.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Callable, Sequence
from typing import Any

import typer
from typer.core import TyperGroup

from kerftone.cli.screen import emit, say
from kerftone.errors import DrumFileError, KerftoneError

DONE, MISTAKE, STOPPED, PIPE_CLOSED = 0, 2, 130, 1

WrongCommand: type[Exception] = typer.BadParameter.__mro__[1]
"""Typer's usage error: older versions have it from click, newer ones carry their own."""


class Answering(TyperGroup):
    """The group of commands, which turns whatever stops a command into an exit code and a message."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run the command line; end the program with its exit code, unless `standalone_mode` is off."""
        given = list(sys.argv[1:] if args is None else args)

        def command() -> Any:
            return super(Answering, self).main(
                given, prog_name, complete_var, standalone_mode=False, windows_expand_args=False, **extra
            )

        if not standalone_mode:
            return command()
        sys.exit(exit_code(command, as_json="--json" in given))


def exit_code(command: Callable[[], Any], *, as_json: bool) -> int:
    """Run a command to its end and say how it ended, in a number and, where something is wrong, in words."""
    try:
        result = command()
        sys.stdout.flush()
    except KerftoneError as error:
        return _tell(str(error), body(error), as_json=as_json)
    except WrongCommand as error:
        return _tell_usage(error, as_json=as_json)
    except ImportError as error:
        message = _missing_library(error)
        if message is None:
            raise
        return _tell(message, {"kind": "MissingLibrary", "message": message}, as_json=as_json)
    except (KeyboardInterrupt, typer.Abort):
        return STOPPED
    except BrokenPipeError:
        # Whoever read our output has gone; a second complaint at exit would help nobody.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return result if isinstance(result, int) else DONE


def _tell(message: str, error: dict[str, object], *, as_json: bool) -> int:
    say(f"kerftone: {message}")
    if as_json:
        emit({"error": error})
    return MISTAKE


def _tell_usage(error: Exception, *, as_json: bool) -> int:
    """A command that cannot be read: what was wrong, and where the help is."""
    context = getattr(error, "ctx", None)
    words = " ".join(str(getattr(error, "format_message", error.__str__)()).split())
    if not words.endswith((".", "?", ")")):
        words += "."
    path = context.command_path if context is not None else "kerftone"
    message = f"{words} See `{path} --help`."
    return _tell(message, {"kind": "UsageError", "message": message}, as_json=as_json)


def _missing_library(error: ImportError) -> str | None:
    """What to do when the system lacks a library that a wheel leans on; None when that is not the trouble."""
    reason = str(error)
    if "cannot open shared object file" not in reason:
        return None
    return (
        f"The solver cannot be loaded: {reason}. A library of the system is missing, libquadmath "
        "as a rule. On Debian and its kin run `apt install libquadmath0`, then try again."
    )


def body(error: KerftoneError) -> dict[str, object]:
    """What is wrong, as a script reads it: the words, and the numbers behind them where there are any."""
    numbers = {"given": error.given, "limit": error.limit, "nearest": error.nearest}
    place: dict[str, object] = {}
    if isinstance(error, DrumFileError):
        place = {"path": error.path, "line": error.line}
    return {
        "kind": type(error).__name__,
        "message": str(error),
        **place,
        **{key: _plain(value) for key, value in numbers.items()},
    }


def _plain(value: object) -> object:
    """A value as JSON can carry it; a number that is not finite becomes nothing."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    try:
        number = float(value)  # type: ignore[arg-type]  # numpy's numbers are numbers too
    except (TypeError, ValueError):
        return str(value)
    return number if math.isfinite(number) else None
