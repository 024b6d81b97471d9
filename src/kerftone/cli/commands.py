"""The commands that do more than hand what was typed to one job and show its result."""

from __future__ import annotations

from collections.abc import Mapping

from kerftone.cli.command import Typed, Work
from kerftone.cli.screen import say
from kerftone.errors import KerftoneError


def open_page(typed: Typed) -> None:
    """The page, or a starter for it."""
    if typed["shortcut"]:
        from kerftone.app.shortcut import make_shortcut

        say(f"{make_shortcut(typed['folder'])} opens the page with a double click.", wrap=False)
        return
    from kerftone.app.serve import ServeRequest, serve

    serve(typed.request(ServeRequest), lambda where: say(f"{where}  (Ctrl-C ends it)", wrap=False))


def listen(typed: Typed) -> int:
    """Taps in recordings, or from the microphone. Raises KerftoneError."""
    from kerftone.jobs.expected_taps import TapsRequest

    request = typed.request(TapsRequest)
    if not typed["live"]:
        from kerftone.cli.recording_words import show_recordings
        from kerftone.jobs.hear_taps import hear_taps

        if not request.files:
            raise KerftoneError(
                "Nothing to listen to. Name a recording, such as tap.wav, or listen with --live."
            )
        return typed.run(hear_taps, request, show_recordings)
    if request.files or request.picture or typed["json"]:
        raise KerftoneError(
            "--live listens to the microphone until it is stopped, so it takes no file, --json or --picture. "
            "Record first, then listen to the file."
        )
    from kerftone.cli.live import run_live

    return run_live(request)


WORK: Mapping[str, Work] = {"open": open_page, "listen": listen}
"""By the words after `kerftone`."""
