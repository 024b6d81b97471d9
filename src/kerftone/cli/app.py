"""The command line: all commands put together from their declarations, and what `kerftone` alone does."""

from __future__ import annotations

from pathlib import Path

import click

from kerftone import __version__
from kerftone.cli.command import add_commands
from kerftone.cli.commands import WORK
from kerftone.cli.declarations import help_of
from kerftone.cli.failure import Answering


@click.group(
    "kerftone",
    cls=Answering,
    help=help_of(""),
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, message="kerftone %(version)s")
@click.pass_context
def app(context: click.Context) -> None:
    """Without a command, say where the drums here stand, or show the help."""
    if context.invoked_subcommand is not None:
        return
    from kerftone.cli.here import show_here
    from kerftone.jobs.drums_here import DrumsRequest, drums_here

    found = drums_here(DrumsRequest(folder=Path()))
    if found.drums:
        show_here(found)
    else:
        click.echo(context.get_help())


add_commands(app, WORK)
