"""What does each place of the drum sound like when it is struck? Short sounds for an instrument on a page.

Each tongue near its tip, in its middle and near its root, and the wood beside the tongues; each softly and firmly.
Sixteen-bit samples on one scale, so that what is louder stays louder. Made from the full solve (`live_pitch.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import layout
from kerftone.drum.tongue_named import on_paper
from kerftone.jobs.live_pitch import LiveModel
from kerftone.jobs.modes_heard import modes_played
from kerftone.jobs.preview_sound import Through
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.struck_places import StruckPlace, lifts_of, places_beside, spots_of

if TYPE_CHECKING:
    from kerftone.jobs.prediction import Prediction
    from kerftone.modal.result import Modes
    from kerftone.sound.render import Preview

SPEEDS_M_S = (0.5, 1.6)
"""A soft and a firm stroke: common practice, no source."""
ALONG = (1.0, 0.6, 0.25)
"""Where along a tongue it is struck: at its strike point, and so much of the way there from its root."""
PEAK = 0.7
"""Of full scale, for the loudest of all strikes: two at once seldom clip. Own judgement."""
RATE_HZ = 48000
"""What sound cards run at as a rule: common practice, no source."""
LONGEST_S = 4.0
"""What is longer is cut, to keep the page light. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class StrikesRequest:
    """A drum with its model, and the mallet by its name."""

    live: LiveModel
    mallet: str = "hard-rubber"


@dataclass(frozen=True, kw_only=True)
class StrikeSounds:
    """The sounds, 16 bit, one after the other; `places` says of each place where it is and which sounds are its own.

    A place has x_mm, y_mm, `tongue` (None beside the tongues), `along` (None there too) and `sounds`: for each of
    `speeds_m_s` the first sample and how many there are.
    """

    rate_hz: int
    mallet: str
    speeds_m_s: tuple[float, ...]
    places: tuple[dict[str, Any], ...]
    samples: bytes

    def document(self) -> dict[str, Any]:
        """As JSON, without the samples."""
        return {
            "rate_hz": self.rate_hz,
            "mallet": self.mallet,
            "speeds_m_s": list(self.speeds_m_s),
            "places": list(self.places),
        }


@job
def strike_sounds(request: StrikesRequest, progress: Progress) -> StrikeSounds:
    """Make the sounds. Raises MalletError."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.render import PreviewOptions, single_blows

    mallet = mallet_named(request.mallet)
    live, drum = request.live, request.live.drum
    places = _places(drum)
    progress("Striking the drum on the model.", 0.3)
    modes, spots = spots_of(live.prediction, places, lifts_of(live.solution, places))
    made = [
        single_blows(
            modes, drum.top, spots, mallet=mallet, options=PreviewOptions(rate_hz=RATE_HZ, speed_m_s=speed)
        )
        for speed in SPEEDS_M_S
    ]
    return _packed([place.told for place in places], made, mallet.name)


def _packed(
    places: list[dict[str, Any]], made: list[list[np.ndarray[Any, Any]]], mallet: str
) -> StrikeSounds:
    """All sounds on one scale in one row of samples."""
    loudest = max(float(np.max(np.abs(one))) for row in made for one in row)
    told, pieces, at = [], [], 0
    for number, place in enumerate(places):
        sounds = []
        for row in made:
            whole = row[number][: round(LONGEST_S * RATE_HZ)] * (PEAK / max(loudest, 1e-300))
            pieces.append(np.round(32767.0 * whole).astype("<i2").tobytes())
            sounds.append([at, len(whole)])
            at += len(whole)
        told.append(place | {"sounds": sounds})
    return StrikeSounds(
        rate_hz=RATE_HZ,
        mallet=mallet,
        speeds_m_s=SPEEDS_M_S,
        places=tuple(told),
        samples=b"".join(pieces),
    )


@dataclass(frozen=True, kw_only=True)
class _Struck(StruckPlace):
    """A place with how far along its tongue it lies; None beside the tongues."""

    along: float | None = None

    @property
    def told(self) -> dict[str, Any]:
        """As JSON."""
        return {"x_mm": self.at_mm[0], "y_mm": self.at_mm[1], "tongue": self.tongue, "along": self.along}


def _places(drum: Drum) -> list[_Struck]:
    """Where is struck: on every tongue, and in the middle of the top's wood on its four sides."""
    drawn, lines, high = outline(drum), layout(drum), drum.top.thickness_mm
    found: list[_Struck] = []
    for number, (tongue, (x, y)) in enumerate(zip(drum.tongues, drawn.strike_points, strict=True)):
        root = lines.root_mm(tongue.side or "left")
        for along in ALONG:
            at = (root + along * (x - root), y, high)
            found.append(_Struck(name=on_paper(drum, number + 1), tongue=number, at_mm=at, along=along))
    beside = [place for place in places_beside(drum) if place.name.endswith(("end", "rail"))]
    return found + [_Struck(name=place.name, tongue=None, at_mm=place.at_mm) for place in beside]


@dataclass(frozen=True, kw_only=True)
class PhraseRequest:
    """What was played: (seconds from the start, tongue from 0, speed in m/s); with which mallet; heard in front of
    the drum or through its pickup."""

    live: LiveModel
    played: tuple[tuple[float, int, float], ...]
    mallet: str = "hard-rubber"
    through: Through = "air"


@dataclass(frozen=True, kw_only=True)
class PhraseSounded:
    """The phrase as the bytes of a WAV file."""

    wav: bytes
    seconds: float

    def document(self) -> dict[str, Any]:
        """As JSON, without the sound."""
        return {"seconds": round(self.seconds, 3)}


@job
def sound_phrase(request: PhraseRequest, progress: Progress) -> PhraseSounded:
    """Render a phrase as the drum's preview is. Raises SoundError for one without a blow, MalletError, and ShopError
    through a pickup that the drum has not."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.render import render_hits
    from kerftone.sound.score import Hit
    from kerftone.sound.wav import wav_bytes

    progress("Sounding the phrase.", 0.3)
    hits = tuple(Hit(at_s=at, tongue=tongue, speed_m_s=speed) for at, tongue, speed in request.played)
    prediction = request.live.prediction
    modes = modes_played(prediction) if request.through == "air" else _through_pickup(prediction)
    preview: Preview = render_hits(modes, request.live.drum.top, hits, mallet=mallet_named(request.mallet))
    return PhraseSounded(wav=wav_bytes(preview), seconds=len(preview.samples) / preview.rate_hz)


def _through_pickup(prediction: Prediction) -> Modes:
    from kerftone.jobs.disc_motions import UnderDisc
    from kerftone.jobs.pickup_heard import disc_motions, through_pickup

    return through_pickup(prediction, disc_motions(prediction, UnderDisc(prediction)))
