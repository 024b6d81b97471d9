"""`kerftone listen`: what the taps in a recording say.

Each file is heard on its own. When several are named and one cannot be heard, that one is told and the others
are heard all the same; the exit code is then 2. Heavy libraries are loaded only where they are needed: the
solver for a drum, matplotlib for a picture.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kerftone.cli.failure import DONE, MISTAKE, body
from kerftone.cli.heard import Aim, Report, Said, document, named, show_report
from kerftone.cli.place import check_target, drum_file
from kerftone.cli.screen import emit, say, show
from kerftone.errors import KerftoneError, NoteError, RecordingError, WriteError
from kerftone.pitch import equal_hz, note_number

if TYPE_CHECKING:
    from kerftone.ear.recording import About
    from kerftone.ear.result import Strike
    from kerftone.ear.spectrogram import Spectrogram
    from kerftone.tune.match import Expected

LOWEST_HZ, HIGHEST_HZ = 40.0, 5000.0
LOWEST_REFERENCE_HZ, HIGHEST_REFERENCE_HZ = 380.0, 500.0
AROUND_CENTS = 150.0
USUAL_REFERENCE_HZ = 440.0
TELL_EACH_S = 600.0
NUMBER = re.compile(r"(\d+(?:\.\d*)?)\s*(?:[Hh][Zz])?", re.ASCII)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is to be heard and how: see the options of the command."""

    files: tuple[Path, ...]
    drum: Path | None = None
    tongue: int | None = None
    around: str | None = None
    reference_hz: float | None = None
    part: bool = False
    picture: Path | None = None
    live: bool = False


@dataclass(frozen=True, kw_only=True)
class Hints:
    """What is known before hearing: pitches to look near, the tongues there may be, the reference."""

    around_hz: tuple[float, ...]
    within_cents: float
    expected: tuple[Expected, ...]
    aims: dict[int, Aim]
    one: bool
    reference_hz: float


def run(asked: Asked, *, as_json: bool) -> int:
    """Hear every file, or the microphone; the exit code says whether all of them could be heard."""
    check(asked, as_json=as_json)
    hints = hints_for(asked)
    if asked.live:
        from kerftone.cli.live import run_live

        return run_live(hints)
    if len(asked.files) == 1:
        report = hear(asked.files[0], asked, hints)
        if as_json:
            emit(document(report))
        else:
            show_words(report)
        return DONE
    return _several(asked, hints, as_json=as_json)


def _several(asked: Asked, hints: Hints, *, as_json: bool) -> int:
    told: list[dict[str, object]] = []
    code = DONE
    for number, file in enumerate(asked.files):
        try:
            report = hear(file, asked, hints)
        except RecordingError as error:
            say(f"kerftone: {error}")
            told.append({"file": str(file), "error": body(error)})
            code = MISTAKE
            continue
        if as_json:
            told.append({"file": str(file), **document(report)})
            continue
        if number:
            show("")
        show_words(report)
    if as_json:
        emit({"files": told})
    return code


def check(asked: Asked, *, as_json: bool) -> None:
    """Refuse what cannot be done before any work begins."""
    if asked.live and (asked.files or asked.picture or as_json):
        raise KerftoneError(
            "--live listens to the microphone until it is stopped, so it takes no file, --json or --picture. "
            "Record first, then listen to the file."
        )
    if not asked.live and not asked.files:
        raise KerftoneError("Nothing to listen to. Name a recording, such as tap.wav, or listen with --live.")
    if asked.tongue is not None and asked.drum is None:
        raise KerftoneError(
            f"--tongue {asked.tongue} belongs to a drum, and none is named. Add --drum and the drum's file."
        )
    if asked.picture is not None:
        _check_picture(asked.picture, asked)


def _check_picture(picture: Path, asked: Asked) -> None:
    if len(asked.files) > 1:
        raise KerftoneError(
            f"--picture draws one recording, and {len(asked.files)} are named. Listen to them one by one.",
            given=len(asked.files),
            limit=1,
        )
    for file in asked.files:
        if os.path.realpath(file) == os.path.realpath(picture):
            raise WriteError(
                f"{picture} is the recording itself. A picture never replaces it: choose another name.",
                given=str(picture),
            )
    check_target(picture, ending=".png", drum=asked.drum or Path("drum.toml"), option="--picture")


def hints_for(asked: Asked) -> Hints:
    """What the options and the drum's model say before anything is heard."""
    reference = asked.reference_hz
    if reference is not None and not LOWEST_REFERENCE_HZ <= reference <= HIGHEST_REFERENCE_HZ:
        raise NoteError(
            f"The reference is {reference:g} Hz. It is the pitch of A4, {LOWEST_REFERENCE_HZ:g} to "
            f"{HIGHEST_REFERENCE_HZ:g} Hz: 440 as a rule.",
            given=reference,
            nearest=USUAL_REFERENCE_HZ,
        )
    if asked.drum is None:
        hz = reference or USUAL_REFERENCE_HZ
        return Hints(
            around_hz=around_hz(asked.around, reference_hz=hz),
            within_cents=AROUND_CENTS,
            expected=(),
            aims={},
            one=False,
            reference_hz=hz,
        )
    return _hints_of_drum(asked, asked.drum)


def _hints_of_drum(asked: Asked, given: Path) -> Hints:
    from kerftone.drum.file import read_drum

    drum = read_drum(drum_file(given))
    if asked.tongue is not None and asked.tongue > len(drum.tongues):
        raise KerftoneError(
            f"--tongue {asked.tongue} is asked for, but {drum.name} has {len(drum.tongues)} tongues. They are "
            f"counted from 1 in the order of the file.",
            given=asked.tongue,
            limit=len(drum.tongues),
            nearest=len(drum.tongues),
        )
    from dataclasses import replace

    from kerftone.cli.answer import answer
    from kerftone.ear.guard import check_path
    from kerftone.tune.match import REACH, Expected

    if asked.reference_hz is not None:
        drum = replace(drum, tuning=replace(drum.tuning, reference_hz=asked.reference_hz))
    reference = drum.tuning.reference_hz
    around = around_hz(asked.around, reference_hz=reference)
    if len(asked.files) == 1:
        check_path(asked.files[0])  # before the solve, not after it
    say("Solving the drum; this takes some seconds.")
    tongues = answer(drum).tongues
    numbered = [
        (number, one)
        for number, one in enumerate(tongues, start=1)
        if asked.tongue is None or number == asked.tongue
    ]
    expected = tuple(
        Expected(
            number=number,
            name=f"{one.tongue.place} ({one.tongue.note})",
            hz=one.heard.hz,
            plus_minus_cents=one.plus_minus_cents,
        )
        for number, one in numbered
    )
    aims = {
        number: Aim(number=number, place=one.tongue.place, note=one.tongue.note, target_hz=one.target_hz)
        for number, one in numbered
    }
    reach = max(AROUND_CENTS, REACH * max(one.plus_minus_cents for one in expected))
    return Hints(
        around_hz=around or tuple(one.hz for one in expected),
        within_cents=AROUND_CENTS if around else reach,
        expected=expected,
        aims=aims,
        one=asked.tongue is not None,
        reference_hz=reference,
    )


def around_hz(given: str | None, *, reference_hz: float) -> tuple[float, ...]:
    """The pitches meant by --around: notes or hertz, several with spaces or commas. Raises NoteError."""
    pitches = []
    for word in re.sub(r"(?i)(?<=\d)\s+(?=hz\b)", "", given or "").replace(",", " ").split():
        number = NUMBER.fullmatch(word)
        hz = float(number[1]) if number else equal_hz(note_number(word), reference_hz=reference_hz)
        if not LOWEST_HZ <= hz <= HIGHEST_HZ:
            raise NoteError(
                f"--around {word} is {hz:.6g} Hz. Strikes are heard from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz.",
                given=hz,
                limit=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
                nearest=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
            )
        pitches.append(hz)
    if given is not None and not pitches:
        raise NoteError(
            "--around is empty. Write a note or a pitch in Hz: --around D3, or --around 148.", given=given
        )
    return tuple(pitches)


def hear(file: Path, asked: Asked, hints: Hints) -> Report:
    """Hear one file and draw it where that is asked. Raises RecordingError, also when no strike is in it."""
    from kerftone.ear.guard import open_sound
    from kerftone.ear.listen import analyse_stream

    with open_sound(file, part=asked.part) as sound:
        about = sound.about
        picture = _begin_picture(about) if asked.picture is not None else None
        blocks = _watched(sound.blocks, file, about, picture)
        heard = analyse_stream(
            blocks, about.sample_rate, around_hz=hints.around_hz, hint_cents=hints.within_cents
        )
    if not heard.strikes:
        raise _nothing_heard(file, about, heard.noise_db)
    said, shift = match(heard.strikes, hints)
    report = Report(
        file=str(file),
        heard=heard,
        said=said,
        reference_hz=hints.reference_hz,
        shift_cents=shift,
        remarks=_remarks(about, shift),
    )
    if asked.picture is not None and picture is not None:
        _draw(asked.picture, report, picture)
    return report


def match(some: Sequence[Strike], hints: Hints) -> tuple[tuple[Said, ...], float | None]:
    """The strikes with their tongues; without a drum there are none."""
    if not hints.expected:
        return tuple(Said(strike=one, aim=None, doubt=one.doubt) for one in some), None
    from kerftone.tune.match import match_one, match_strikes

    found = match_one(some, hints.expected[0]) if hints.one else match_strikes(some, hints.expected)
    said = tuple(
        Said(
            strike=one,
            aim=None if matched.tongue is None else hints.aims[matched.tongue],
            doubt=one.doubt + matched.doubt,
        )
        for one, matched in zip(some, found.matches, strict=True)
    )
    return said, found.shift_cents


def _nothing_heard(file: Path, about: About, noise_db: float) -> RecordingError:
    peak_db = 20.0 * math.log10(max(about.peak, 1e-10))
    return RecordingError(
        f"no strike is heard in its {about.seconds:.1f} s: the loudest moment is at {peak_db:.0f} dB of full "
        f"scale, the quiet ones at {noise_db:.0f} dB. A strike must stand out and ring for a moment: record "
        "closer to the drum, where it is quieter, and let each tap ring out.",
        path=str(file),
        given=peak_db,
        limit=noise_db,
    )


def _remarks(about: About, shift: float | None) -> tuple[str, ...]:
    remarks = []
    if about.channels > 1:
        which = (
            {0: "left", 1: "right"}.get(about.chosen) if about.channels == 2 else f"number {about.chosen + 1}"
        )
        remarks.append(f"Of {about.channels} channels the {which} one is the better and was heard.")
    if about.broken:
        remarks.append(f"The recording breaks off after {about.seconds:.1f} s; what is there was heard.")
    if shift is not None:
        way = "above" if shift > 0 else "below"
        remarks.append(f"The drum as a whole sounds {abs(shift):.0f} cents {way} its model.")
    return tuple(remarks)


def show_words(report: Report) -> None:
    """The table, and remarks beside it."""
    show_report(report)
    for remark in report.remarks:
        say(remark, wrap=True)


def _watched(
    blocks: Iterator[NDArray[np.float64]], file: Path, about: About, picture: Spectrogram | None
) -> Iterator[NDArray[np.float64]]:
    """The same blocks, drawn where a picture is wanted; long recordings are told how far they are."""
    frames, next_tell = 0, TELL_EACH_S
    for block in blocks:
        if picture is not None:
            picture.take(block)
        yield block
        frames += len(block)
        if frames / about.sample_rate >= next_tell:
            say(f"{file}: {next_tell / 60:.0f} of {about.seconds / 60:.0f} minutes heard.")
            next_tell += TELL_EACH_S


def _begin_picture(about: About) -> Spectrogram:
    from kerftone.ear.spectrogram import Spectrogram

    return Spectrogram(about.sample_rate)


def _draw(target: Path, report: Report, picture: Spectrogram) -> None:
    from kerftone.draw.hearing import HearingMap, Mark, hearing_png
    from kerftone.files import atomic_write

    levels = picture.levels()
    marks = [
        Mark(
            t_s=one.strike.t_s,
            hz=one.strike.hz,
            t60_s=one.strike.t60_s,
            name=_name(one, report.reference_hz),
            doubtful=bool(one.doubt),
        )
        for one in report.said
    ]
    shown = HearingMap(
        title=Path(report.file).name, db=levels.db, edges_hz=levels.edges_hz, column_s=levels.column_s
    )
    atomic_write(target, hearing_png(shown, marks))
    say(f"Wrote {target}: the recording with its strikes.")


def _name(said: Said, reference_hz: float) -> str:
    if not math.isfinite(said.strike.hz):
        return ""
    note, off = named(said.strike.hz, said.aim, reference_hz)
    place = "" if said.aim is None else f"{said.aim.place} "
    return f"{place}{note} {off:+.0f}"
