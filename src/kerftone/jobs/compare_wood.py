"""What would this drum be in another wood? Its notes, how long they ring, how loud, how sure, and its sound.

Either with the lengths as they are, or with lengths found anew for that wood. Nothing is read or written.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.preview_sound import modes_heard
from kerftone.jobs.progress import Progress, job
from kerftone.pitch import cents
from kerftone.shop.cutlist import weight_g
from kerftone.wood.species import Species, find_species

SPACING_S = 0.6
CENTS_PER_LN = 1200.0 / math.log(2.0)


@dataclass(frozen=True, kw_only=True)
class OtherWoodRequest:
    """Which drum, the wood of its top by any name, and whether lengths are to be found anew."""

    drum: Drum
    wood: str
    refit: bool = False


@dataclass(frozen=True, kw_only=True)
class OtherWood:
    """The drum so made, with its sound: the notes in turn as a WAV file, brought to a stated peak.

    pascal_at_1_m: the pressure a metre away that the peak stands for; t60_s (t,): how long each note rings.
    """

    prediction: Prediction
    t60_s: tuple[float, ...]
    pascal_at_1_m: float
    weight_g: float | None
    wav: bytes

    def document(self) -> dict[str, Any]:
        """As JSON, without the sound."""
        return {
            "wood": self.prediction.drum.top.wood,
            "weight_g": None if self.weight_g is None else round(self.weight_g, 1),
            "pascal_at_1_m": round(self.pascal_at_1_m, 4),
            "tongues": [
                {
                    "note": one.tongue.note,
                    "length_mm": one.tongue.length_mm,
                    "hz": round(one.heard.hz, 3),
                    "cents_from_aim": round(cents(one.heard.hz, one.aim_hz), 2),
                    "plus_minus_cents": round(one.plus_minus_cents, 1),
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
        untested=None,
    )
    return replace(drum, top=top)


@job
def compare_wood(request: OtherWoodRequest, progress: Progress) -> OtherWood:
    """Work out the drum in that wood. Raises SpeciesError, OutOfReach, OutlineError."""
    from kerftone.jobs.suggest_lengths import SuggestRequest, suggest_lengths
    from kerftone.shop.box import box_of
    from kerftone.sound.render import PreviewOptions, render
    from kerftone.sound.wav import wav_bytes

    drum = in_wood(request.drum, request.wood)
    if request.refit:
        prediction = suggest_lengths(SuggestRequest(drum=drum), progress).live.prediction
        drum = prediction.drum
    else:
        progress("Solving the whole drum in that wood.", 0.1)
        prediction = predict(drum)
    progress("Making its sound.", 0.9)
    order = sorted(range(len(drum.tongues)), key=lambda number: prediction.tongues[number].target_hz)
    options = PreviewOptions(spacing_s=SPACING_S, with_phrase=False)
    preview = render(modes_heard(prediction), drum.top, order=order, options=options)
    nearest = [abs(preview.hz - one.heard.hz).argmin() for one in prediction.tongues]
    return OtherWood(
        prediction=prediction,
        t60_s=tuple(float(preview.t60_s[at]) for at in nearest),
        pascal_at_1_m=preview.pascal_at_1_m,
        weight_g=weight_g(drum, box_of(drum), top_mm2=float(outline(drum).top.area)),
        wav=wav_bytes(preview),
    )
