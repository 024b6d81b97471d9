from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.notes_in_air import tongues_in_air
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum, Side, Tongue, Units
from kerftone.drum.file import parse_drum
from kerftone.errors import OutlineError
from kerftone.modal.result import Modes
from kerftone.modal.solve import solve
from kerftone.tune.before_search import aims_hz, reach_mm, room_mm, started_drum, task_for
from kerftone.tune.begin import first_drum
from kerftone.tune.choose import chosen_drum
from kerftone.tune.fit import Fit, _next_step, _not_reached, finished_air, fit, own_modes
from kerftone.tune.lengths import guess_length_mm
from kerftone.tune.reach import OutOfReach

from ..drums import REED, WREN


@pytest.fixture(scope="module")
def pair() -> Drum:
    """Two tongues in one row, without lengths: where more prove nothing, and two are solved in seconds."""
    drum = parse_drum(WREN)
    return replace(drum, tongues=tuple(replace(tongue, length_mm=None) for tongue in drum.tongues))


@pytest.fixture(scope="module")
def wanted() -> Drum:
    """Four notes on a board of the size that `kerftone new` works out, places given: two facing pairs are all that
    more tongues repeat. The slow tests below fit five and six."""
    drum = first_drum("Test", ("D3", "G3", "A3", "D4"), "cherry, black")
    places: tuple[tuple[int, Side], ...] = ((1, "left"), (2, "right"), (2, "left"), (1, "right"))
    tongues = (replace(t, row=row, side=side) for t, (row, side) in zip(drum.tongues, places, strict=True))
    return replace(drum, tongues=tuple(tongues))


@pytest.fixture(scope="module")
def fitted(wanted: Drum) -> Fit:
    return fit(wanted)


def assert_in_tune(drum: Drum, *, clear: float = 0.9) -> None:
    """By a solve of its own every tongue sounds its aim in air within a cent and is clear."""
    solution = solve(drum)
    notes = tongues_in_air(drum, solution.modes(), finished_air(solution))
    for note, aim in zip((one.heard for one in notes), aims_hz(drum), strict=True):
        assert abs(1200.0 * math.log2(note.hz / aim)) <= 1.0, drum.tongues[note.number].note
        assert note.clarity >= clear, drum.tongues[note.number].note


def test_every_tongue_sounds_its_aim_within_a_cent_in_at_most_four_full_solves(fitted) -> None:
    aims = aims_hz(fitted.drum)
    assert aims[3] / aims[0] == pytest.approx(2.0)
    for note, aim in zip(fitted.notes, aims, strict=True):
        assert note.hz == pytest.approx(aim, rel=0.0006)
    assert fitted.full_solves <= 4
    assert max(abs(cents) for cents in fitted.off_cents) <= 1.0
    check_outline(fitted.drum)


def test_the_finished_drum_is_aimed_at_so_its_wood_alone_is_sharp_of_the_aim(fitted) -> None:
    """Air lowers these notes, each by its own amount: the wood is cut as much too high."""
    for note, aim in zip(fitted.notes, aims_hz(fitted.drum), strict=True):
        sharp = 1200.0 * math.log2(fitted.solution.hz[note.mode] / aim)
        assert 2.0 < sharp < 30.0


def test_places_given_by_hand_are_kept_and_no_other_arrangement_is_compared(fitted, wanted) -> None:
    places = [(tongue.row, tongue.side) for tongue in fitted.drum.tongues]
    assert places == [(tongue.row, tongue.side) for tongue in wanted.tongues]
    assert fitted.clarity_worst is None and fitted.clarity_best is None
    assert fitted.drum.top == wanted.top and fitted.drum.slots == wanted.slots


@pytest.mark.slow
def test_lengths_do_not_depend_on_where_it_starts(pair) -> None:
    """Within what a cent is worth in length, some 0.2 mm."""
    first, again = fit(pair), fit(pair.with_lengths((110.0, 125.0)))
    for one, other in zip(first.drum.tongues, again.drum.tongues, strict=True):
        assert one.length_mm == pytest.approx(other.length_mm, abs=0.5)


def test_a_tongue_alone_in_its_row_comes_in_tune_too_as_a_solve_of_its_own_finds(pair) -> None:
    alone = replace(pair, tongues=pair.tongues[:1])
    result = fit(alone)
    assert [note.hz for note in result.notes] == pytest.approx(aims_hz(alone), rel=0.0006)
    solution = solve(result.drum)
    again = tongues_in_air(result.drum, solution.modes(), finished_air(solution))
    assert [one.heard.hz for one in again] == pytest.approx([note.hz for note in result.notes], rel=1e-6)


@pytest.mark.slow
def test_free_places_are_found_and_the_file_of_progress_rises(pair) -> None:
    said: list[str] = []
    free = replace(pair, tongues=tuple(Tongue(note=tongue.note) for tongue in pair.tongues))
    result = fit(free, said.append)
    assert {tongue.side for tongue in result.drum.tongues} == {"left", "right"}
    assert result.clarity_worst is not None and result.clarity_best is not None
    assert result.clarity_worst <= result.clarity_reached <= result.clarity_best
    done = [int(words.split("(")[1].split(" %")[0]) for words in said if "% done" in words]
    assert done == sorted(done) and done[0] == 0 and done[-1] < 100
    assert any("cents off its aim" in words for words in said)


@pytest.mark.slow
@pytest.mark.refusal
def test_notes_too_long_for_the_board_name_the_row_and_what_would_take_them(pair) -> None:
    short = replace(pair, top=replace(pair.top, length_mm=270.0))
    with pytest.raises(OutOfReach) as caught:
        fit(short)
    text = str(caught.value)
    for word in ("Row", "needs", "too little", "a top ", " long", "thick", "semitone"):
        assert word in text, text
    assert caught.value.short_mm > 0.0
    assert caught.value.nearest == pytest.approx(270.0 + caught.value.short_mm, abs=6.0)
    assert all(tongue.length_mm for tongue in caught.value.found.tongues), "what was found is kept"
    longer = replace(short, top=replace(short.top, length_mm=caught.value.nearest))
    assert max(abs(cents) for cents in fit(longer).off_cents) <= 1.0


@pytest.mark.refusal
def test_a_note_too_high_for_the_thickness_says_so(pair) -> None:
    thin = replace(pair.top, thickness_mm=8.0)
    high = replace(pair, top=thin, tongues=(pair.tongues[0], Tongue(note="C7", row=1, side="right")))
    with pytest.raises(OutlineError, match=r"Tongue 2 \(C7\) would have to be shorter than"):
        fit(high)


@pytest.mark.refusal
def test_what_stays_off_is_said_of_the_worst_tongue_and_its_lengths_are_kept(wanted) -> None:
    drum = wanted.with_lengths((150.0,) * 4)
    refused = _not_reached(drum, np.array([0.4, -1.0, 17.2, -17.1]))
    assert "Tongue 3 (A3) stays +17.2 cents off its aim" in str(refused)
    assert refused.found == drum and (refused.given, refused.limit) == (17.2, 5.0)


def modes_of(hz: list[float], moves: list[list[float]]) -> Modes:
    """Modes of tongues that move and push so much air in each."""
    loud = np.array(moves)
    return Modes(hz=np.array(hz), strike=loud, sweep=loud, volume=np.ones(len(hz)), unknowns=2, seconds=0.0)


def test_each_tongue_has_a_mode_of_its_own() -> None:
    """Two tongues that share two modes: each gets the one near its aim, though both move most in the first."""
    modes = modes_of([200.0, 300.0], [[1.0, 0.4], [1.0, 0.9]])
    own, off = own_modes(modes, (200.0, 300.0))
    assert own == [0, 1] and abs(off).max() < 1e-9


def test_a_mode_near_the_aim_that_the_tongue_does_not_sound_is_not_its_own() -> None:
    """A tone of the box right on the aim, in which the tongue hardly moves, and its own note 30 cents above."""
    up = 2.0 ** (30.0 / 1200.0)
    own, off = own_modes(modes_of([200.0, 200.0 * up], [[0.05, 1.0]]), (200.0,))
    assert own == [1] and off[0] == pytest.approx(30.0)


def test_a_note_far_off_is_still_read() -> None:
    own, off = own_modes(modes_of([150.0, 400.0], [[1.0, 0.01]]), (200.0,))
    assert own == [0] and off[0] == pytest.approx(-498.0, abs=0.1)


NINE = ("C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5")


@pytest.mark.parametrize("count", range(1, 10))
def test_what_it_starts_from_can_be_sawn_for_any_count_of_notes(count: int) -> None:
    drum = first_drum("T", NINE[:count], "cherry, black")
    started = started_drum(drum, aims_hz(drum))
    check_outline(started)
    assert len({(tongue.row, tongue.side) for tongue in started.tongues}) == count


def test_lengths_that_the_file_has_are_where_it_starts(pair) -> None:
    drum = pair.with_lengths((140.0, 105.0))
    assert started_drum(drum, aims_hz(drum)) == drum


def test_only_whole_places_are_the_makers(pair) -> None:
    """A row without a side is no place."""
    drum = replace(pair, tongues=(pair.tongues[0], replace(pair.tongues[1], side=None)))
    assert task_for(drum, aims_hz(drum)).fixed == ((1, "left"), None)


def test_tables_reach_beyond_every_length_that_may_be_asked_for() -> None:
    drum = first_drum("T", ("C3", "C5"), "cherry, black")
    low, high = reach_mm(drum, aims_hz(drum))
    for back in (1.0, 4.0):
        lengths = [guess_length_mm(drum.top, hz, set_back=back) for hz in aims_hz(drum)]
        assert low < lengths[1] < lengths[0] < high


def test_the_room_of_a_row_is_what_its_two_tongues_may_have(pair) -> None:
    """320 mm of board less margins of 26 mm and a kerf of 3 mm."""
    assert room_mm(pair) == 265.0


LETTERS: tuple[tuple[int, Side], ...] = ((1, "left"), (2, "right"), (2, "left"), (1, "right"))


@pytest.mark.slow
def test_places_given_by_hand_on_a_longer_board_come_in_tune() -> None:
    """Places that nobody would choose: root bars let the notes come in tune in them all the same."""
    drum = parse_drum(REED)
    drum = replace(drum, box=replace(drum.box, root_bar_mm=20.0, root_bar_height_mm=40.0))
    tongues = (replace(t, row=r, side=s) for t, (r, s) in zip(drum.tongues, LETTERS, strict=True))
    longer = replace(drum, top=replace(drum.top, length_mm=500.0), tongues=tuple(tongues))
    result = fit(replace(longer, tongues=tuple(replace(t, length_mm=None) for t in longer.tongues)))
    assert [(t.row, t.side) for t in result.drum.tongues] == list(LETTERS)
    assert_in_tune(result.drum, clear=0.0)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("notes", "wood", "units"),
    [
        ("D4 F4 A4", "cherry, black", "mm"),
        ("C4 D4 E4 G4 A4 C5", "walnut, black", "in"),
    ],
)
def test_the_drums_people_build_first_come_out_in_tune_and_clear(notes: str, wood: str, units: Units) -> None:
    chosen = chosen_drum("T", tuple(notes.split()), wood, units=units)
    assert_in_tune(fit(chosen.drum).drum)


def test_a_note_that_answers_twice_what_it_is_moved_is_caught_by_the_second_step() -> None:
    answers, off = np.array([1.0, 1.9, 0.7]), np.array([-3.0, -12.5, 8.0])
    step, before = np.zeros(3), np.zeros(3)
    left = []
    for _ in range(3):
        step, before = _next_step(step, before, off), off
        off = off - answers * step
        left.append(float(abs(off).max()))
    assert left[0] > 11.0, "the first step cannot know, and overshoots"
    assert left[1] < 1e-9
    plain = np.array([-3.0, -12.5, 8.0])
    for _ in range(3):
        plain = plain - answers * plain
    assert abs(plain).max() > 9.0, "without it the second note swings on"
