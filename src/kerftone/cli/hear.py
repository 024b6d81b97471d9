"""`kerftone hear`: the drum as a sound file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.cli.answer import Answer, answer
from kerftone.cli.place import check_target, drum_file
from kerftone.cli.screen import emit, say, show
from kerftone.drum.file import read_drum
from kerftone.files import atomic_write

if TYPE_CHECKING:
    from kerftone.sound.mallet import Mallet
    from kerftone.sound.render import Preview


def run(given: Path, output: Path, *, mallet: str, as_json: bool) -> None:
    """Write the sound of a drum into a WAV file."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.wav import wav_bytes

    path = drum_file(given)
    struck_with = mallet_named(mallet)
    check_target(output, ending=".wav", drum=path)
    drum = read_drum(path)
    say("Solving the drum; this takes some seconds.")
    preview = preview_of(answer(drum), struck_with)
    atomic_write(output, wav_bytes(preview))
    seconds = len(preview.samples) / preview.rate_hz
    if as_json:
        emit({"written": [str(output)], "seconds": round(seconds, 3), "mallet": struck_with.name})
        return
    show(f"Wrote {output}: {seconds:.1f} s at {preview.rate_hz / 1000:g} kHz.")
    say(preview.in_words())


def preview_of(said: Answer, mallet: Mallet | None = None) -> Preview:
    """The drum's sound, its tongues in turn from the lowest note up, then a phrase."""
    from kerftone.sound.mallet import HARD_RUBBER
    from kerftone.sound.render import render

    order = sorted(range(len(said.tongues)), key=lambda number: said.tongues[number].heard.hz)
    return render(said.solution.modes(), said.drum.top, mallet=mallet or HARD_RUBBER, order=order)
