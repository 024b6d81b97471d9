"""`kerftone listen` in words: a table of strikes, then the taps of one tongue taken together.

Digits stop where the ± does: the ± is rounded up to one figure (two when it begins with 1), and the value to the
same place, never finer than 0.1 cent or 0.01 Hz.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from kerftone.cli.command import told
from kerftone.cli.failure import DONE, MISTAKE, words_of
from kerftone.cli.screen import WIDTH, Column, emit, say, show, show_table
from kerftone.errors import KerftoneError, RecordingError
from kerftone.jobs.expected_taps import TapsRequest
from kerftone.jobs.hear_taps import hear_taps
from kerftone.jobs.recording_heard import Aim, PlacedStrike, RecordingHeard, named, with_its_digits

CENT_OF_HZ = math.log(2.0) / 1200.0
"""A cent as a share of a frequency, for small ones."""


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
    heard = recording.heard
    many = "s" * (len(recording.strikes) != 1)
    facts = [f"{len(recording.strikes)} strike{many} in {heard.seconds:.1f} s"]
    facts += [f"noise at {heard.noise_db:.0f} dB"] if math.isfinite(heard.noise_db) else []
    facts += [f"mains hum at {heard.hum_hz:.0f} Hz"] if heard.hum_hz else []
    facts += ["clipped"] if heard.clipped else []
    facts_words = ", ".join(facts)
    fits = len(recording.file) + len(facts_words) + 2 <= WIDTH
    show(f"{recording.file}:{' ' if fits else chr(10)}{facts_words}")
    show("")
    doubts = _lettered(recording.strikes)
    with_tongues = any(one.aim is not None for one in recording.strikes)
    rows = [_row(one, recording, doubts, with_tongues) for one in recording.strikes]
    show_table(_columns(with_tongues), rows)
    _show_together(recording, with_tongues)
    if doubts:
        show("")
    for words, letter in doubts.items():
        show(f"{letter}  {words}")
    for remark in recording.remarks:
        say(remark, wrap=True)


def _columns(with_tongues: bool) -> tuple[Column, ...]:
    tongue = (Column(head="Tongue"),) if with_tongues else ()
    return (
        Column(head="Time\ns", number=True),
        *tongue,
        Column(head="Note"),
        Column(head="Cents", number=True),
        Column(head="±", number=True),
        Column(head="Hz", number=True),
        Column(head="Drift\ncents", number=True),
        Column(head="T60\ns", number=True),
        Column(head="Loud\ndB", number=True),
        Column(head="Doubt"),
    )


def _lettered(strikes: Sequence[PlacedStrike]) -> dict[str, str]:
    """Each doubt once, with the letter that stands in the table."""
    letters: dict[str, str] = {}
    for one in strikes:
        for words in one.doubt:
            at = len(letters)
            letters.setdefault(words, chr(97 + at) if at < 26 else f"{chr(96 + at // 26)}{chr(97 + at % 26)}")
    return letters


def _row(
    placed: PlacedStrike, recording: RecordingHeard, doubts: dict[str, str], with_tongues: bool
) -> tuple[str, ...]:
    strike = placed.strike
    letters = " ".join(doubts[words] for words in placed.doubt)
    start = (
        f"{strike.t_s:.2f}",
        *(("" if placed.aim is None else placed.aim.place,) if with_tongues else ()),
    )
    if not math.isfinite(strike.hz):
        return (*start, "none", "", "", "", "", "", f"{strike.loudness_db:.0f}", letters)
    cells = _pitch(strike.hz, strike.plus_minus_cents, placed.aim, recording.reference_hz)
    drift, _ = with_its_digits(strike.drift_cents, max(strike.plus_minus_cents, 0.1), signed=True)
    return (
        *start,
        *cells,
        drift if strike.drift_cents else "",
        _ring(strike.t60_s),
        f"{strike.loudness_db:.0f}",
        letters,
    )


def _pitch(hz: float, plus_minus_cents: float, aim: Aim | None, reference_hz: float) -> tuple[str, ...]:
    note, off = named(hz, aim, reference_hz)
    off_words, spread_words = with_its_digits(off, plus_minus_cents, signed=True)
    hz_words, _ = with_its_digits(hz, plus_minus_cents * hz * CENT_OF_HZ, least=2)
    return note, off_words, spread_words, hz_words


def _ring(t60_s: float) -> str:
    decimals = 2 if t60_s < 1.0 else 1 if t60_s < 10.0 else 0
    return f"{t60_s:.{decimals}f}" if math.isfinite(t60_s) else ""


def _show_together(recording: RecordingHeard, with_tongues: bool) -> None:
    groups = recording.grouped()
    if all(taps.taps == 1 for _, taps in groups):
        return
    show("")
    show("Taps of one tongue together (median):")
    columns = _columns(with_tongues)
    head = (Column(head="Taps", number=True), *columns[1:-2])
    rows = [
        (
            str(taps.taps),
            *(("" if aim is None else aim.place,) if with_tongues else ()),
            *_pitch(taps.hz, taps.plus_minus_cents, aim, recording.reference_hz),
            with_its_digits(taps.drift_cents, max(taps.plus_minus_cents, 0.1), signed=True)[0]
            if taps.drift_cents
            else "",
            _ring(taps.t60_s),
        )
        for aim, taps in groups
    ]
    show_table(head, rows)
