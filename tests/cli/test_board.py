"""The commands of one board, as a newcomer types them; the last two tests solve a small drum."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kerftone.cli.board_work import grams
from kerftone.errors import BoardError

Run = Callable[..., Any]
SIZES = ("--length", "430", "--width", "195", "--thickness", "16.4")


@pytest.fixture
def board(run: Run, tmp_path: Path) -> Path:
    file = tmp_path / "boards" / "c.toml"
    ran = run(
        "board", "new", file, "--species", "cherry, black", *SIZES, "--mass", "742 g", "--moisture", "8"
    )
    assert ran.code == 0 and "540 kg/m³" in ran.out
    return file


@pytest.mark.parametrize(("text", "value"), [("742", 742.0), ("0.742 kg", 742.0), ("26.2 oz", 742.8)])
def test_a_mass_is_read_in_the_unit_it_was_written_in(text: str, value: float) -> None:
    assert grams(text) == pytest.approx(value, rel=1e-3)


@pytest.mark.refusal
@pytest.mark.parametrize("text", ["heavy", "-3 g", "0 g", "742 stone", "nan"])
def test_a_mass_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(BoardError, match="write '742 g'"):
        grams(text)


@pytest.mark.parametrize(
    ("motion", "says"), [("along", "96 mm in from either end"), ("twisting", "corner"), ("across", "44 mm")]
)
def test_without_a_tone_it_shows_where_to_hold_and_tap(run: Run, board: Path, motion: str, says: str) -> None:
    before = board.read_bytes()
    drawing = board.parent / "hold.svg"
    ran = run("board", "tap", board, "--motion", motion, "--drawing", drawing)
    assert ran.code == 0 and ran.out.count("X") >= 1 and says in " ".join(ran.out.split())
    assert max(len(line) for line in ran.out.splitlines()) <= 80
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")
    assert board.read_bytes() == before


def test_taps_become_constants_in_the_file(run: Run, board: Path) -> None:
    assert run("board", "tap", board, "--hz", 418).code == 0
    assert run("board", "tap", board, "--hz", 282, "--motion", "twisting").code == 0
    ran = run("board", "fit", board, "--json")
    assert (ran.code, ran.fault) == (0, None)
    constants = ran.document["constants"]
    assert constants["e_l_gpa"]["plus_minus_pct"] < 3.0 < constants["e_l_gpa"]["species_plus_minus_pct"]
    assert [tone["taken_for"] for tone in ran.document["tones"]] == ["along", "twisting"]
    assert "from the taps" in board.read_text()


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("fit",), "no tones yet"),
        (("tap", "--hz", "-3"), "from 10 to 20000"),
        (("tap", "--hz", "nan"), "from 10 to 20000"),
        (("tap", "--hz", "300", "--plus-minus", "0"), "0.01 to 200"),
        (("tap", "--drawing", "hold.png"), ".svg"),
    ],
)
def test_a_slip_ends_in_one_message_and_changes_nothing(
    run: Run, board: Path, arguments: tuple[str, ...], says: str
) -> None:
    before = board.read_bytes()
    ran = run("board", arguments[0], board, *arguments[1:])
    assert ran.code == 2 and ran.fault is None and says in ran.err
    assert board.read_bytes() == before


@pytest.mark.refusal
def test_tones_of_no_board_are_refused_and_the_file_stays(run: Run, board: Path) -> None:
    run("board", "tap", board, "--hz", 40)
    before = board.read_bytes()
    ran = run("board", "fit", board)
    assert ran.code == 2 and "None of the tones" in ran.err and "Traceback" not in ran.err
    assert board.read_bytes() == before


@pytest.mark.refusal
def test_a_board_that_is_there_is_never_overwritten(run: Run, board: Path) -> None:
    before = board.read_bytes()
    ran = run("board", "new", board, "--species", "teak", *SIZES, "--mass", "700")
    assert ran.code == 2 and "there already" in ran.err and board.read_bytes() == before


@pytest.mark.slow
def test_a_drum_of_a_tapped_board_says_what_the_test_bought(run: Run, board: Path, drum: Path) -> None:
    run("board", "tap", board, "--hz", 418)
    assert run("board", "fit", board).code == 0
    text = drum.read_text().replace('wood = "cherry, black"', f'board = "{board}"')
    drum.write_text(text)
    ran = run("modes", drum, "--json")
    assert (ran.code, ran.fault) == (0, None)
    for tongue in ran.document["tongues"]:
        assert tongue["plus_minus_cents"] < tongue["untested_cents"]


@pytest.mark.slow
def test_damp_air_lowers_every_note_and_dry_air_raises_it(run: Run, drum: Path) -> None:
    dry = run("modes", drum, "--humidity", 30, "--json").document
    damp = run("modes", drum, "--humidity", 80, "--json").document
    assert dry["air"]["moisture_pct"] == pytest.approx(6.2, abs=0.2)
    assert all(tongue["air_shift_cents"] > 20.0 for tongue in dry["tongues"])
    assert all(tongue["air_shift_cents"] < -20.0 for tongue in damp["tongues"])
