"""A search model goes through plain arrays and back without a digit lost."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal.plan import Fineness
from kerftone.modal.search import Board, Place, SearchModel, search_model
from kerftone.modal.search_kept import model_arrays, model_of, places_array, places_of
from kerftone.modal.solve import solve

from ..drums import REED

PLACES: tuple[Place, ...] = ((1, "left"), (1, "right"), (2, "left"), (2, "right"))
LENGTHS = (150.0, 110.0, 130.0, 95.0)


@pytest.fixture(scope="module")
def model() -> SearchModel:
    """Of a drum with one end of its own, so that it has two tables."""
    drum = parse_drum(REED)
    odd = replace(drum.tongues[2], end="round")
    drum = replace(drum, tongues=(*drum.tongues[:2], odd, *drum.tongues[3:]))
    return search_model(solve(drum, fineness=Fineness(order=2)), (70.0, 200.0))


def through_a_file(model: SearchModel) -> SearchModel:
    room = io.BytesIO()
    np.savez(room, **model_arrays(model))  # type: ignore[arg-type]
    room.seek(0)
    with np.load(room, allow_pickle=False) as kept:
        return model_of(model.drum, {name: kept[name] for name in kept.files})


def test_what_is_read_back_sounds_the_same_to_the_last_digit(model: SearchModel) -> None:
    again = through_a_file(model)
    other = Board(stiffness={"top": 1.1, "box": 0.9}, density={"top": 1.05})
    for one, two in ((model, again), (model.with_board(other), again.with_board(other))):
        first, second = (m.read(m.fitted(PLACES, LENGTHS), 2000.0) for m in (one, two))
        assert np.array_equal(first.hz, second.hz)
        assert np.array_equal(first.strike, second.strike)
        assert np.array_equal(first.volume, second.volume)


def test_places_with_one_table_share_it_again(model: SearchModel) -> None:
    def many(one: SearchModel) -> list[int]:
        numbers = list({id(seat.table) for seat in one.seats.values()})
        return [numbers.index(id(seat.table)) for seat in one.seats.values()]

    again = through_a_file(model)
    assert len(set(many(model))) == len(set(many(again))) == 2
    for place in PLACES:
        one, two = model.seats[place].table, again.seats[place].table
        assert one.face == two.face
        assert np.array_equal(one.piece(120.0).own, two.piece(120.0).own)


def test_places_are_numbers_and_places_again() -> None:
    assert places_of(places_array(PLACES)) == PLACES
    assert places_of(places_array(())) == ()


def test_arrays_of_something_else_are_refused(model: SearchModel) -> None:
    arrays = model_arrays(model)
    del arrays["seat 1 own"]
    with pytest.raises(KeyError):
        model_of(model.drum, arrays)
