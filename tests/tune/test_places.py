from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.tune.begin import first_drum
from kerftone.tune.places import Wish, arrangements, free_places, ranked

HZ = (146.8, 174.6, 196.0, 220.0, 261.6, 293.7)
LENGTHS = (220.0, 205.0, 190.0, 180.0, 165.0, 150.0)


@pytest.fixture
def six() -> Drum:
    return first_drum("Test", ("D3", "F3", "G3", "A3", "C4", "D4"), "cherry, black")


def test_every_arrangement_of_a_small_drum_is_looked_at(six: Drum) -> None:
    found = list(arrangements(six))
    assert len(found) == len(set(found)) == 720
    assert all(sorted(places) == sorted(free_places(six)) for places in found)


def test_places_the_maker_chose_are_kept(six: Drum) -> None:
    fixed = replace(six, tongues=(replace(six.tongues[0], row=3, side="right"), *six.tongues[1:]))
    found = list(arrangements(fixed))
    assert len(found) == 120 and all(places[0] == (3, "right") for places in found)


def test_the_best_arrangement_parts_the_two_nearest_pitches(six: Drum) -> None:
    wish = Wish(hz=HZ, lengths_mm=LENGTHS)
    best, worst = (ranked(six, wish, 1000.0)[k] for k in (0, -1))
    assert wish.separation_cents(best) > 390.0 > 210.0 > wish.separation_cents(worst)
    f3, g3 = best[1], best[2]
    assert f3[1] != g3[1]


def test_an_arrangement_that_fits_its_rows_beats_a_clearer_one_that_does_not(six: Drum) -> None:
    wish = Wish(hz=HZ, lengths_mm=LENGTHS)
    room = min(wish.crowding_mm(places) for places in arrangements(six))
    assert wish.crowding_mm(ranked(six, wish, room)[0]) == room


def test_a_large_drum_is_searched_by_exchange_and_no_worse_than_chance() -> None:
    notes = tuple(f"{letter}{octave}" for octave in (3, 4) for letter in "CDEFGAB")[:12]
    drum = first_drum("Large", notes, "cherry, black")
    hz = tuple(130.8 * 2 ** (k / 7) for k in range(12))
    wish = Wish(hz=hz, lengths_mm=tuple(220.0 - 8 * k for k in range(12)))
    best = ranked(drum, wish, 1000.0)[0]
    some = itertools.islice(arrangements(drum), 0, 200000, 997)
    assert wish.merit(best, 1000.0) >= max(wish.merit(places, 1000.0) for places in some)


def test_an_odd_note_leaves_one_row_with_a_single_tongue(six: Drum) -> None:
    five = replace(six, tongues=six.tongues[:5])
    assert all(len({row for row, _ in places}) == 3 for places in arrangements(five))


def test_a_tongue_alone_goes_to_an_outer_row_where_the_rest_of_its_row_is_not_cut_loose(six: Drum) -> None:
    five = replace(six, tongues=six.tongues[:5])
    wish = Wish(hz=HZ[:5], lengths_mm=LENGTHS[:5])
    rows = [row for row, _ in ranked(five, wish, 1000.0)[0]]
    assert rows.count(2) == 2
