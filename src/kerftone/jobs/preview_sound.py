"""What will the drum sound like? Its tongues in turn, then a phrase, as a sound file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.drum.file import read_drum
from kerftone.files import atomic_write
from kerftone.jobs.air_asked import USUAL_AIR, AirAsked
from kerftone.jobs.paths import check_target, drum_path
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.progress import Progress, job
from kerftone.modal.shelf import shelf_beside

if TYPE_CHECKING:
    from kerftone.modal.result import Modes
    from kerftone.sound.mallet import Mallet
    from kerftone.sound.render import Preview


KNOCK_MODES = 64
"""So many motions of the drum are heard: to some 3 kHz on a drum of six tongues. The first twenty end about 1 kHz,
and without the rest a hard blow has no knock: those above are short, and a soft mallet hardly moves them."""


@dataclass(frozen=True, kw_only=True)
class SoundRequest:
    """Which drum, the .wav file to write, the mallet by its name, and in which air (None: in vacuo)."""

    drum: Path
    output: Path
    mallet: str = "hard-rubber"
    air: AirAsked | None = USUAL_AIR


@dataclass(frozen=True, kw_only=True)
class SoundPreviewed:
    """The file and the sound in it."""

    written: Path
    preview: Preview

    @property
    def seconds(self) -> float:
        """How long the sound is."""
        return len(self.preview.samples) / self.preview.rate_hz

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "written": [str(self.written)],
            "seconds": round(self.seconds, 3),
            "mallet": self.preview.mallet.name,
        }


@job
def preview_sound(request: SoundRequest, progress: Progress) -> SoundPreviewed:
    """Write the sound of a drum. Refuses a mallet, a file or a drum that will not do before any long work."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.wav import wav_bytes

    path = drum_path(request.drum)
    mallet = mallet_named(request.mallet)
    check_target(request.output, ending=".wav", drum=path)
    drum = read_drum(path)
    progress("Solving the drum, its overtones too; the next mallet is quicker.")
    heard = predict(drum, count=KNOCK_MODES, shelf=shelf_beside(path), air=request.air)
    preview = preview_of(heard, mallet)
    atomic_write(request.output, wav_bytes(preview))
    return SoundPreviewed(written=request.output, preview=preview)


def preview_of(prediction: Prediction, mallet: Mallet | None = None) -> Preview:
    """The drum's sound, its tongues in turn from the lowest note up, then a phrase."""
    from kerftone.sound.mallet import HARD_RUBBER
    from kerftone.sound.render import render

    order = sorted(range(len(prediction.tongues)), key=lambda number: prediction.tongues[number].heard.hz)
    return render(modes_heard(prediction), prediction.drum.top, mallet=mallet or HARD_RUBBER, order=order)


def modes_heard(prediction: Prediction) -> Modes:
    """The modes as a listener in front of the drum has them: by what they radiate; in vacuo by what the tongues
    push."""
    from kerftone.sound.radiated import radiated

    air = prediction.in_air
    return prediction.modes if air is None else radiated(air.modes, air.q)
