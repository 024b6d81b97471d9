"""`kerftone open`: the page, on this computer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def open_page(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="[FOLDER]",
            help="A drum's folder, or a folder of drums. Without it: Kerftone in your home, made if missing.",
        ),
    ] = None,
    port: Annotated[
        int,
        typer.Option("--port", metavar="N", min=0, max=65535, help="The port to listen on; 0: a free one."),
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Whether to open it in your browser.")
    ] = True,
    shortcut: Annotated[
        bool, typer.Option("--shortcut", help="Put a starter for it on your desktop, and end.")
    ] = False,
) -> None:
    """Open the page: design, hear and plan a drum in your browser.

    It runs on this computer alone and needs no network. Everything it does lands in the same drum.toml. Ctrl-C ends
    it.
    """
    from kerftone.cli.screen import say

    if shortcut:
        from kerftone.app.shortcut import make_shortcut

        say(f"{make_shortcut(folder)} opens the page with a double click.")
        return
    from kerftone.app.serve import ServeRequest, serve

    serve(
        ServeRequest(folder=folder, port=port, browser=browser),
        lambda where: say(f"{where}  (Ctrl-C ends it)"),
    )
