"""A first drum file reads back to the drum it was made from, and tells a newcomer what is what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.drum import Bore, Bottom, Drum, Shop, Tongue, drum_text, parse_drum
from kerftone.wood import find_species, species_table

from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))


def size(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def drums(draw: st.DrawFn) -> Drum:
    """Any drum the file can hold, with species' own constants or the maker's."""
    wood = find_species(draw(st.sampled_from(sorted(species_table()))))
    elastic, scatter = wood.elastic(), wood.scatter()
    if draw(st.booleans()):
        elastic = replace(elastic, e_l_gpa=draw(size(8.0, 20.0)))
        scatter = scatter.without(frozenset({"e_l"}))
    places = [(row, side) for row in (1, 2) for side in ("left", "right")]
    notes = draw(st.lists(st.sampled_from(["D3", "F#3", "Bb4", "C5"]), min_size=4, max_size=4))
    free = draw(st.booleans())
    tongues = tuple(
        Tongue(note=note) if free else Tongue(note=note, row=row, side=side, length_mm=draw(size(30, 900)))
        for note, (row, side) in zip(notes, places, strict=True)
    )
    ends = st.sampled_from(["square", "round", "slant", "curve", ((-4.25, -20.0), (0.0, 1.5), (-1.0, 20.0))])
    return replace(
        W1,
        name=draw(st.text(max_size=12)),
        top=replace(
            W1.top,
            wood=wood.name,
            elastic=elastic,
            scatter=scatter,
            length_mm=draw(size(100, 2000)),
            cut=draw(st.sampled_from(["flatsawn", "quartersawn"])),
            grain_angle_deg=draw(size(-90, 90)),
        ),
        slots=replace(W1.slots, tongue_end=draw(ends), stop_hole_mm=draw(size(0, 40))),
        tongues=tongues,
        bores=tuple(
            Bore(x_mm=draw(size(0, 2000)), y_mm=draw(size(0, 500)), diameter_mm=20.0, depth_mm=4.0)
            for _ in range(draw(st.integers(0, 2)))
        ),
        bottom=Bottom(
            wood=wood.name,
            elastic=wood.elastic(),
            scatter=wood.scatter(),
            thickness_mm=9.0,
            cut=draw(st.sampled_from(["flatsawn", "quartersawn"])),
        )
        if draw(st.booleans())
        else None,
        shop=draw(
            st.just(Shop())
            | st.builds(
                Shop,
                bits_mm=st.sets(size(2, 100), min_size=1, max_size=6).map(lambda bits: tuple(sorted(bits))),
                depth_step_mm=size(0.05, 10),
                depth_error_mm=size(0.01, 5),
                place_error_mm=size(0.01, 20),
                min_left_mm=size(1, 50),
                min_web_mm=size(0.5, 50),
            )
        ),
        tuning=replace(W1.tuning, temperament=draw(st.sampled_from(["equal", "just"]))),
    )


@pytest.mark.roundtrip
@given(drums())
def test_in_millimetres_it_reads_back_to_the_very_same_drum(drum: Drum) -> None:
    assert parse_drum(drum_text(drum)) == drum


@pytest.mark.roundtrip
@pytest.mark.parametrize("name", ["W1", "W2", "W4"])
def test_in_inches_it_reads_back_to_a_hundredth_of_a_millimetre(name: str) -> None:
    drum = parse_drum(reference_toml(name))
    back = parse_drum(drum_text(drum, units="in"))
    assert back.units == "in"
    for mine, its in zip(drum.tongues, back.tongues, strict=True):
        assert its.length_mm == pytest.approx(mine.length_mm, abs=0.0013)
        assert (its.note, its.row, its.side) == (mine.note, mine.row, mine.side)
    assert back.box.wall_mm == pytest.approx(drum.box.wall_mm, abs=0.0013)
    assert back.box.elastic == drum.box.elastic
    assert len(back.bores) == len(drum.bores)


@pytest.mark.roundtrip
def test_a_wood_known_only_by_its_constants_reads_back() -> None:
    text = reference_toml("W1").replace('wood = "cherry, black"\n', "").replace("ash, white", "old oak beam")
    drum = parse_drum(text)
    assert parse_drum(drum_text(drum)) == drum


def test_every_table_and_the_less_plain_keys_are_explained() -> None:
    lines = drum_text(W1).split("\n")
    for key in ("kerf", "end_margin", "side_margin", "aim_cents", "cut", "stands", "mount", "tongue_end"):
        line = next(line for line in lines if line.startswith(f"{key} = "))
        assert "  # " in line, key
    assert max(map(len, lines)) <= 110


def test_a_species_own_constants_are_not_repeated() -> None:
    cherry = find_species("cherry, black")
    drum = replace(W1, top=replace(W1.top, elastic=cherry.elastic()))
    assert "[top.elastic]" not in drum_text(drum)
    assert "[top.elastic]" in drum_text(W1)
