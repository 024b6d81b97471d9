"""What would this drum be in each of all woods, told at once, without another solve?

Estimates to sort by, for a drum that has been solved. The top's species is exchanged, the lengths stay: each note
moves by how it answers to each constant of the wood (`kerftone.modal.sensitivity`), to first order, and rings as long
as that wood lets it. Seasonal drift is found in the same way, for top, box and bottom, from the air of the shop to
the dry and the damp weeks of the home; with the thickness of the top it goes as in a bar. `compare_wood` solves the
drum in one wood and says it truly. Held by tests/jobs/test_wood_rows.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.season import in_air
from kerftone.drum.shop import Stock
from kerftone.errors import MoistureError, SpeciesError
from kerftone.jobs.compare_wood import CENTS_PER_LN, in_wood, known_to_cents
from kerftone.jobs.live_pitch import LiveModel
from kerftone.jobs.progress import Progress, job
from kerftone.modal.result import Array
from kerftone.wood.elastic import CONSTANTS, Elastic
from kerftone.wood.moisture import emc_pct
from kerftone.wood.species import find_species, species_table


@dataclass(frozen=True, kw_only=True)
class WoodRowsRequest:
    """A drum that has been solved."""

    live: LiveModel


@dataclass(frozen=True, kw_only=True)
class WoodRow:
    """A drum with a top of one wood, as it is estimated.

    moves_cents (t,): how far each note lies above that of the drum as it is. rings_s: how long the note that rings
    longest takes to fall by 60 dB, in the wood alone; rings_pct: how far one board may be off that. drift_cents: how
    far the notes go, on average, from the shop's air to the driest and to the dampest weeks; None where that air is
    beyond the law. price: of the cheapest board of this wood on hand, None where none has one.
    """

    name: str
    moves_cents: tuple[float, ...]
    rings_s: float
    rings_pct: float
    weight_g: float
    plus_minus_cents: float
    drift_cents: tuple[float, float] | None
    price: float | None

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "name": self.name,
            "moves_cents": [round(one, 1) for one in self.moves_cents],
            "rings_s": round(self.rings_s, 2),
            "rings_pct": round(self.rings_pct),
            "weight_g": round(self.weight_g),
            "plus_minus_cents": round(self.plus_minus_cents, 1),
            "drift_cents": None if self.drift_cents is None else [round(one, 1) for one in self.drift_cents],
            "price": self.price,
        }


@job
def wood_rows(request: WoodRowsRequest, progress: Progress) -> list[WoodRow]:
    """A row for each species there is."""
    from kerftone.shop.box import box_of
    from kerftone.shop.cutlist import weight_g
    from kerftone.sound.decay import loss_of_top, t60_s, wood_loss

    progress("Estimating the drum in every wood.")
    drum, prediction = request.live.drum, request.live.prediction
    now_hz = np.array([one.heard.hz for one in prediction.tongues])
    box, top_mm2, airs = box_of(drum), float(outline(drum).top.area), _moistures_pct(drum)
    priced, rows = prices(drum.making.stock), []
    for species in species_table().values():
        other = in_wood(drum, species.name)
        moves = prediction.gradients["top"] @ _growth(other.top.elastic, drum.top.elastic)
        hz = now_hz * np.exp(moves / CENTS_PER_LN)
        rows.append(
            WoodRow(
                name=species.name,
                moves_cents=tuple(float(one) for one in moves),
                rings_s=float(np.max(t60_s(hz, wood_loss(hz, other.top)))),
                rings_pct=100.0 * loss_of_top(other.top).cv,
                weight_g=weight_g(other, box, top_mm2=top_mm2),
                plus_minus_cents=known_to_cents(species),
                drift_cents=None if airs is None else _drift(request.live, other, airs),
                price=priced.get(species.name),
            )
        )
    return rows


def prices(stock: tuple[Stock, ...]) -> dict[str, float]:
    """What the cheapest board on hand of each wood costs, whatever name of the wood it is listed by."""
    found: dict[str, float] = {}
    for board in stock:
        if board.price is None:
            continue
        try:
            name = find_species(board.wood).name
        except SpeciesError:
            continue
        found[name] = min(board.price, found.get(name, board.price))
    return found


def _growth(new: Elastic, old: Elastic) -> Array:
    """By how much each constant grows, as natural logarithms (constants,)."""
    return np.array([math.log(getattr(new, one) / getattr(old, one)) for one in CONSTANTS])


def _moistures_pct(drum: Drum) -> tuple[float, float, float] | None:
    """How damp wood is in the shop, in the home's driest and in its dampest weeks; None beyond the law's range."""
    climate = drum.making.climate
    humid = (climate.shop_rh_pct, climate.home_dry_rh_pct, climate.home_damp_rh_pct)
    try:
        shop, dry, damp = (emc_pct(humidity_pct=one, temperature_c=climate.temperature_c) for one in humid)
        for pct in (shop, dry, damp):
            in_air(drum, pct)
    except MoistureError:
        return None
    return shop, dry, damp


def _drift(live: LiveModel, drum: Drum, airs: tuple[float, float, float]) -> tuple[float, float]:
    """How far the notes of this drum move, on average, from the first air to the second and to the third."""
    shop, dry, damp = (in_air(drum, pct) for pct in airs)
    return _moved(live, shop, dry), _moved(live, shop, damp)


def _moved(live: LiveModel, old: Drum, new: Drum) -> float:
    gradients = live.prediction.gradients
    cents = gradients["top"] @ _growth(new.top.elastic, old.top.elastic)
    cents = cents + gradients["box"] @ _growth(new.box.elastic, old.box.elastic)
    if old.bottom is not None and new.bottom is not None and "bottom" in gradients:
        cents = cents + gradients["bottom"] @ _growth(new.bottom.elastic, old.bottom.elastic)
    return float(np.mean(cents)) + CENTS_PER_LN * math.log(new.top.thickness_mm / old.top.thickness_mm)
