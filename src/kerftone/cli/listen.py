"""`kerftone listen`: what the taps in a recording say.

Each file is heard on its own. When several are named and one cannot be heard, that one is told and the others
are heard all the same; the exit code is then 2. Heavy libraries are loaded only where they are needed: the
solver for a drum, matplotlib for a picture.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kerftone.cli.failure import DONE, MISTAKE, body
from kerftone.cli.heard import Report, Said, document, named, show_report
from kerftone.cli.hints import Asked, Hints, hints_for, match
from kerftone.cli.place import check_target
from kerftone.cli.screen import emit, say, show
from kerftone.errors import KerftoneError, RecordingError, WriteError

if TYPE_CHECKING:
    from kerftone.ear.recording import About
    from kerftone.ear.spectrogram import Spectrogram

TELL_EACH_S = 600.0


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
