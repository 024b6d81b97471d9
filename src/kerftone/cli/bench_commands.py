"""The commands at the bench: recordings heard, a board measured, the log of a drum.

What each takes and its help stand in `bench_commands.toml`; its work is a job (`kerftone.jobs`) and is loaded only
when it runs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kerftone.cli.command import Typed, command
from kerftone.errors import EntryError, KerftoneError

if TYPE_CHECKING:
    from kerftone.jobs.progress import Job
    from kerftone.jobs.record_fact import FactRecorded


@command("listen")
def listen(typed: Typed) -> int:
    """Taps in recordings, or from the microphone."""
    from kerftone.jobs.expected_taps import TapsRequest

    request = typed.request(TapsRequest, files=tuple(typed["files"] or ()))
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


@command("board new")
def board_new(typed: Typed) -> int:
    """A new board file."""
    from kerftone.cli.board_words import show_measured
    from kerftone.jobs.measure_board import BoardRequest, measure_board

    lengths = (typed["length"], typed["width"], typed["thickness"])
    return typed.run(measure_board, typed.request(BoardRequest, lengths=lengths), show_measured)


@command("board tap")
def board_tap(typed: Typed) -> int:
    """Where to hold and tap a board; the tones heard."""
    from kerftone.cli.board_words import show_tapped
    from kerftone.jobs.measure_board import BoardTapsRequest, tap_board

    request = typed.request(BoardTapsRequest, hz=tuple(typed["hz"] or ()))
    return typed.run(tap_board, request, lambda done: show_tapped(done, request))


@command("board fit")
def board_fit(typed: Typed) -> int:
    """The constants of a board."""
    from kerftone.cli.board_words import show_fitted
    from kerftone.jobs.fit_board import BoardFitRequest, fit_board

    return typed.run(fit_board, typed.request(BoardFitRequest), show_fitted)


@command("bench start")
def start(typed: Typed) -> int:
    """The log begins."""
    from kerftone.cli.bench_words import show_started
    from kerftone.jobs.start_log import StartRequest, start_the_log

    return typed.run(start_the_log, typed.request(StartRequest), show_started)


@command("bench tap")
def tap(typed: Typed) -> int:
    """What a tongue sounded, in hertz or in a recording."""
    from kerftone.cli.bench_words import show_take
    from kerftone.jobs.record_fact import Struck, TapRequest, record_tap
    from kerftone.jobs.record_taps import TakeRequest, record_taps

    _check_told(typed)
    bottom = "glued" if typed["bottom"] == "on" else typed["bottom"]
    top_glued = None if typed["top"] is None else typed["top"] == "glued"
    struck = typed.request(Struck, bottom=bottom, top_glued=top_glued)
    if typed["recording"] is None:
        return _record(typed, record_tap, TapRequest, struck=struck)
    return typed.run(record_taps, typed.request(TakeRequest, struck=struck), show_take)


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


def _record(typed: Typed, job: Job[Any, FactRecorded], request: type, **more: Any) -> int:
    """One fact told to the log, whether it is sure and which entry it mends."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import Manner

    if "instead_of" in typed.values:
        more["manner"] = typed.request(Manner)
    return typed.run(job, typed.request(request, **more), show_recorded)


@command("bench bore")
def bore(typed: Typed) -> int:
    """A pocket bored."""
    from kerftone.jobs.record_fact import BoreRequest, record_bore

    return _record(typed, record_bore, BoreRequest)


@command("bench lengthen")
def lengthen(typed: Typed) -> int:
    """Slots sawn further."""
    from kerftone.jobs.record_fact import CutRequest, record_cut

    return _record(typed, record_cut, CutRequest, kind="lengthen")


@command("bench trim")
def trim(typed: Typed) -> int:
    """A tip taken back."""
    from kerftone.jobs.record_fact import CutRequest, record_cut

    return _record(typed, record_cut, CutRequest, kind="trim")


@command("bench weight")
def weight(typed: Typed) -> int:
    """A weight fixed."""
    from kerftone.jobs.record_fact import WeightRequest, record_weight

    return _record(typed, record_weight, WeightRequest)


@command("bench note")
def note(typed: Typed) -> int:
    """Anything else."""
    from kerftone.jobs.record_fact import NoteRequest, record_note

    return _record(typed, record_note, NoteRequest)


@command("bench void")
def void(typed: Typed) -> int:
    """A slip that does not count."""
    from kerftone.jobs.record_fact import VoidRequest, void_entry

    return _record(typed, void_entry, VoidRequest)


@command("bench log")
def log(typed: Typed) -> int:
    """Every entry, as a table, CSV or JSON."""
    from kerftone.cli.bench_words import show_csv, show_log
    from kerftone.jobs.read_log import ReadLogRequest, read_log

    if typed["as_csv"] and typed["json"]:
        raise EntryError("Both --csv and --json are given. The log is printed in one form: leave one out.")
    return typed.run(read_log, typed.request(ReadLogRequest), show_csv if typed["as_csv"] else show_log)


@command("bench status")
def status(typed: Typed) -> int:
    """Where every tongue stands."""
    from kerftone.cli.bench_words import show_standing
    from kerftone.jobs.bench_standing import StandingRequest, read_standing

    return typed.run(read_standing, typed.request(StandingRequest), show_standing)


@command("bench map")
def bore_map(typed: Typed) -> int:
    """The underside with what a bore does."""
    from kerftone.cli.bench_words import show_map
    from kerftone.jobs.map_bores import MapRequest, map_bores

    return typed.run(map_bores, typed.request(MapRequest), show_map)


@command("bench next")
def next_step(typed: Typed) -> int:
    """What to do next."""
    from kerftone.cli.bench_words import show_advice
    from kerftone.jobs.advise_next import AdviceRequest, advise_next

    return typed.run(advise_next, typed.request(AdviceRequest), show_advice)
