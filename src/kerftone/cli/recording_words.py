"""`kerftone listen` in words: a table of strikes, then the taps of one tongue taken together."""

from __future__ import annotations

from kerftone.cli.command import told
from kerftone.cli.failure import DONE, MISTAKE, words_of
from kerftone.cli.screen import WIDTH, Column, emit, say, show, show_table
from kerftone.errors import KerftoneError, RecordingError
from kerftone.jobs.expected_taps import TapsRequest
from kerftone.jobs.hear_taps import hear_taps
from kerftone.jobs.recording_heard import RecordingHeard
from kerftone.jobs.strike_words import StrikeTold, buzz_words, doubts_lettered, strikes_told, taps_told

TONGUE: Column[StrikeTold] = Column("Tongue", lambda one: one.tongue)
TIME: Column[StrikeTold] = Column("Time\ns", lambda one: one.time_s, number=True)
TAPS: Column[StrikeTold] = Column("Taps", lambda one: one.taps, number=True)
PITCH: tuple[Column[StrikeTold], ...] = (
    Column("Note", lambda one: one.note),
    Column("Cents", lambda one: one.cents, number=True),
    Column("±", lambda one: one.plus_minus, number=True),
    Column("Hz", lambda one: one.hz, number=True),
    Column("Drift\ncents", lambda one: one.drift, number=True),
    Column("T60\ns", lambda one: one.t60_s, number=True),
)
OF_EACH: tuple[Column[StrikeTold], ...] = (
    Column("Loud\ndB", lambda one: one.loud_db, number=True),
    Column("Doubt", lambda one: one.doubts),
)


def run(request: TapsRequest, *, as_json: bool) -> int:
    """Hear every file; the exit code says whether all of them could be heard."""
    if not request.files:
        raise KerftoneError("Nothing to listen to. Name a recording, such as tap.wav, or listen with --live.")
    done = hear_taps(request, told())
    if done.picture is not None:
        say(f"Wrote {done.picture}: the recording with its strikes.")
    for number, (_, heard) in enumerate(done.files):
        if isinstance(heard, RecordingError):
            say(f"kerftone: {words_of(heard)}")
        elif not as_json:
            if number:
                show("")
            show_recording(heard)
    if as_json:
        emit(done.document())
    return DONE if done.all_heard else MISTAKE


def show_recording(recording: RecordingHeard) -> None:
    """One recording: its strikes, the taps of one tongue together, and remarks."""
    facts = recording.facts()
    fits = len(recording.file) + len(facts) + 2 <= WIDTH
    show(f"{recording.file}:{' ' if fits else chr(10)}{facts}")
    show("")
    tongue = (TONGUE,) if any(one.aim is not None for one in recording.strikes) else ()
    show_table((TIME, *tongue, *PITCH, *OF_EACH), strikes_told(recording))
    together, doubts = taps_told(recording), doubts_lettered(recording)
    if together:
        show("")
        show("Taps of one tongue together (median):")
        show_table((TAPS, *tongue, *PITCH), together)
    if doubts:
        show("")
    for words, letter in doubts.items():
        show(f"{letter}  {words}")
    for words in buzz_words(recording):
        show(words, wrap=True)
    for remark in recording.remarks:
        say(remark, wrap=True)
