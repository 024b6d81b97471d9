"""The commands of one board, as a newcomer types them; the last two tests solve a small drum."""

from __future__ import annotations

import json
import random
import tomllib
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kerftone.errors import BoardError
from kerftone.jobs.measure_board import grams

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
    ("motion", "says"), [("along", "96 mm from either end"), ("twisting", "corner"), ("across", "44 mm")]
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


def reference_board(run: Run, folder: Path, name: str) -> tuple[Path, list[float], dict[str, float]]:
    """A board file of tests/reference/modes.json, the tones CalculiX gave in no order, and its true constants."""
    boards = json.loads((Path(__file__).parents[1] / "reference" / "modes.json").read_text("utf-8"))
    one = next(board for board in boards["free_boards"] if board["name"] == name)
    length, width, thick = one["board_mm"]
    mass = one["density"] * length * width * thick * 1e-6
    file = folder / f"{name}.toml"
    sizes = ("--length", length, "--width", width, "--thickness", thick, "--mass", f"{mass:.1f} g")
    ran = run("board", "new", file, "--species", "yellow-poplar", *sizes, "--cut", "quartersawn")
    assert ran.code == 0
    tones = list(one["modes_hz"])
    random.Random(3).shuffle(tones)
    return file, tones, one["elastic_gpa"]


def tapped(*hz: float) -> list[object]:
    return [word for one in hz for word in ("--hz", one)]


@pytest.mark.outside
@pytest.mark.parametrize("name", ["B1", "B2"])
def test_tones_in_any_order_and_without_their_motion_tell_the_board(
    run: Run, tmp_path: Path, name: str
) -> None:
    """CalculiX's tones, typed in with nothing said of them and their usual ± of 3 cents."""
    file, tones, true = reference_board(run, tmp_path, name)
    assert run("board", "tap", file, *tapped(*tones)).code == 0
    ran = run("board", "fit", file)
    assert (ran.code, ran.fault) == (0, None) and "left out" not in ran.out
    found = tomllib.loads(file.read_text())["found"]
    assert found["e_l_gpa"] == pytest.approx(true["e_l"], rel=0.005)
    assert found["g_lr_gpa"] == pytest.approx(true["g_lr"], rel=0.02)
    said = " ".join(ran.err.split())
    if name == "B2":
        assert found["e_r_gpa"] == pytest.approx(true["e_r"], rel=0.03)
    else:
        assert "How stiff it is across the grain is not told by these tones" in said
        assert "bending across, would tell it" in said


@pytest.mark.outside
def test_one_wrong_tone_among_them_is_named_and_left_out(run: Run, tmp_path: Path) -> None:
    file, tones, true = reference_board(run, tmp_path, "B2")
    assert run("board", "tap", file, *tapped(*tones[:4], 555.5, *tones[4:])).code == 0
    ran = run("board", "fit", file)
    (line,) = (line for line in ran.out.splitlines() if "left out" in line)
    assert line.split()[0] == "555.5" and "more than four standard" in " ".join(ran.err.split())
    found = tomllib.loads(file.read_text())["found"]
    assert found["e_l_gpa"] == pytest.approx(true["e_l"], rel=0.005)
    assert found["e_r_gpa"] == pytest.approx(true["e_r"], rel=0.03)


def test_after_one_tone_the_maker_is_told_which_ones_are_missing_and_how_to_tap_them(
    run: Run, board: Path
) -> None:
    assert run("board", "tap", board, "--hz", 418).code == 0
    ran = run("board", "fit", board)
    said = " ".join(ran.err.split())
    assert (
        "How stiff it is across the grain is not told by these tones" in said
        and "from either long edge" in said
    )
    assert "How stiff it is against twisting is not told by these tones" in said and "Tap a corner" in said


def test_a_tone_written_down_for_the_wrong_motion_is_taken_for_the_right_one_and_told(
    run: Run, board: Path
) -> None:
    assert run("board", "tap", board, "--hz", 418, "--motion", "along").code == 0
    assert run("board", "tap", board, "--hz", 590, "--motion", "twisting").code == 0
    assert run("board", "tap", board, "--hz", 282).code == 0
    ran = run("board", "fit", board)
    assert ran.code == 0
    assert "Taken for another motion" in ran.err and "590.0 Hz for bending across" in " ".join(
        ran.err.split()
    )


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


def test_a_drum_of_a_tapped_board_says_what_the_test_bought(run: Run, board: Path, wren: Path) -> None:
    run("board", "tap", board, "--hz", 418)
    assert run("board", "fit", board).code == 0
    text = wren.read_text().replace('wood = "cherry, black"', f'board = "{board}"')
    wren.write_text(text)
    ran = run("modes", wren, "--json")
    assert (ran.code, ran.fault) == (0, None)
    for tongue in ran.document["tongues"]:
        assert tongue["plus_minus_cents"] < tongue["untested_cents"]


def test_damp_air_lowers_every_note_and_dry_air_raises_it(run: Run, wren: Path) -> None:
    dry = run("modes", wren, "--humidity", 30, "--json").document
    damp = run("modes", wren, "--humidity", 80, "--json").document
    assert dry["air"]["moisture_pct"] == pytest.approx(6.2, abs=0.2)
    assert all(tongue["air_shift_cents"] > 20.0 for tongue in dry["tongues"])
    assert all(tongue["air_shift_cents"] < -20.0 for tongue in damp["tongues"])


def test_a_board_in_inches_stands_on_the_rule_and_is_held_on_it(run: Run, tmp_path: Path) -> None:
    board = tmp_path / "pad.toml"
    size = ("--length", "24 1/32", "--width", "8 1/8", "--thickness", "11/16", "--mass", "3 lb 10 oz")
    assert run("board", "new", board, "--species", "padauk", *size, "--units", "in").code == 0
    text = board.read_text("utf-8")
    assert 'length = "24 1/32"' in text and 'width = "8 1/8"' in text and 'thickness = "11/16"' in text
    assert "0.1 mm" not in text
    told = run("board", "tap", board, "--motion", "along").out
    assert "5 3/8 in from either end" in told  # 0.224 of 24 1/32 is 5.38
