"""Plies in a drum file."""

from __future__ import annotations

import pytest
from tests.drums import WREN

from kerftone.drum.file import parse_drum
from kerftone.drum.season import in_air
from kerftone.drum.template import drum_text
from kerftone.errors import DrumFileError

PLIES = 'plies = [[4, "along"], [4, "across", "walnut"], [4, 30]]'


def with_plies(plies: str, wood: str = 'wood = "birch, yellow"') -> str:
    """Wren with a top of these plies."""
    return WREN.replace('wood = "cherry, black"', f"{wood}\n{plies}")


def test_plies_are_read_from_the_upper_face_down() -> None:
    top = parse_drum(with_plies(PLIES)).top
    assert [ply.wood for ply in top.plies] == ["birch, yellow", "walnut, black", "birch, yellow"]
    assert [ply.turn_deg for ply in top.plies] == [0.0, 90.0, 30.0]
    assert [ply.thickness_mm for ply in top.plies] == pytest.approx([4.0] * 3)
    assert top.wood == "birch, yellow plywood"


def test_thicknesses_are_taken_in_proportion() -> None:
    top = parse_drum(with_plies('plies = [[4.1, "along"], [4.1, "across"], [4.1, "along"]]')).top
    assert sum(ply.thickness_mm for ply in top.plies) == pytest.approx(12.0)


def test_in_an_inch_drum_plies_are_in_inches() -> None:
    text = with_plies("plies = [[1/6, along], [1/6, across], [1/6, along]]").replace('"mm"', '"in"')
    for mm, inches in (("320.0", "12.5"), ("70.0", "2 3/4"), ("12.0", "1/2"), ("26.0", "1"), ("20.0", "3/4")):
        text = text.replace(f"= {mm}", f"= {inches}")
    for mm, inches in (
        ("140.0", "5 1/2"),
        ("105.0", "4 1/8"),
        ("10.0", "3/8"),
        ("40.0", "1 1/2"),
        ("3.0", "1/8"),
    ):
        text = text.replace(f"= {mm}", f"= {inches}")
    top = parse_drum(text).top
    assert [ply.thickness_mm for ply in top.plies] == pytest.approx([25.4 / 6] * 3)


@pytest.mark.roundtrip
def test_a_drum_of_plies_is_written_and_read_back() -> None:
    bottom = '[bottom]\nthickness = 4.0\nglue_g_m2 = 60.0\nplies = [[2, "along", "teak"], [2, -30, "teak"]]\n'
    drum = parse_drum(with_plies(PLIES) + bottom)
    assert parse_drum(drum_text(drum)) == drum


def test_plies_grow_stiffer_when_dry() -> None:
    drum = parse_drum(with_plies(PLIES))
    dry = in_air(drum, 8.0)
    assert dry.top.elastic.e_l_gpa > drum.top.elastic.e_l_gpa
    assert all(
        a.elastic.e_l_gpa > b.elastic.e_l_gpa for a, b in zip(dry.top.plies, drum.top.plies, strict=True)
    )


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("plies", "said"),
    [
        ('plies = [[4, "along"]]', "list of 2 to 60 plies"),
        ('plies = [[4, "along"], [4, "across"]]', "8 mm together"),
        ('plies = [[4, "along"], [4, "sideways"], [4, "along"]]', "ply 2"),
        ('plies = [[4, "along"], [4, "across", "nosuchwood"], [4, "along"]]', "Nearest there"),
        ('plies = [[4, "along"], [99, "across"], [4, "along"]]', "ply 2 that is 99 mm"),
        ('plies = [[4, "along"], 4, [4, "along"]]', "as ply 2"),
    ],
)
def test_what_cannot_be_plies_is_refused(plies: str, said: str) -> None:
    with pytest.raises(DrumFileError) as refusal:
        parse_drum(with_plies(plies))
    assert said in str(refusal.value)
    assert refusal.value.line == 6


@pytest.mark.refusal
def test_plies_and_constants_of_the_makers_own_do_not_go_together() -> None:
    with pytest.raises(DrumFileError, match="both plies and elastic"):
        parse_drum(with_plies(PLIES).replace("[slots]", "[top.elastic]\ne_l = 10.0\n[slots]"))
    with pytest.raises(DrumFileError, match="names no wood"):
        parse_drum(with_plies('plies = [[6, "along"], [6, "across"]]', wood=""))
