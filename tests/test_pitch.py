"""Notes, hertz and cents."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.errors import NoteError
from kerftone.pitch import (
    JUST_RATIOS,
    TEMPERAMENTS,
    Temperament,
    cents,
    equal_hz,
    nearest_note,
    note_name,
    note_number,
    note_spelled,
    sharpened,
    targets_hz,
)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("note", "hz"),
    # The equal-tempered scale at A4 = 440 Hz as printed in acoustics texts, from memory.
    [("A4", 440.0), ("C4", 261.626), ("D3", 146.832), ("F#4", 369.994), ("Bb2", 116.541), ("C2", 65.406)],
)
def test_notes_sound_at_the_printed_pitches(note: str, hz: float) -> None:
    assert targets_hz([note])[0] == pytest.approx(hz, abs=5e-4)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("steps", "size"),
    # Sizes of just intervals in cents, from memory; they are in every table of intervals.
    [(3, 315.641), (4, 386.314), (5, 498.045), (7, 701.955), (9, 884.359), (11, 1088.269)],
)
def test_just_intervals_have_their_published_sizes(steps: int, size: float) -> None:
    assert cents(float(JUST_RATIOS[steps]), 1.0) == pytest.approx(size, abs=5e-4)


def test_just_pitches_stand_on_the_lowest_note_wherever_it_is_listed() -> None:
    low_last = targets_hz(["A3", "D4", "D3"], temperament="just")
    assert low_last[2] == targets_hz(["D3"])[0]
    assert low_last[0] / low_last[2] == pytest.approx(3 / 2, rel=1e-12)
    assert low_last[1] / low_last[2] == pytest.approx(2, rel=1e-12)


def test_just_ratios_rise_and_stay_within_a_fifth_of_a_semitone_of_equal_temperament() -> None:
    assert list(JUST_RATIOS) == sorted(JUST_RATIOS)
    for steps, ratio in enumerate(JUST_RATIOS):
        assert abs(cents(float(ratio), 1.0) - 100 * steps) < 20


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("F#4", "F♯4"),
        ("Bb3", "B♭3"),
        ("C#4", "Db4"),
        ("d3", "D3"),
        ("B#3", "C4"),
        ("Cb4", "B3"),
        ("bb3", "A#3"),
        ("BB3", "A#3"),
    ],
)
def test_two_ways_to_write_a_note_mean_the_same(one: str, other: str) -> None:
    assert note_number(one) == note_number(other)


def test_the_octave_turns_over_at_c() -> None:
    assert note_number("C4") - note_number("B3") == 1


@pytest.mark.refusal
@pytest.mark.parametrize("text", ["", "H3", "3D", "D##3", "D 3 4", "D3.5", "Re3", "D٣", "A444"])
def test_a_name_that_is_no_note_is_refused_with_examples(text: str) -> None:
    with pytest.raises(NoteError, match="write D3, F#4 or Bb3"):
        note_number(text)


@pytest.mark.refusal
def test_a_note_without_its_octave_is_told_so_and_offered_two() -> None:
    with pytest.raises(NoteError, match=r"'f♯' has no octave.*C4 is.*write F#3 or F#4"):
        note_number("f♯")


@pytest.mark.parametrize("typed", ["Bb3", "bb3", "B♭3", "BB3", " b♭3 "])
def test_however_a_note_is_typed_it_is_shown_in_one_form(typed: str) -> None:
    assert note_spelled(typed) == "Bb3"


@pytest.mark.roundtrip
@given(st.integers(min_value=0, max_value=127), st.booleans())
def test_names_read_back(number: int, flats: bool) -> None:
    assert note_number(note_name(number, flats=flats)) == number


@given(st.floats(min_value=20.0, max_value=5000.0), st.floats(min_value=380.0, max_value=500.0))
def test_the_nearest_note_and_its_cents_give_the_pitch_back(hz: float, reference: float) -> None:
    near = nearest_note(hz, reference_hz=reference)
    assert -50.0000001 <= near.cents <= 50.0000001
    back = sharpened(equal_hz(note_number(near.name), reference_hz=reference), near.cents)
    assert back == pytest.approx(hz, rel=1e-12)


@pytest.mark.refusal
@pytest.mark.parametrize("hz", [0.0, -3.0, float("nan"), float("inf")])
def test_what_is_no_pitch_has_no_nearest_note(hz: float) -> None:
    with pytest.raises(NoteError, match="above zero"):
        nearest_note(hz)


def test_a_temperament_is_one_entry_in_one_table() -> None:
    """The names that a drum file may have are those of the table."""
    assert set(TEMPERAMENTS) == set(get_args(Temperament))
    assert all(one.ratio(12) == 2.0 and one.ratio(0) == 1.0 for one in TEMPERAMENTS.values())
