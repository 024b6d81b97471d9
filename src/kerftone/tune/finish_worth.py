"""What a finish does to the notes: its weight, and for a film what it eats.

The weight, per face and dry, moves as the wood under it does, so that it is to first order the same as so much denser
wood: a note falls by its answer to the part's density times the film's share of the part's weight. What a film
stiffens is left out.

Loss. Films raise tan δ: spirit varnish on spruce by 21 % on one face and 30 % on both (Forests 15, 2212, 2024), one
of four kinds on lamellae of 3 mm by 28 % (University of Ljubljana, on spruce and maple): abstracts read. What a film
eats of a bent board goes with one over the thickness, so it is taken as 28 % at 3 mm with both faces coated, and less
in proportion on thicker wood: own judgement. Oil was found to do hardly anything (Drvna industrija 70, 2019, oak and
pine: abstract read): left out.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.wood.elastic import CONSTANTS

FILMS = ("varnish", "lacquer", "shellac", "polyurethane", "polish")
"""A finish with one of these in its name lies on the wood as a film; any other soaks in."""
FILM_LOSS, FILM_MM = 0.28, 3.0
"""By what share films on both faces raise the loss of wood so thick: see the head of this file."""


def coated_faces(drum: Drum) -> float:
    """How many faces of a board the finish is on: 1 or 2."""
    return 2.0 if drum.making.finish.faces == "inside too" else 1.0


def finish_cents(drum: Drum, gradients: Mapping[str, Array]) -> Array:
    """How far the weight of the finish moves each note (negative), in cents.

    Held by tests/tune/test_finish_worth.py against a drum solved with denser wood.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    gradients : Mapping[str, Array]
        How its notes answer to the wood of each part: see `sensitivity.wood_gradients`.
    """
    boards = {"top": (drum.top.elastic, drum.top.thickness_mm), "box": (drum.box.elastic, drum.box.wall_mm)}
    if drum.bottom is not None:
        boards["bottom"] = (drum.bottom.elastic, drum.bottom.thickness_mm)
    density = CONSTANTS.index("density_kg_m3")
    on = drum.making.finish.dry_g_m2 * coated_faces(drum)
    falls = [
        gradients[part][:, density] * on / (elastic.density_kg_m3 * thick)
        for part, (elastic, thick) in boards.items()
        if part in gradients
    ]
    return np.asarray(sum(falls))


def finish_loss(drum: Drum) -> float:
    """By what share the finish raises what the top loses; 0 for none, for oil, and where no weight is given."""
    finish = drum.making.finish
    if not finish.dry_g_m2 or not is_film(finish.kind):
        return 0.0
    return FILM_LOSS * FILM_MM / drum.top.thickness_mm * 0.5 * coated_faces(drum)


def is_film(kind: str) -> bool:
    """Whether a finish of this name lies on the wood as a film.

    >>> is_film("shellac"), is_film("Danish oil")
    (True, False)
    """
    return any(word in kind.casefold() for word in FILMS)
