"""Estimates of a drum in every wood, held against the model's own answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.season import in_air
from kerftone.drum.shop import Stock
from kerftone.jobs.compare_wood import OtherWoodRequest, compare_wood, in_wood
from kerftone.jobs.live_pitch import LiveModel
from kerftone.jobs.prediction import predict
from kerftone.jobs.wood_rows import WoodRow, WoodRowsRequest, prices, wood_rows
from kerftone.pitch import cents
from kerftone.wood.loss import loss_table
from kerftone.wood.moisture import emc_pct
from kerftone.wood.species import species_table

from ..drums import WREN

DRUM = parse_drum(WREN)


def rows(predicted: Any, drum: Any = DRUM) -> dict[str, WoodRow]:
    live = LiveModel(drum=drum, prediction=predicted, tables=None, shift_cents=())  # type: ignore[arg-type]
    return {one.name: one for one in wood_rows(WoodRowsRequest(live=live))}


def moved(other: Any, predicted: Any) -> list[float]:
    return [
        cents(one.heard.hz, was.heard.hz) for one, was in zip(other.tongues, predicted.tongues, strict=True)
    ]


def test_there_is_a_row_for_each_species_and_the_drums_own_wood_moves_no_note(predicted: Any) -> None:
    found = rows(predicted)
    assert set(found) == set(species_table())
    own = found[DRUM.top.wood]
    assert own.moves_cents == pytest.approx([0.0, 0.0]) and own.price is None
    assert own.drift_cents is not None
    dry, damp = own.drift_cents
    assert damp < -10 < 10 < dry  # limp and heavy when damp


def test_it_weighs_and_rings_nearly_as_the_model_says_of_its_own_wood(
    predicted: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The air carries off some of what the wood alone would leave."""
    from kerftone.jobs import compare_wood as module

    monkeypatch.setattr(module, "predict", lambda drum: predicted)
    said, own = compare_wood(OtherWoodRequest(drum=DRUM)), rows(predicted)[DRUM.top.wood]
    assert own.weight_g == pytest.approx(said.weight_g)
    assert 0.7 < max(said.t60_s) / own.rings_s < 1.01


def test_how_far_the_ringing_may_be_off_is_less_where_the_loss_is_published(predicted: Any) -> None:
    found = rows(predicted)
    published = set(loss_table())
    assert published and published < set(found)
    off = {name: row.rings_pct for name, row in found.items()}
    assert max(off[name] for name in published) < min(off[name] for name in set(off) - published)


def test_a_price_is_the_cheapest_boards_by_any_name_of_its_wood(predicted: Any) -> None:
    def board(wood: str, price: float | None) -> Stock:
        return Stock(wood=wood, length_mm=900.0, width_mm=200.0, thickness_mm=20.0, price=price)

    stock = (
        board("cherry", 40.0),
        board("cherry, black", 30.0),
        board("walnut", None),
        board("driftwood", 9.0),
    )
    assert prices(stock) == {"cherry, black": 30.0}
    listed = replace(DRUM, making=replace(DRUM.making, stock=stock))
    assert rows(predicted, listed)["cherry, black"].document()["price"] == 30.0


def test_air_beyond_the_law_of_moisture_gives_no_drift(predicted: Any) -> None:
    soaked = replace(DRUM.making, climate=replace(DRUM.making.climate, home_damp_rh_pct=95.0))
    assert rows(predicted, replace(DRUM, making=soaked))["ash, white"].document()["drift_cents"] is None


@pytest.mark.slow
@pytest.mark.parametrize(
    "wood, within",
    [("ash, white", 6.0), ("walnut, black", 15.0), ("teak", 10.0), ("basswood, American", 45.0)],
)
def test_the_notes_move_nearly_as_a_full_solve_says(predicted: Any, wood: str, within: float) -> None:
    """Basswood has a third of cherry's stiffness across the grain: there the first order is coarse."""
    said = moved(predict(in_wood(DRUM, wood)), predicted)
    assert rows(predicted)[wood].moves_cents == pytest.approx(said, abs=within)
    assert all(abs(one) > 20.0 for one in said)


@pytest.mark.slow
def test_the_seasons_move_the_notes_nearly_as_a_full_solve_says(predicted: Any) -> None:
    climate = DRUM.making.climate
    shop, dry, damp = (
        predict(in_air(DRUM, emc_pct(humidity_pct=rh, temperature_c=climate.temperature_c)))
        for rh in (climate.shop_rh_pct, climate.home_dry_rh_pct, climate.home_damp_rh_pct)
    )
    said = [float(np.mean(moved(other, shop))) for other in (dry, damp)]
    assert rows(predicted)[DRUM.top.wood].drift_cents == pytest.approx(said, abs=5.0)
