"""How a command ends: well, on a maker's mistake, on a wrong option, or stopped by hand.

Exit codes: 0 done; 1 a fault of the program, with its traceback; 2 a mistake that the maker can mend, with
one clear message on stderr; 3 done, but the drum as its file has it does not sound its notes;
130 stopped with Ctrl-C. With --json a mistake is told on stdout too, as the one
document `{"error": {...}}`, so that a script reads one thing whatever happens.

Nothing heavy is loaded here.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import Any

import click

from kerftone.cli.declarations import declarations
from kerftone.cli.help import help_page
from kerftone.cli.screen import emit, say, show
from kerftone.cli.slips import slip_words
from kerftone.errors import KerftoneError, Remedy
from kerftone.jobs.refusal import refusal_record
from kerftone.stopping import Stopped

DONE, MISTAKE, NOT_WELL, STOPPED, PIPE_CLOSED = 0, 2, 3, 130, 1
"""Exit codes: see above; 130 is a shell's for Ctrl-C."""


class Command(click.Command):
    """A command with our help page, which knows where a slip was made."""

    def get_help(self, ctx: click.Context) -> str:
        """Our own page."""
        return help_page(ctx.command_path)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the options; what the library raises without saying of which command, is of this one."""
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as error:
            error.ctx = error.ctx or ctx
            raise


class Group(Command, click.Group):
    """A group of commands, whose help page is also shown when none of them is named."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Show the page where no command is named."""
        if not args and not self.invoke_without_command:
            show(self.get_help(ctx))
            ctx.exit()
        return super().parse_args(ctx, args)


class Answering(Group):
    """The group of all commands, which turns whatever stops one into an exit code and a message."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        *_: Any,
        standalone_mode: bool = True,
        **more: Any,
    ) -> Any:
        """Run the command line; end the program with its exit code, unless `standalone_mode` is off."""
        given = list(sys.argv[1:] if args is None else args)
        more |= {"standalone_mode": False, "windows_expand_args": False}

        def command() -> Any:
            return super(Answering, self).main(given, prog_name or self.name, **more)

        if not standalone_mode:
            return command()
        sys.exit(exit_code(command, as_json="--json" in given, typed=given))

    def invoke(self, ctx: click.Context) -> Any:
        """Do the command. The library would answer Ctrl-C with an empty line."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            raise Stopped from None


def exit_code(command: Callable[[], Any], *, as_json: bool, typed: Sequence[str]) -> int:
    """Run a command to its end and say how it ended, in a number and, where something is wrong, in words.

    typed: the words of the command line, for saying what was mistyped.
    """
    try:
        result = command()
        sys.stdout.flush()
    except KerftoneError as error:
        words = words_of(error)
        return _tell(words, refusal_record(error, words), as_json=as_json)
    except click.UsageError as error:
        slip = slip_words(error, typed)
        return _tell(slip, {"kind": "UsageError", "message": slip}, as_json=as_json)
    except ImportError as error:
        message = _missing_library(error)
        if message is None:
            raise
        return _tell(message, {"kind": "MissingLibrary", "message": message}, as_json=as_json)
    except (KeyboardInterrupt, Stopped, click.Abort):
        return STOPPED
    except BrokenPipeError:
        # Whoever read our output has gone; a second complaint at exit would help nobody.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return result if isinstance(result, int) else DONE


def words_of(error: KerftoneError) -> str:
    """A refusal as a terminal tells it: its words, then its remedies as commands and options."""
    return str(error) + "".join(map(remedy_words, error.remedies))


def remedy_words(remedy: Remedy | None) -> str:
    """A remedy after other words; nothing where there is none. Held by tests/cli/test_failure.py."""
    return "" if remedy is None else f" {declarations()['remedies'][remedy]}"


def _tell(message: str, error: dict[str, object], *, as_json: bool) -> int:
    say(f"kerftone: {message}", wrap=False)
    if as_json:
        emit({"error": error})
    return MISTAKE


def _missing_library(error: ImportError) -> str | None:
    """What to do when the system lacks a library that a wheel leans on; None when that is not the trouble."""
    reason = str(error)
    if "cannot open shared object file" not in reason:
        return None
    return (
        f"The solver cannot be loaded: {reason}. A library of the system is missing, libquadmath "
        "as a rule. On Debian and its kin run `apt install libquadmath0`, then try again."
    )
