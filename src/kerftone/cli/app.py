"""The command line: all commands put together from their declarations, and what `kerftone` alone does."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kerftone import __version__
from kerftone.cli import bench_commands, commands  # noqa: F401 - each marks its commands
from kerftone.cli.command import add_commands
from kerftone.cli.declarations import help_of
from kerftone.cli.failure import Answering

app = typer.Typer(
    name="kerftone",
    cls=Answering,
    help=help_of(""),
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"kerftone {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def kerftone(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Say which version this is."),
    ] = False,
) -> None:
    """Take the options that stand before a command; without one, say where the drums here stand, or show the help."""
    if context.invoked_subcommand is not None:
        return
    from kerftone.cli.here import show_here
    from kerftone.jobs.drums_here import DrumsRequest, drums_here

    found = drums_here(DrumsRequest(folder=Path()))
    if found.drums:
        show_here(found)
    else:
        typer.echo(context.get_help())


add_commands(app)
