"""Scales: their degrees against books and other programs, their spelling, and what is said of a wrong name."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.errors import NoteError, ScaleError
from kerftone.pitch import note_number, note_spelled
from kerftone.scales import find_scale, read_key, scale_notes, scale_table


@pytest.mark.outside
@pytest.mark.parametrize(
    ("name", "on_c"),
    # The scales of music21 10.5 (module scale) on C, written down from its output; flats there are "-".
    [
        ("major", "C D E F G A B"),
        ("minor", "C D Eb F G Ab Bb"),
        ("harmonic minor", "C D Eb F G Ab B"),
        ("melodic minor", "C D Eb F G A B"),
        ("dorian", "C D Eb F G A Bb"),
        ("phrygian", "C Db Eb F G Ab Bb"),
        ("lydian", "C D E F# G A B"),
        ("mixolydian", "C D E F G A Bb"),
        ("locrian", "C Db Eb F Gb Ab Bb"),
        # Encyclopedias: the Hungarian minor on C; the hirajoshi of Sachs and Slonimsky, also called iwato;
        # the hirajoshi of Kostka and Payne, Tonal Harmony (1995), p. 484.
        ("hungarian minor", "C D Eb F# G Ab B"),
        ("iwato", "C Db F Gb Bb"),
        ("hirajoshi", "C D Eb G Ab"),
    ],
)
def test_a_scale_has_the_notes_that_others_give_it(name: str, on_c: str) -> None:
    assert read_key(f"C {name}").notes == tuple(on_c.split())


@pytest.mark.outside
@pytest.mark.parametrize(
    ("name", "ratios"),
    # The Scala archive of tunings: prime_5, hirajoshi2 (after Helmholtz and Ellis), harrison_min, harrison_5.
    # Each ratio lies within a quarter of a semitone of the scale's note.
    [
        ("major pentatonic", [(1, 1), (9, 8), (5, 4), (3, 2), (5, 3)]),
        ("hirajoshi", [(1, 1), (9, 8), (6, 5), (3, 2), (8, 5)]),
        ("dorian pentatonic", [(1, 1), (6, 5), (4, 3), (3, 2), (5, 3)]),
        ("pelog-like pentatonic", [(1, 1), (16, 15), (6, 5), (3, 2), (8, 5)]),
    ],
)
def test_a_scale_lies_at_the_ratios_of_a_tuning_archive(name: str, ratios: list[tuple[int, int]]) -> None:
    heights = [12 * math.log2(top / under) for top, under in ratios]
    assert find_scale(name).semitones == pytest.approx(heights, abs=0.25)


@pytest.mark.outside
def test_the_minor_pentatonic_is_the_natural_minor_without_second_and_sixth() -> None:
    # As primers of music theory put it, and the major one as the major scale without fourth and seventh.
    minor, major = read_key("A minor").notes, read_key("A major").notes
    assert read_key("A minor pentatonic").notes == tuple(minor[at] for at in (0, 2, 3, 4, 6))
    assert read_key("A major pentatonic").notes == tuple(major[at] for at in (0, 1, 2, 4, 5))


@pytest.mark.outside
@pytest.mark.parametrize(
    ("typed", "notes"),
    # Key signatures, from memory; they are in every primer.
    [
        ("Bb major", "Bb C D Eb F G A"),
        ("E major", "E F# G# A B C# D#"),
        ("C minor", "C D Eb F G Ab Bb"),
        ("F# minor", "F# G# A B C# D E"),
    ],
)
def test_keys_are_spelled_as_their_signatures_say(typed: str, notes: str) -> None:
    assert read_key(typed).notes == tuple(notes.split())


def test_every_scale_begins_on_its_tonic_rises_and_says_how_it_is_known() -> None:
    assert len(scale_table()) > 20
    for scale in scale_table().values():
        steps = scale.semitones
        assert steps[0] == 0 and list(steps) == sorted(set(steps)) and steps[-1] < 12, scale.name
        assert scale.known
    names = [name for scale in scale_table().values() for name in (scale.name, *scale.also)]
    assert len({find_scale(name).name for name in names}) == len(scale_table())


@pytest.mark.parametrize(
    "typed",
    [
        "d MINOR pentatonic",
        "Dm pentatonic",
        "D pentatonic minor scale",
        "D min penta",
        " D  minor-pentatonic",
    ],
)
def test_a_scale_may_be_typed_in_several_ways(typed: str) -> None:
    assert scale_notes(typed, count=6) == ("D3", "F3", "G3", "A3", "C4", "D4")


def test_a_tonic_may_be_spoken_or_carry_its_octave() -> None:
    assert read_key("B flat major").name == "Bb major" and read_key("f sharp dorian").name == "F# dorian"
    assert scale_notes("D4 minor", count=2) == ("D4", "E4")


def test_a_drum_may_begin_on_any_note_of_the_scale_or_in_any_octave() -> None:
    assert scale_notes("D minor pentatonic", count=4, first="a3") == ("A3", "C4", "D4", "F4")
    assert scale_notes("D minor pentatonic", count=2, first="4") == ("D4", "F4")


def test_what_would_be_a_double_accidental_is_spelled_as_a_tuner_shows_it() -> None:
    assert read_key("D# major").notes == ("D#", "F", "G", "G#", "A#", "C", "D")
    assert read_key("Gb minor pentatonic").notes == ("Gb", "A", "B", "Db", "E")


@given(
    st.sampled_from(sorted(scale_table())),
    st.sampled_from([letter + sign for letter in "ABCDEFG" for sign in ("", "#", "b")]),
    st.integers(1, 5),
    st.integers(1, 20),
)
def test_notes_rise_by_the_steps_of_the_scale_from_octave_to_octave(
    name: str, tonic: str, octave: int, count: int
) -> None:
    notes = scale_notes(f"{tonic} {name}", count=count, first=f"{tonic}{octave}")
    steps = find_scale(name).semitones
    low = note_number(f"{tonic}{octave}")
    heights = [note_number(note) - low for note in notes]
    assert heights == [12 * (at // len(steps)) + steps[at % len(steps)] for at in range(count)]
    assert [note_spelled(note) for note in notes] == list(notes)


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("D minor pentatonik", ["'minor pentatonik'", "'minor pentatonic'", "another of the list"]),
        ("D mixolidian", ["'mixolydian'"]),
        ("minor pentatonic", ["names no tonic", "write 'D minor pentatonic'"]),
        ("H minor", ["names no tonic", "A to G", "'D minor'"]),
        ("", ["names no tonic", "'D minor pentatonic'"]),
        ("Eb", ["is a note only", "'Eb major'"]),
        ("D" + "x" * 500, ["..."]),
    ],
)
def test_what_is_no_scale_is_refused_with_the_nearest(typed: str, words: list[str]) -> None:
    with pytest.raises(ScaleError) as caught:
        scale_notes(typed, count=6)
    assert [word for word in words if word not in str(caught.value)] == [], caught.value
    assert caught.value.nearest and len(str(caught.value)) < 400


@pytest.mark.refusal
def test_a_drum_cannot_begin_beside_the_scale() -> None:
    with pytest.raises(ScaleError, match=r"C#3 is not a note of D minor pentatonic.*D F G A C.*C3 or D3"):
        scale_notes("D minor pentatonic", count=6, first="C#3")
    with pytest.raises(NoteError, match="'D' has no octave"):
        scale_notes("D minor pentatonic", count=6, first="D")
