"""What would this drum be in another wood, or planed to another thickness?

Its notes, how long they ring, how loud, how sure, and its sound in the phrase that all are compared by. Either with
the lengths as they are, or with lengths found anew. Nothing is read or written.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.jobs.modes_heard import modes_heard
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.ringing import rings
from kerftone.pitch import cents
from kerftone.shop.cutlist import weight_g
from kerftone.wood.species import Species, find_species

if TYPE_CHECKING:
    from kerftone.sound.render import Preview

SPACING_S = 0.6
"""Between two notes that are compared: one still rings when the next comes. Own judgement."""
CENTS_PER_LN = 1200.0 / math.log(2.0)


@dataclass(frozen=True, kw_only=True)
class OtherWoodRequest:
    """Which drum; the wood of its top by any name and its thickness, None for its own.

    refit: whether lengths are found anew. played: the phrase to sound, (seconds, tongue, speed in m/s); the notes in
    turn where it is empty.
    """

    drum: Drum
    wood: str | None = None
    thickness_mm: float | None = None
    refit: bool = False
    played: tuple[tuple[float, int, float], ...] = ()
    mallet: str = "hard-rubber"


@dataclass(frozen=True, kw_only=True)
class OtherWood:
    """The drum so made, with its sound as a WAV file, brought to a stated peak.

    pascal_at_1_m: the pressure a metre away that the peak stands for; t60_s (t,): how long each note rings, and
    how far off that may be, one standard deviation.
    """

    prediction: Prediction
    t60_s: tuple[float, ...]
    t60_plus_minus_pct: float
    pascal_at_1_m: float
    weight_g: float | None
    wav: bytes

    def document(self) -> dict[str, Any]:
        """As JSON, without the sound."""
        return {
            "wood": self.prediction.drum.top.wood,
            "thickness_mm": round(self.prediction.drum.top.thickness_mm, 3),
            "weight_g": None if self.weight_g is None else round(self.weight_g, 1),
            "t60_plus_minus_pct": round(self.t60_plus_minus_pct, 1),
            "pascal_at_1_m": round(self.pascal_at_1_m, 4),
            "tongues": [
                {
                    "note": one.tongue.note,
                    "length_mm": one.tongue.length_mm,
                    "hz": round(one.heard.hz, 3),
                    "cents_from_aim": round(cents(one.heard.hz, one.aim_hz), 2),
                    "plus_minus_cents": round(one.plus_minus_cents, 1),
                    "clarity": round(one.heard.clarity, 3),
                    "t60_s": round(ringing, 3),
                }
                for one, ringing in zip(self.prediction.tongues, self.t60_s, strict=True)
            ],
        }


def known_to_cents(wood: Species) -> float:
    """How far the notes of an untested board of this species may be from the mean's: one standard deviation.

    A bar's pitch goes with the root of stiffness over density; their scatters are taken as independent.
    """
    scatter = wood.scatter()
    return 0.5 * CENTS_PER_LN * math.hypot(scatter.of("e_l"), scatter.of("density"))


def in_wood(drum: Drum, name: str) -> Drum:
    """The same drum with a top of the mean wood of this species. Raises SpeciesError."""
    species = find_species(name)
    top = replace(
        drum.top,
        wood=species.name,
        elastic=species.elastic(),
        scatter=species.scatter(),
        board=None,
        plies=(),
        untested=None,
    )
    return replace(drum, top=top)


def other(request: OtherWoodRequest) -> Drum:
    """The drum to be looked at, with the lengths as they are. Raises SpeciesError."""
    drum = request.drum if request.wood is None else in_wood(request.drum, request.wood)
    if request.thickness_mm is None:
        return drum
    return replace(drum, top=replace(drum.top, thickness_mm=request.thickness_mm, thickness_at_mm=()))


@job
def compare_wood(request: OtherWoodRequest, progress: Progress) -> OtherWood:
    """Work out that drum. Raises SpeciesError, OutOfReach, OutlineError, MalletError."""
    from kerftone.jobs.suggest_lengths import SuggestRequest, suggest_lengths
    from kerftone.shop.box import box_of
    from kerftone.sound.wav import wav_bytes

    drum = other(request)
    if request.refit:
        prediction = suggest_lengths(SuggestRequest(drum=drum), progress).live.prediction
        drum = prediction.drum
    else:
        check_outline(drum)
        progress("Solving the whole drum.", 0.1)
        prediction = predict(drum)
    progress("Making its sound.", 0.9)
    preview = _sounded(prediction, request)
    nearest = [abs(preview.hz - one.heard.hz).argmin() for one in prediction.tongues]
    return OtherWood(
        prediction=prediction,
        t60_s=tuple(float(preview.t60_s[at]) for at in nearest),
        t60_plus_minus_pct=max(one.plus_minus_pct for one in rings(prediction)),
        pascal_at_1_m=preview.pascal_at_1_m,
        weight_g=weight_g(drum, box_of(drum), top_mm2=float(outline(drum).top.area)),
        wav=wav_bytes(preview),
    )


def _sounded(prediction: Prediction, request: OtherWoodRequest) -> Preview:
    """The phrase, or the notes in turn, on this drum."""
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.render import PreviewOptions, render, render_hits
    from kerftone.sound.score import Hit

    modes, top, mallet = modes_heard(prediction), prediction.drum.top, mallet_named(request.mallet)
    if request.played:
        hits = tuple(Hit(at_s=at, tongue=tongue, speed_m_s=speed) for at, tongue, speed in request.played)
        return render_hits(modes, top, hits, mallet=mallet)
    order = sorted(range(len(prediction.tongues)), key=lambda number: prediction.tongues[number].target_hz)
    options = PreviewOptions(spacing_s=SPACING_S, with_phrase=False)
    return render(modes, top, mallet=mallet, order=order, options=options)
