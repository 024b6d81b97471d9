"""The commands that do more than hand what was typed to one job and show its result."""

from __future__ import annotations

from collections.abc import Mapping

from kerftone.cli.command import Typed, Work
from kerftone.errors import EntryError, KerftoneError


def open_page(typed: Typed) -> None:
    """The page, or a starter for it."""
    from kerftone.cli.screen import say

    if typed["shortcut"]:
        from kerftone.app.shortcut import make_shortcut

        say(f"{make_shortcut(typed['folder'])} opens the page with a double click.")
        return
    from kerftone.app.serve import ServeRequest, serve

    serve(typed.request(ServeRequest), lambda where: say(f"{where}  (Ctrl-C ends it)"))


def listen(typed: Typed) -> int:
    """Taps in recordings, or from the microphone."""
    from kerftone.jobs.expected_taps import TapsRequest

    request = typed.request(TapsRequest)
    if not typed["live"]:
        from kerftone.cli.recording_words import run

        return run(request, as_json=typed["json"])
    if request.files or request.picture or typed["json"]:
        raise KerftoneError(
            "--live listens to the microphone until it is stopped, so it takes no file, --json or --picture. "
            "Record first, then listen to the file."
        )
    from kerftone.cli.live import run_live

    return run_live(request)


def tap(typed: Typed) -> int:
    """What a tongue sounded, in hertz or in a recording."""
    from kerftone.cli.bench_words import show_recorded, show_take
    from kerftone.jobs.record_fact import TapRequest, record_tap
    from kerftone.jobs.record_taps import TakeRequest, record_taps

    _check_told(typed)
    if typed["recording"] is None:
        return typed.run(record_tap, typed.request(TapRequest), show_recorded)
    return typed.run(record_taps, typed.request(TakeRequest), show_take)


def _check_told(typed: Typed) -> None:
    """Refuse a tap that does not say what was heard, or says it twice. Raises EntryError."""
    hz, recording, instead_of = typed["hz"], typed["recording"], typed["instead_of"]
    if (hz is None) == (recording is None):
        given = "neither --hz nor --recording is" if hz is None else "--hz and --recording are both"
        raise EntryError(
            f"For this tap {given} given. One of them says what was heard: --hz 231.4, or --recording take.wav."
        )
    if recording is None and typed["tongue"] is None:
        raise EntryError(
            f"{hz:g} Hz was heard, and no tongue is named. Only a recording can be matched to the tongues: add "
            "--tongue and its place, note or number, such as --tongue L1.",
            given=hz,
        )
    if recording is not None and instead_of is not None:
        raise EntryError(
            f"--instead-of {instead_of} mends one entry, and a recording may hold many taps. Void the entry "
            "with `kerftone bench void`, then record the taps.",
            given=instead_of,
        )


def log(typed: Typed) -> int:
    """Every entry, as a table, CSV or JSON."""
    from kerftone.cli.bench_words import show_csv, show_log
    from kerftone.jobs.read_log import ReadLogRequest, read_log

    if typed["as_csv"] and typed["json"]:
        raise EntryError("Both --csv and --json are given. The log is printed in one form: leave one out.")
    return typed.run(read_log, typed.request(ReadLogRequest), show_csv if typed["as_csv"] else show_log)


WORK: Mapping[str, Work] = {"open": open_page, "listen": listen, "bench tap": tap, "bench log": log}
"""By the words after `kerftone`."""
