from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from kerftone.errors import BoardError
from kerftone.modal.free_board import free_tones
from kerftone.tune.identify import Identified, identify
from kerftone.wood.board import Board, Tap
from kerftone.wood.species import find_species

REFERENCE = Path(__file__).parents[1] / "reference" / "modes.json"
CHERRY, POPLAR = find_species("cherry, black"), find_species("yellow-poplar")
SIZE_MM = (430.0, 195.0, 16.4)


def told(name: str) -> tuple[Board, dict[str, float]]:
    """A reference board as its maker would know it: its size, its weight and the tones another program gave."""
    boards = json.loads(REFERENCE.read_text("utf-8"))["free_boards"]
    board = next(board for board in boards if board["name"] == name)
    length, width, thick = board["board_mm"]
    taps = tuple(Tap(hz=hz, motion="unknown") for hz in board["modes_hz"])
    mass = board["density"] * length * width * thick * 1e-6
    made = Board(
        species=POPLAR,
        length_mm=length,
        width_mm=width,
        thickness_mm=thick,
        mass_g=mass,
        cut="quartersawn",
        taps=taps,
    )
    return made, board["elastic_gpa"]


@pytest.mark.outside
@pytest.mark.parametrize("name", ["B1", "B2"])
def test_the_wood_of_a_board_is_found_from_the_tones_another_program_gave(name: str) -> None:
    """CalculiX's tones of tests/reference/modes.json; nobody says which motion a tone is."""
    board, true = told(name)
    found = identify(board)
    assert all(tone.kind is not None for tone in found.tones)
    wood = found.found.elastic
    assert wood.e_l_gpa == pytest.approx(true["e_l"], rel=0.005)
    assert wood.g_lr_gpa == pytest.approx(true["g_lr"], rel=0.02)
    if name == "B2":
        assert wood.e_r_gpa == pytest.approx(true["e_r"], rel=0.03)
        assert not found.untold
    else:  # a narrow strip: its tones answer to E across by 2 cents a doubling, which nobody hears
        assert [one.name for one in found.untold] == ["e_r_gpa"] and found.after[1] > 0.15


@pytest.mark.outside
def test_a_board_of_another_thickness_is_not_found_right() -> None:
    """The check above must fail for a board that was measured wrong."""
    board, true = told("B2")
    found = identify(replace(board, thickness_mm=board.thickness_mm + 0.5))
    assert found.found.elastic.e_l_gpa != pytest.approx(true["e_l"], rel=0.02)


def sounding(*, factors: dict[str, float], taps: tuple[str, ...]) -> tuple[Board, dict[str, float]]:
    """A cherry board whose wood differs from the mean by these factors, tapped for these motions."""
    wood = CHERRY.elastic()
    true = replace(wood, **{name: factor * getattr(wood, name) for name, factor in factors.items()})
    tones = free_tones(size_mm=SIZE_MM, elastic=true, cut="flatsawn")
    heard = tuple(
        Tap(hz=float(tones.hz[tones.kinds.index(kind)]), motion=kind)  # type: ignore[arg-type]
        for kind in taps
    )
    mass = true.density_kg_m3 * SIZE_MM[0] * SIZE_MM[1] * SIZE_MM[2] * 1e-6
    board = Board(
        species=CHERRY,
        length_mm=SIZE_MM[0],
        width_mm=SIZE_MM[1],
        thickness_mm=SIZE_MM[2],
        mass_g=mass,
        taps=heard,
    )
    return board, {name: float(value) for name, value in vars(true).items()}


STIFF = dict.fromkeys(("e_l_gpa", "e_r_gpa", "e_t_gpa", "g_lr_gpa", "g_lt_gpa", "g_rt_gpa"), 1.25)


def test_one_tone_moves_the_stiffness_and_leaves_the_ratios_of_the_species() -> None:
    board, true = sounding(factors=STIFF, taps=("along",))
    wood, mean = identify(board).found.elastic, CHERRY.elastic()
    assert wood.e_l_gpa == pytest.approx(true["e_l_gpa"], rel=0.01)
    assert wood.e_t_gpa / wood.e_l_gpa == pytest.approx(mean.e_t_gpa / mean.e_l_gpa, rel=0.01)
    assert wood.g_lt_gpa / wood.e_l_gpa == pytest.approx(mean.g_lt_gpa / mean.e_l_gpa, rel=0.01)


def test_more_motions_tell_more_constants() -> None:
    odd = {"e_l_gpa": 1.2, "e_t_gpa": 0.85, "g_lt_gpa": 1.15}
    board, true = sounding(factors=odd, taps=("along", "twisting", "across"))
    found = identify(board)
    for name in odd:
        assert getattr(found.found.elastic, name) == pytest.approx(true[name], rel=0.03), name
    one = identify(replace(board, taps=board.taps[:1]))
    e_t = 2
    assert found.after[e_t] < 0.3 * one.after[e_t]
    assert one.after[0] < 0.25 * one.before[0]


def test_a_tone_that_fits_no_motion_is_left_out_and_the_rest_tell_the_same() -> None:
    board, true = sounding(factors=STIFF, taps=("along", "twisting", "across"))
    strange = Tap(hz=board.taps[1].hz * 1.3, motion="twisting")
    found = identify(replace(board, taps=(*board.taps, Tap(hz=97.0, motion="unknown"))))
    assert [tone.kind for tone in found.tones] == ["along", "twisting", "across", None]
    assert found.found.elastic.e_l_gpa == pytest.approx(true["e_l_gpa"], rel=0.01)
    again = identify(replace(board, taps=(board.taps[0], strange)))
    assert kinds(again)[0] == "along"


@pytest.mark.slow
def test_a_quartersawn_board_that_was_called_flatsawn_is_suspected() -> None:
    board, _ = told("B2")
    assert identify(replace(board, cut="flatsawn")).other_cut == "quartersawn"


def kinds(found: Identified) -> list[str | None]:
    return [tone.kind for tone in found.tones]


def test_a_strip_cut_off_the_board_tells_its_stiffness_too() -> None:
    wood = replace(CHERRY.elastic(), e_l_gpa=15.0)
    size = (300.0, 30.0, 12.0)
    tones = free_tones(size_mm=size, elastic=wood, cut="flatsawn")
    mass = wood.density_kg_m3 * size[0] * size[1] * size[2] * 1e-6
    board = Board(
        species=CHERRY,
        length_mm=size[0],
        width_mm=size[1],
        thickness_mm=size[2],
        mass_g=mass,
        taps=(Tap(hz=float(tones.hz[0])),),
    )
    assert identify(board).found.elastic.e_l_gpa == pytest.approx(15.0, rel=0.01)


@pytest.mark.refusal
def test_tones_of_no_board_are_refused_with_what_the_board_should_sound() -> None:
    board, _ = sounding(factors={}, taps=())
    with pytest.raises(BoardError, match=r"None of the tones \(40 Hz\).*along about 4\d\d Hz"):
        identify(replace(board, taps=(Tap(hz=40.0),)))


@pytest.mark.refusal
def test_a_board_without_tones_is_told_to_be_tapped() -> None:
    board, _ = sounding(factors={}, taps=())
    with pytest.raises(BoardError, match="no tones yet"):
        identify(board)
