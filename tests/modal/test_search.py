"""What the search model says of lengths, places and woods against full solves of order 2, which it is made from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness
from kerftone.modal.search import Board, Place, SearchModel, search_model
from kerftone.modal.seats import Sounding
from kerftone.modal.solve import solve
from kerftone.wood.elastic import Elastic

from ..drums import REED

LENGTHS = (150.0, 110.0, 130.0, 95.0)
PLACES: tuple[Place, ...] = ((1, "left"), (1, "right"), (2, "left"), (2, "right"))
REACH_MM = (70.0, 200.0)


@dataclass(frozen=True)
class Full:
    """The modes of a whole drum, and which of them is each tongue's note."""

    hz: np.ndarray
    own: np.ndarray


@dataclass(frozen=True)
class Level:
    """A drum with its model and full solves of one order, and within how many cents its notes agree."""

    fineness: Fineness
    within_cents: float

    @cached_property
    def drum(self) -> Drum:
        return parse_drum(REED)

    @cached_property
    def model(self) -> SearchModel:
        return self.model_of(self.drum)

    def model_of(self, drum: Drum) -> SearchModel:
        return search_model(solve(drum, fineness=self.fineness), REACH_MM)

    def full(self, drum: Drum) -> Full:
        """The pitches of a full solve at this order, not extrapolated, and which of them are notes."""
        solution = solve(drum, fineness=self.fineness)
        own = np.argmax(weights(solution.modes()), axis=1)
        return Full(np.sqrt(solution.fine_values) / (2 * math.pi), own)


@pytest.fixture(
    scope="module",
    params=[
        # At order 2 the cells of a tongue's mesh show, where one more fits its length.
        pytest.param(Level(Fineness(order=2), 2.5), id="order 2"),
        pytest.param(Level(Fineness(order=3), 0.3), id="order 3", marks=pytest.mark.slow),
    ],
)
def level(request: pytest.FixtureRequest) -> Level:
    return request.param


@pytest.fixture(scope="module")
def model(level: Level) -> SearchModel:
    return level.model


def placed(drum: Drum, places: Sequence[Place], lengths: Sequence[float]) -> Drum:
    tongues = (replace(t, row=row, side=side) for t, (row, side) in zip(drum.tongues, places, strict=False))
    return replace(drum, tongues=tuple(tongues)).with_lengths(tuple(lengths))


def off_cents(
    model: SearchModel, places: Sequence[Place], lengths: Sequence[float], full: Full
) -> tuple[float, float]:
    """How far the model's notes, and any of its modes up to the highest note, are from the full solve's."""
    last = int(full.own.max())
    said = model.read(model.fitted(places, lengths), 1.2 * float(full.hz[last])).hz
    off = abs(1200.0 * np.log2(said[: last + 1] / full.hz[: last + 1]))
    return float(off[full.own].max()), float(off.max())


def test_changed_lengths_and_exchanged_places_sound_as_in_a_full_solve(level: Level) -> None:
    """Notes are followed closely; a tone of the box, whose motion changes with what rides where, less so."""
    places = (PLACES[3], PLACES[0], PLACES[1], PLACES[2])
    lengths = (168.0, 121.0, 117.0, 88.0)
    full = level.full(placed(level.drum, places, lengths))
    notes, tones = off_cents(level.model, places, lengths, full)
    # On roots as soft as these the frame does not quite follow exchanged tongues: measured 1.5 cents at order 3.
    assert notes < max(level.within_cents, 2.0) and tones < 20.0
    # The same lengths elsewhere, and one of them half a millimetre longer, are other drums.
    assert off_cents(level.model, PLACES, lengths, full)[0] > 2.0 * level.within_cents
    assert off_cents(level.model, places, (168.5, *lengths[1:]), full)[0] > 4.0


def test_a_tongue_alone_in_its_row_sounds_as_in_a_full_solve(level: Level) -> None:
    three = replace(level.drum, tongues=level.drum.tongues[:3])
    odd = level.model_of(three)
    assert set(odd.seats) == set(PLACES[:3]), "the empty place is wood of the frame"
    moved = (140.0, 120.0, 130.0)
    full = level.full(three.with_lengths(moved))
    assert off_cents(odd, PLACES[:3], moved, full)[1] < level.within_cents


def wood(elastic: Elastic, stiffness: float, density: float) -> Elastic:
    moduli = [f.name for f in fields(Elastic) if f.name.startswith(("e_", "g_"))]
    return replace(
        elastic,
        density_kg_m3=density * elastic.density_kg_m3,
        **{name: stiffness * getattr(elastic, name) for name in moduli},
    )


def test_wood_of_one_factor_throughout_scales_all_pitches_alike(model: SearchModel) -> None:
    """Speed of sound: the root of stiffness over density."""
    parts = ("top", "box", "bottom")
    other = model.with_board(Board(stiffness=dict.fromkeys(parts, 0.8), density=dict.fromkeys(parts, 1.1)))
    fitted = [drum.read(drum.fitted(PLACES, LENGTHS), 900.0).hz[:6] for drum in (model, other)]
    np.testing.assert_allclose(fitted[1] / fitted[0], math.sqrt(0.8 / 1.1), rtol=1e-6)


def test_other_wood_sounds_nearly_as_in_a_full_solve_of_that_wood(level: Level) -> None:
    """The frame's motions are those of the wood as drawn, so that a very different mixture of woods sounds some
    cents too high; what the wood does to the pitch is hundreds of cents."""
    model, reed = level.model, level.drum
    board = Board(
        stiffness={"top": 0.8, "box": 1.25, "bottom": 0.9}, density={"top": 1.1, "box": 0.9, "bottom": 1.15}
    )
    assert reed.bottom is not None
    other = replace(
        reed,
        top=replace(reed.top, elastic=wood(reed.top.elastic, 0.8, 1.1)),
        box=replace(reed.box, elastic=wood(reed.box.elastic, 1.25, 0.9)),
        bottom=replace(reed.bottom, elastic=wood(reed.bottom.elastic, 0.9, 1.15)),
    )
    full = level.full(other)
    assert off_cents(model.with_board(board), PLACES, LENGTHS, full)[0] < 15.0
    # Each factor counts: without it some note is further off.
    for part, spoiled in (("top", {"top": 1.0}), ("box", {"box": 0.8})):
        wrong = replace(board, stiffness={**board.stiffness, **spoiled})
        assert off_cents(model.with_board(wrong), PLACES, LENGTHS, full)[0] > 30.0, part


def near_aims(model: SearchModel, lengths: Sequence[float], cents: Sequence[float]) -> np.ndarray:
    """Notes so far from what tongues of these lengths sound."""
    modes = model.read(model.fitted(PLACES, lengths), 1000.0)
    return modes.hz[np.argmax(weights(modes), axis=1)] * 2.0 ** (np.array(cents) / 1200.0)


def test_the_slope_is_that_of_finite_differences(model: SearchModel) -> None:
    aims, step = near_aims(model, LENGTHS, (40.0, -30.0, 25.0, -60.0)), 1e-4

    def at(lengths: np.ndarray) -> Sounding:
        return model.sounding(model.fitted(PLACES, lengths), aims)

    slope = at(np.array(LENGTHS)).slope
    for number in range(4):
        by = np.exp(step * np.eye(4)[number])
        difference = (at(LENGTHS * by).excess - at(LENGTHS / by).excess) / (2 * step)
        np.testing.assert_allclose(slope[:, number], difference, rtol=1e-4, atol=1e-4)
    assert (np.diag(slope) < -2.0).all(), "a longer tongue is lower"
    assert abs(slope - np.diag(np.diag(slope))).max() > 0.01, "and moves its neighbours"


def in_tune(model: SearchModel, aims: np.ndarray) -> np.ndarray:
    """Lengths at which nothing is in excess, by Newton's method."""
    at = np.log(np.array(LENGTHS))
    for _ in range(8):
        sounding = model.sounding(model.fitted(PLACES, np.exp(at)), aims)
        at = at - np.linalg.solve(sounding.slope, sounding.excess)
    assert abs(sounding.excess).max() < 1e-8
    return np.exp(at)


def test_where_nothing_is_in_excess_the_whole_drum_has_modes_at_exactly_the_aims(level: Level) -> None:
    model = level.model
    aims = near_aims(model, LENGTHS, (60.0, -45.0, 35.0, -55.0))
    lengths = in_tune(model, aims)
    assert abs(lengths - LENGTHS).max() > 2.0

    def missed_cents(lengths: np.ndarray) -> np.ndarray:
        hz = level.full(level.drum.with_lengths(tuple(float(mm) for mm in lengths))).hz
        return np.array([abs(1200.0 * np.log2(hz / aim)).min() for aim in aims])

    assert missed_cents(lengths).max() < level.within_cents
    spoiled = lengths + np.array([0.0, 0.0, 1.0, 0.0])
    assert missed_cents(spoiled)[2] > 5.0


def test_a_note_of_a_drum_in_tune_moves_in_its_sounding_as_in_its_mode(model: SearchModel) -> None:
    aims = near_aims(model, LENGTHS, (0.0, 0.0, 0.0, 0.0))
    fitted = model.fitted(PLACES, in_tune(model, aims))
    sounding, modes = model.sounding(fitted, aims), model.read(fitted, 1000.0)
    for note, hz in enumerate(aims):
        mode = int(np.argmin(abs(modes.hz - hz)))
        assert modes.hz[mode] == pytest.approx(hz, rel=1e-6)
        way = np.sign(modes.strike[note, mode] * sounding.strike[note, note])
        np.testing.assert_allclose(
            way * sounding.strike[:, note], modes.strike[:, mode], rtol=1e-3, atol=1e-3
        )
        np.testing.assert_allclose(way * sounding.sweep[:, note], modes.sweep[:, mode], rtol=1e-3, atol=1e-6)


def test_on_a_frame_as_stiff_as_rock_the_tongues_do_not_feel_each_other(model: SearchModel) -> None:
    aims = near_aims(model, LENGTHS, (40.0, -30.0, 25.0, -60.0))

    def felt(model: SearchModel) -> float:
        slope = model.sounding(model.fitted(PLACES, LENGTHS), aims).slope
        return float(abs(slope - np.diag(np.diag(slope))).max())

    assert felt(model.with_stiffer_frame(1e4)) < 1e-3 * felt(model)


def test_the_reach_is_that_of_the_tables(model: SearchModel) -> None:
    assert model.reach_mm((2, "right")) == REACH_MM
