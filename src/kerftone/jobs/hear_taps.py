"""What do the taps in these recordings say?

Each file is heard on its own. When several are named and one cannot be heard, its refusal stands in its place and
the others are heard all the same. The solver is loaded only where a drum is named.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.errors import KerftoneError, RecordingError, WriteError
from kerftone.jobs.expected_taps import ExpectedTaps, TapsRequest, expect_taps, place_strikes, tone_there
from kerftone.jobs.paths import check_target
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.recording_heard import PlacedStrike, RecordingHeard
from kerftone.jobs.refusal import refusal_record

if TYPE_CHECKING:
    from kerftone.ear.hear_recording import Watch
    from kerftone.ear.heard import Strike
    from kerftone.ear.recording import About, Array
    from kerftone.ear.spectrogram import Spectrogram

SAME_STRIKE_S = 0.05
"""Two hearings of one recording have a strike in common when they place it this near: strikes are further apart."""
TELL_EACH_S = 600.0
"""A long recording tells how far it is every ten minutes of it."""


@dataclass(frozen=True, kw_only=True)
class RecordingsHeard:
    """Each file with what was heard in it or why it could not be; and the picture, if one was drawn."""

    files: tuple[tuple[Path, RecordingHeard | RecordingError], ...]
    picture: Path | None = None

    @property
    def refused(self) -> tuple[RecordingError, ...]:
        """Why files could not be heard."""
        return tuple(heard for _, heard in self.files if isinstance(heard, RecordingError))

    def document(self) -> dict[str, Any]:
        """As JSON: one file gives one object, several give a list under "files"."""
        if len(self.files) == 1 and isinstance(self.files[0][1], RecordingHeard):
            return self.files[0][1].document()
        return {"files": [{"file": str(file), **_told(heard)} for file, heard in self.files]}


def _told(heard: RecordingHeard | RecordingError) -> dict[str, Any]:
    return {"error": refusal_record(heard)} if isinstance(heard, RecordingError) else heard.document()


@job
def hear_taps(request: TapsRequest, progress: Progress) -> RecordingsHeard:
    """Hear every file. Raises RecordingError when there is one file and it cannot be heard."""
    _check_picture(request)
    expected = expect_taps(request, progress)
    if len(request.files) == 1:
        (file,) = request.files
        heard = hear_file(file, request, expected, progress)
        return RecordingsHeard(files=((file, heard),), picture=request.picture)
    found: list[tuple[Path, RecordingHeard | RecordingError]] = []
    for file in request.files:
        try:
            found.append((file, hear_file(file, request, expected, progress)))
        except RecordingError as error:
            found.append((file, error))
    return RecordingsHeard(files=tuple(found))


def _check_picture(request: TapsRequest) -> None:
    """Refuse a picture that could not be drawn in the end. Raises KerftoneError and WriteError."""
    picture = request.picture
    if picture is None:
        return
    if len(request.files) > 1:
        raise KerftoneError(
            f"A picture shows one recording, and {len(request.files)} are named. Listen to them one by one.",
            given=len(request.files),
            limit=1,
        )
    for file in request.files:
        if os.path.realpath(file) == os.path.realpath(picture):
            raise WriteError(
                f"{picture} is the recording itself. A picture never replaces it: choose another name.",
                given=str(picture),
            )
    ending = ".svg" if picture.suffix.lower() == ".svg" else ".png"
    check_target(picture, ending=ending, drum=request.drum or Path("drum.toml"))


def hear_file(file: Path, request: TapsRequest, expected: ExpectedTaps, progress: Progress) -> RecordingHeard:
    """Hear one file and draw it where that is asked. Raises RecordingError, also when no strike is in it.

    Parameters
    ----------
    file : Path
        The recording.
    request : TapsRequest
        What was asked for.
    expected : ExpectedTaps
        Where the tongues should sound.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.ear.hear_recording import hear_recording

    pictures: list[Spectrogram] = []
    heard, about = hear_recording(
        file,
        part=request.part,
        around_hz=expected.around_hz,
        within_cents=expected.within_cents,
        watch=_watch(file, pictures if request.picture is not None else None, progress),
    )
    strikes, shift = place_strikes(heard.strikes, expected)
    if expected.around_hz and any(not math.isfinite(one.strike.hz) for one in strikes):
        anywhere, _ = hear_recording(file, part=request.part)
        strikes = tuple(_with_tone_there(one, anywhere.strikes, expected) for one in strikes)
    found = RecordingHeard(
        file=str(file),
        heard=heard,
        strikes=strikes,
        reference_hz=expected.reference_hz,
        shift_cents=shift,
        remarks=_remarks(about, shift),
    )
    if request.picture is not None:
        _draw(request.picture, found, pictures[0])
        progress(f"Wrote {request.picture}: the recording with its strikes.")
    return found


def _with_tone_there(
    placed: PlacedStrike, anywhere: Sequence[Strike], expected: ExpectedTaps
) -> PlacedStrike:
    """A strike without a tone where one was looked for, with what it sounds elsewhere told among its doubts."""
    if math.isfinite(placed.strike.hz):
        return placed
    there = [
        one for one in anywhere if abs(one.t_s - placed.strike.t_s) <= SAME_STRIKE_S and math.isfinite(one.hz)
    ]
    return replace(placed, doubt=placed.doubt + tuple(tone_there(one.hz, expected) for one in there[:1]))


def _watch(file: Path, pictures: list[Spectrogram] | None, progress: Progress) -> Watch:
    """The same blocks, drawn where a picture is wanted; long recordings tell how far they are."""

    def watched(blocks: Iterator[Array], about: About) -> Iterator[Array]:
        if pictures is not None:
            from kerftone.ear.spectrogram import Spectrogram

            pictures.append(Spectrogram(about.sample_rate))
        frames, next_tell = 0, TELL_EACH_S
        for block in blocks:
            for picture in pictures or ():
                picture.take(block)
            yield block
            frames += len(block)
            heard_s = frames / about.sample_rate
            if heard_s >= next_tell:
                minutes = f"{next_tell / 60:.0f} of {about.seconds / 60:.0f} minutes"
                progress(f"{file}: {minutes} heard.", min(1.0, heard_s / about.seconds))
                next_tell += TELL_EACH_S

    return watched


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


def _draw(target: Path, found: RecordingHeard, picture: Spectrogram) -> None:
    from kerftone.draw.hearing import HearingMap, Mark, hearing_png, hearing_svg
    from kerftone.files import atomic_write

    levels = picture.levels()
    marks = [
        Mark(
            t_s=one.strike.t_s,
            hz=one.strike.hz,
            t60_s=one.strike.t60_s,
            name=_name(one, found.reference_hz),
            doubtful=bool(one.doubt),
        )
        for one in found.strikes
    ]
    shown = HearingMap(
        title=Path(found.file).name, db=levels.db, edges_hz=levels.edges_hz, column_s=levels.column_s
    )
    written = hearing_svg if target.suffix.lower() == ".svg" else hearing_png
    atomic_write(target, written(shown, marks))


def _name(placed: PlacedStrike, reference_hz: float) -> str:
    note = placed.named(reference_hz)
    if note is None:
        return ""
    place = "" if placed.aim is None else f"{placed.aim.place} "
    cents = f"{note[1]:+.0f}".replace("-", "\N{MINUS SIGN}")
    return f"{place}{note[0]} {'0' if cents[1:] == '0' else cents}"
