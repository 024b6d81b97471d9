"""`kerftone listen` in words: a table of strikes, then the taps of one tongue taken together."""

from __future__ import annotations

from kerftone.cli.screen import WIDTH, Table, say, show, show_table
from kerftone.jobs.hear_taps import RecordingsHeard
from kerftone.jobs.recording_heard import RecordingHeard
from kerftone.jobs.strike_words import StrikeTold, buzz_words, doubts_lettered, strikes_told, taps_told

TOLD: Table[StrikeTold] = {
    ">Time\ns": lambda one: one.time_s,
    ">Taps": lambda one: one.taps,
    "Tongue": lambda one: one.tongue,
    "Note": lambda one: one.note,
    ">Cents": lambda one: one.cents,
    ">±": lambda one: one.plus_minus,
    ">Hz": lambda one: one.hz,
    ">Drift\ncents": lambda one: one.drift,
    ">T60\ns": lambda one: one.t60_s,
    ">Loud\ndB": lambda one: one.loud_db,
    "Doubt": lambda one: one.doubts,
}


def show_recordings(done: RecordingsHeard) -> None:
    """Every recording that could be heard."""
    for number, heard in enumerate(heard for _, heard in done.files if isinstance(heard, RecordingHeard)):
        if number:
            show("")
        show_recording(heard)


def show_recording(recording: RecordingHeard) -> None:
    """One recording: its strikes, the taps of one tongue together, and remarks."""
    facts = recording.facts()
    fits = len(recording.file) + len(facts) + 2 <= WIDTH
    show(f"{recording.file}:{' ' if fits else chr(10)}{facts}", "", wrap=False)
    unknown = set() if any(one.aim is not None for one in recording.strikes) else {"Tongue"}
    _show(strikes_told(recording), unknown | {">Taps"})
    together, doubts = taps_told(recording), doubts_lettered(recording)
    if together:
        show("", "Taps of one tongue together (median):")
        _show(together, unknown | {">Time\ns", ">Loud\ndB", "Doubt"})
    if doubts:
        show("", *(f"{letter}  {words}" for words, letter in doubts.items()))
    show(*buzz_words(recording))
    say(*recording.remarks)


def _show(told: list[StrikeTold], without: set[str]) -> None:
    show_table({head: cell for head, cell in TOLD.items() if head not in without}, told)
