"""What will the drum sound like? Its tongues in turn, then a phrase, as a sound file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.files import atomic_write
from kerftone.jobs.air_asked import USUAL_AIR, AirAsked
from kerftone.jobs.modes_heard import KNOCK_MODES, air_of, held_loss_of, modes_heard
from kerftone.jobs.paths import check_target, drum_path
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.ringing import rings
from kerftone.modal.shelf import Shelf, shelf_beside

if TYPE_CHECKING:
    from kerftone.jobs.pickup_heard import PickupHeard
    from kerftone.jobs.struck_places import StruckPlace
    from kerftone.modal.result import Modes
    from kerftone.sound.mallet import Mallet
    from kerftone.sound.render import Preview


Through = Literal["air", "pickup"]


@dataclass(frozen=True, kw_only=True)
class SoundRequest:
    """Which drum, the .wav file to write, the mallet by its name, and in which air (None: in vacuo).

    through: "air", to a listener in front of the drum, or "pickup", from the contact disc in the drum's file. strike:
    places to strike one after the other, as `struck_places` reads them; None: every tongue, then a phrase.
    """

    drum: Path
    output: Path
    mallet: str = "hard-rubber"
    through: Through = "air"
    strike: str | None = None
    air: AirAsked | None = USUAL_AIR


@dataclass(frozen=True, kw_only=True)
class SoundPreviewed:
    """The file, the sound in it, the notes it is made of, and how the pickup hears it where it was asked for."""

    written: Path
    preview: Preview
    heard: Prediction
    pickup: PickupHeard | None = None
    struck: tuple[str, ...] = ()

    @property
    def seconds(self) -> float:
        """How long the sound is."""
        return len(self.preview.samples) / self.preview.rate_hz

    def document(self) -> dict[str, Any]:
        """As JSON."""
        pickup = {} if self.pickup is None else {"pickup": self.pickup.document()}
        struck = {"struck": list(self.struck)} if self.struck else {}
        return (
            {
                "written": [str(self.written)],
                "seconds": round(self.seconds, 3),
                "mallet": self.preview.mallet.name,
                "rings": [one.document() for one in rings(self.heard)],
            }
            | struck
            | pickup
        )


@job
def preview_sound(request: SoundRequest, progress: Progress) -> SoundPreviewed:
    """Write the sound of a drum. Refuses a mallet, a file or a drum that will not do before any long work."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.wav import wav_bytes

    path = drum_path(request.drum)
    mallet = mallet_named(request.mallet)
    check_target(request.output, ending=".wav", drum=path)
    drum, shelf = read_drum(path), shelf_beside(path)
    if request.through == "pickup":
        from kerftone.jobs.disc_motions import check_pickup

        check_pickup(drum, request.air)
    places = _places(request, drum)
    words = "Solving the drum, its overtones too; the next mallet is quicker."
    heard = with_overtones(drum, shelf, request.air, solving=lambda: progress(words))
    preview, pickup = None, None
    if places:
        from kerftone.jobs.struck_places import struck

        preview = struck_in_turn(heard, struck(heard, places, shelf), len(places), mallet)
    elif request.through == "pickup":
        from kerftone.jobs.disc_motions import UnderDisc
        from kerftone.jobs.pickup_heard import disc_motions, pickup_heard, through_pickup

        motions = disc_motions(heard, UnderDisc(heard, shelf))
        preview = preview_of(heard, mallet, through_pickup(heard, motions))
        pickup = pickup_heard(heard, motions)
    else:
        preview = preview_of(heard, mallet)
    atomic_write(request.output, wav_bytes(preview))
    names = tuple(place.name for place in places)
    return SoundPreviewed(written=request.output, preview=preview, heard=heard, pickup=pickup, struck=names)


def _places(request: SoundRequest, drum: Drum) -> tuple[StruckPlace, ...]:
    """The places that are struck, where some were named. Raises EntryError, SoundError."""
    if request.strike is None:
        return ()
    from kerftone.jobs.struck_places import struck_places
    from kerftone.sound.render import SoundError

    if request.through == "pickup":
        raise SoundError(
            "Places to strike were named, and the pickup to hear through. What a knock does to the pickup is told by "
            "itself: leave one of the two out.",
            given=request.strike,
        )
    wood = drum if request.air is None else request.air.wood(drum)
    return struck_places(wood, request.strike)


def struck_in_turn(prediction: Prediction, modes: Modes, count: int, mallet: Mallet) -> Preview:
    """The sound of so many places, struck one after the other.

    Parameters
    ----------
    prediction : Prediction
        The drum's notes.
    modes : Modes
        As heard when these places are struck, one row a place.
    count : int
        How many places.
    mallet : Mallet
        What strikes them.
    """
    from kerftone.sound.render import PreviewOptions, render

    options = PreviewOptions(air=air_of(prediction), held_loss=held_loss_of(prediction), with_phrase=False)
    return render(modes, prediction.drum.top, mallet=mallet, order=range(count), options=options)


def with_overtones(
    drum: Drum, shelf: Shelf, air: AirAsked | None, solving: Callable[[], object] = lambda: None
) -> Prediction:
    """The drum with as many motions as are heard, so that every sound of it has the blow's knock in it.

    Kept on the shelf by itself: its notes differ by some tenths of a cent from those of the table, which are of fewer
    motions.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    shelf : Shelf
        Where its answer may be already.
    air : AirAsked | None
        In which air; None: in vacuo.
    solving : Callable[[], object], optional
        Called before a solve, and not where the answer is kept.
    """
    return predict(drum, count=KNOCK_MODES, shelf=shelf, air=air, solving=solving)


def preview_of(prediction: Prediction, mallet: Mallet | None = None, modes: Modes | None = None) -> Preview:
    """The drum's sound, its tongues in turn from the lowest note up, then a phrase.

    Parameters
    ----------
    prediction : Prediction
        The drum's notes, and its modes.
    mallet : Mallet, optional
        What strikes it; without it hard rubber.
    modes : Modes, optional
        What is heard of each mode; without it what the air carries.
    """
    from kerftone.sound.mallet import HARD_RUBBER
    from kerftone.sound.render import PreviewOptions, render

    order = sorted(range(len(prediction.tongues)), key=lambda number: prediction.tongues[number].heard.hz)
    heard = modes_heard(prediction) if modes is None else modes
    options = PreviewOptions(air=air_of(prediction), held_loss=held_loss_of(prediction))
    return render(heard, prediction.drum.top, mallet=mallet or HARD_RUBBER, order=order, options=options)
