from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.board_file import NAMES, add_taps, parse_board, read_board, save_found, save_new
from kerftone.drum.file import read_drum
from kerftone.errors import BoardError, DrumFileError, Remedy, WriteError
from kerftone.wood.board import Board, Found, Tap, new_board
from kerftone.wood.species import find_species

DRUM = """
name = "Wren"
[top]
board = "boards/cherry-2.toml"
length = 400.0
width = 180.0
thickness = {thickness}
[slots]
kerf = 3.0
end_margin = 20.0
side_margin = 20.0
[[tongues]]
note = "A3"
row = 1
side = "left"
length = 150.0
[box]
wood = "maple, sugar"
wall = 15.0
height = 100.0
"""


def measured() -> Board:
    return new_board("cherry, black", (430.0, 195.0, 16.4), 742.0, 8.0, "flatsawn")


def found() -> Found:
    """A result of round numbers, not of any real board."""
    rows = np.diag([1e-4] * len(NAMES))
    elastic = find_species("cherry, black").elastic()
    slips = (0.018,) + (0.0,) * (len(NAMES) - 1)
    return Found(elastic=elastic, covariance=tuple(tuple(row) for row in rows.tolist()), by_thickness=slips)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "boards" / "cherry-2.toml"
    save_new(path, measured(), "mm")
    return path


@pytest.mark.roundtrip
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_new_board_reads_back_as_it_was_measured(tmp_path: Path, units: str) -> None:
    path = tmp_path / "b.toml"
    save_new(path, measured(), units)  # type: ignore[arg-type]
    back = read_board(path)
    assert back.size_mm == pytest.approx((430.0, 195.0, 16.4), rel=1e-3)
    assert (back.mass_g, back.moisture_pct, back.species.name) == (742.0, 8.0, "cherry, black")


@pytest.mark.roundtrip
def test_taps_and_what_was_found_go_in_and_every_remark_of_the_maker_stays(file: Path) -> None:
    file.write_text(file.read_text().replace("width = 195.0", "width = 195.0   # planed on Sunday"))
    add_taps(file, [Tap(hz=418.0)], how="typed in")
    save_found(file, found(), ["± 1 %"] * len(NAMES))
    board = add_taps(file, [Tap(hz=282.0, motion="twisting")], how="typed in")
    assert [tap.hz for tap in board.taps] == [418.0, 282.0]
    assert board.found is not None and board.found.spreads()[0] == pytest.approx((1e-4 + 0.018**2) ** 0.5)
    again = save_found(file, found(), ["± 1 %"] * len(NAMES))
    assert again == board
    text = file.read_text()
    assert "# planed on Sunday" in text and text.count("[found]") == 1


def test_a_drum_uses_the_board_told_from_its_own_folder(file: Path) -> None:
    save_found(file, found(), ["± 1 %"] * len(NAMES))
    drum_file = file.parents[1] / "drum.toml"
    drum_file.write_text(DRUM.format(thickness=16.4))
    top = read_drum(drum_file).top
    assert (
        top.elastic.e_l_gpa == pytest.approx(found().elastic.e_l_gpa)
        and top.untested == find_species("cherry, black").scatter()
    )
    assert top.scatter.of("e_l") == pytest.approx(0.01)
    drum_file.write_text(DRUM.format(thickness=14.0))
    assert read_drum(drum_file).top.scatter.of("e_l") == pytest.approx((1e-4 + 0.018**2) ** 0.5)


@pytest.mark.refusal
def test_a_board_that_cannot_be_used_is_named_at_the_line_of_the_drum_file(file: Path) -> None:
    drum_file = file.parents[1] / "drum.toml"
    drum_file.write_text(DRUM.format(thickness=16.4))
    with pytest.raises(DrumFileError, match=r"line 4.*not been evaluated yet.*fit it") as refused:
        read_drum(drum_file)
    assert refused.value.remedies == (Remedy.FIT_BOARD,)
    save_found(file, found(), ["± 1 %"] * len(NAMES))
    drum_file.write_text(DRUM.format(thickness=16.4).replace("board =", 'wood = "teak"\nboard ='))
    with pytest.raises(DrumFileError, match="both board and wood"):
        read_drum(drum_file)


@pytest.mark.refusal
def test_a_board_is_never_written_over(file: Path) -> None:
    before = file.read_bytes()
    with pytest.raises(WriteError, match="there already"):
        save_new(file, measured(), "mm")
    assert file.read_bytes() == before


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("right", "wrong", "line", "says"),
    [
        ("mass = 742", "mass = 0.742", 7, "looks like kilograms; in grams that is 742"),
        ("mass = 742", "mass = 742000", 7, "looks like milligrams; in grams that is 742"),
        ("thickness = 16.4", "thickness = 99.0", 6, "must be the longer|no clear bending|smaller|kg/m³"),
        ('species = "cherry, black"', 'species = "chery"', 3, '"cherry, black"'),
        ("moisture = 8", "moisture = 60", 8, "nearest that works is 22 %"),
        ("length = 430.0", "lenght = 430.0", 4, "nearest key is length"),
        ('cut = "flatsawn"', 'cut = "sawn"', 9, "flatsawn"),
        ("width = 195.0", 'width = "wide"', 5, "width"),
    ],
)
def test_a_slip_gets_one_message_with_its_line_and_its_mend(
    file: Path, right: str, wrong: str, line: int, says: str
) -> None:
    text = file.read_text().replace(right, wrong)
    with pytest.raises(DrumFileError, match=says) as caught:
        parse_board(text, "b.toml")
    assert caught.value.line == line or "kg/m³" in str(caught.value)


@pytest.mark.refusal
def test_sizes_that_are_swapped_are_told() -> None:
    with pytest.raises(BoardError, match=r"thickness is 195 mm and the width 16.4 mm.*swapped"):
        new_board("cherry, black", (430.0, 16.4, 195.0), 742.0, 8.0, "flatsawn")
    with pytest.raises(BoardError, match="swap the two"):
        new_board("cherry, black", (195.0, 430.0, 16.4), 742.0, 8.0, "flatsawn")


@pytest.mark.refusal
def test_a_found_table_that_was_cut_short_is_refused(file: Path) -> None:
    save_found(file, found(), ["± 1 %"] * len(NAMES))
    lines = [line for line in file.read_text().splitlines() if not line.startswith("  [0.0")]
    with pytest.raises(DrumFileError, match="fit the board again"):
        parse_board("\n".join(lines), "b.toml")
