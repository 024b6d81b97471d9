"""The commands at the bench: what they record, what they refuse, what they show."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from kerftone.cli import bench_words
from kerftone.drum.design import TIP_WEIGHT_MM
from kerftone.errors import EntryError

from .conftest import Ran

Run = Callable[..., Ran]


@pytest.fixture
def begun(wren: Path, run: Run) -> Path:
    """The small drum with its log begun."""
    assert run("bench", "start", wren).code == 0
    return wren


def told(run: Run, *args: object) -> dict[str, object]:
    ran = run("bench", *args, "--json")
    assert ran.fault is None, ran.fault
    return ran.document


def refusal(run: Run, *args: object) -> str:
    ran = run("bench", *args)
    assert (ran.code, ran.out) == (2, ""), (ran.fault, ran.out)
    return ran.err


def test_a_drum_is_started_tapped_bored_and_looked_at(run: Run, begun: Path) -> None:
    tap = told(run, "tap", begun, "--tongue", 1, "--hz", 288.5, "--temperature", 19)
    assert (tap["number"], tap["kind"], tap["bottom_on"], tap["temperature_c"]) == (2, "tap", False, 19.0)
    assert tap["cents"] == pytest.approx(
        -30.7, abs=0.05
    )  # by a pocket calculator: 1200 log2(288.5 / 293.665)
    bore = told(run, "bore", begun, "--tongue", 1, "--bit", 15, "--depth", 3, "--from-root", 100)
    assert (bore["x_mm"], bore["y_mm"], bore["from_edge_mm"], bore["left_under_mm"]) == (
        126.0,
        35.0,
        13.5,
        9.0,
    )
    first, second = told(run, "status", begun)["tongues"]  # type: ignore[misc]
    assert (first["remains"], first["bores"], first["left_under_mm"]) == ("tap again", 1, 9.0)
    assert (second["remains"], second["now_hz"]) == ("tap", None)
    entries = told(run, "log", begun)["entries"]
    assert [entry["kind"] for entry in entries] == ["start", "tap", "bore"]  # type: ignore[attr-defined]


def test_the_words_say_what_was_recorded(run: Run, begun: Path) -> None:
    said = run("bench", "tap", begun, "--tongue", 1, "--hz", 288.5)
    assert said.out == "Entry 2: L1 (D4) sounds 288.5 Hz, 31 cents flat (±1.5).\n" and said.err == ""
    said = run("bench", "bore", begun, "--tongue", 2, "--bit", 10, "--depth", "2.5", "--from-root", 80)
    assert "R1 (Bb4) bored 10 mm wide, 2.5 mm deep, 80 mm from the root on the" in said.out
    said = run("bench", "weight", begun, "--tongue", 2, "--grams", "2.5")
    assert said.out == "Entry 4: R1 (Bb4) 2.5 g fixed.\n"


def test_the_state_of_the_bottom_is_kept_and_holds_for_the_taps_after(run: Run, begun: Path) -> None:
    on_table = told(run, "tap", begun, "--tongue", 1, "--hz", 288.5, "--bottom", "table")
    assert (on_table["bottom"], on_table["bottom_on"]) == ("table", False)
    said = run("bench", "tap", begun, "--tongue", 1, "--hz", 288.6)
    words = "Entry 3: L1 (D4) sounds 288.6 Hz, 30 cents flat (±1.5), box open below on a table."
    assert " ".join(said.out.split()) == words
    off = told(run, "tap", begun, "--tongue", 1, "--hz", 288.6, "--bottom", "off")
    assert (off["bottom"], off["bottom_on"]) == ("off", False)
    for word in ("glued", "loose", "on"):
        assert "cut without a [bottom]" in refusal(
            run, "tap", begun, "--tongue", 1, "--hz", 288.6, "--bottom", word
        )
    rows = list(csv.DictReader(io.StringIO(run("bench", "log", begun, "--csv").out)))
    assert [row["bottom"] for row in rows] == ["", "table", "table", "off"]
    first = told(run, "status", begun)["tongues"][0]  # type: ignore[index]
    assert (first["bottom"], first["taps"]) == ("off", 1)


def test_a_slip_is_voided_or_mended_in_its_place(run: Run, begun: Path) -> None:
    run("bench", "tap", begun, "--tongue", 1, "--hz", 288.5)
    run("bench", "bore", begun, "--tongue", 1, "--bit", 15, "--depth", 4, "--from-root", 100)
    run("bench", "tap", begun, "--tongue", 1, "--hz", 291.0)
    mended = told(
        run, "bore", begun, "--tongue", 1, "--bit", 15, "--depth", 3, "--from-root", 100, "--instead-of", 3
    )
    assert (mended["number"], mended["instead_of"]) == (6, 3)
    first = told(run, "status", begun)["tongues"][0]  # type: ignore[index]
    assert (first["left_under_mm"], first["taps"]) == (9.0, 1)
    run("bench", "void", begun, 4, "--reason", "was the other drum")
    entries = told(run, "log", begun)["entries"]
    assert [entry["voided_by"] for entry in entries] == [None, None, 5, 7, None, None, None]  # type: ignore[attr-defined]
    shown = run("bench", "log", begun).out
    assert "entry 4 does not count: was the other drum" in " ".join(shown.split())
    assert "(in place of 3)" in " ".join(shown.split())


def test_the_csv_has_a_line_for_each_entry(run: Run, begun: Path) -> None:
    run("bench", "tap", begun, "--tongue", 1, "--hz", 288.5)
    run("bench", "note", begun, 'rang "like, well" a bell', "--tongue", 1)
    assert "--csv and --json are given" in run("bench", "log", begun, "--csv", "--json").err
    rows = list(csv.DictReader(io.StringIO(run("bench", "log", begun, "--csv").out)))
    assert [row["kind"] for row in rows] == ["start", "tap", "note"]
    assert (rows[1]["hz"], rows[1]["bottom_on"], rows[1]["bit_mm"]) == ("288.5", "no", "")
    assert rows[2]["words"] == 'rang "like, well" a bell'


@pytest.mark.refusal
@pytest.mark.parametrize(
    "args, words",
    [
        (("tap", "--tongue", 7, "--hz", 290), "There is no tongue 7. This drum has 2"),
        (("tap", "--tongue", 1, "--hz", 466), "was it that one?"),
        (("bore", "--tongue", 1, "--bit", 12, "--depth", 3, "--from-root", 90), "the nearest is 10 mm"),
        (("bore", "--tongue", 1, "--bit", 10, "--depth", 9, "--from-root", 90), "no deeper than 7 mm"),
        (("bore", "--tongue", 1, "--bit", 10, "--depth", 3, "--from-root", 139), "towards a slot"),
        (
            ("bore", "--tongue", 1, "--bit", "x", "--depth", 3, "--from-root", 90),
            "The width of the bit, 'x', cannot be read",
        ),
        (
            ("bore", "--tongue", 1, "--bit", "nan", "--depth", 3, "--from-root", 90),
            "The width of the bit, 'nan', cannot be read",
        ),
        (("trim", "--tongue", 1, "--by", "-1"), "Wood comes off, never on"),
        (("lengthen", "--tongue", 1, "--by", "90"), "cannot be"),
        (("weight", "--tongue", 1, "--grams", "-1"), "carries 0 g"),
        (("weight", "--tongue", 1, "--grams", "inf"), "500 at most"),
        (("note", " "), "1 to 2000"),
        (("void", 9, "--reason", "x"), "There is no entry 9"),
        (("void", 1, "--reason", "x"), "is the drum as cut"),
        (("void", 2, "--reason", "  "), "1 to 2000"),
        (("tap", "--tongue", 1, "--hz", 290, "--instead-of", 9), "There is no entry 9"),
        (("weight", "--tongue", 1, "--grams", 2, "--instead-of", 2), "Entry 2 is a tap"),
        (("next",), "Nobody has tapped this drum yet"),
        (("next", "--tongue", 3), "There is no tongue 3"),
    ],
)
def test_a_slip_is_told_and_nothing_is_recorded(
    run: Run, begun: Path, args: tuple[object, ...], words: str
) -> None:
    command, *rest = args
    if 2 in rest:  # a tap to be voided or mended
        run("bench", "tap", begun, "--tongue", 1, "--hz", 290)
    before = told(run, "log", begun)
    assert words in refusal(run, command, begun, *rest)
    assert told(run, "log", begun) == before


@pytest.mark.refusal
@pytest.mark.parametrize(
    "options, words",
    [
        (["--tongue", "1"], "neither a pitch nor a recording is given"),
        (
            ["--tongue", "1", "--hz", "290", "--recording", "x.wav"],
            "a pitch and a recording are both given. One of them says what was heard. Write --hz",
        ),
        (
            ["--hz", "290"],
            "no tongue is named. Only a recording can be matched to the tongues. Name it, such as --tongue L1.",
        ),
        (["--recording", "x.wav", "--instead-of", "2"], "kerftone bench void"),
    ],
)
def test_a_tap_says_what_was_heard_once(run: Run, begun: Path, options: list[str], words: str) -> None:
    assert words in " ".join(refusal(run, "tap", begun, *options).split())
    assert len(told(run, "log", begun)["entries"]) == 1  # type: ignore[arg-type]


def test_the_help_of_a_weight_says_where_it_goes_in_millimetres_and_inches(run: Run) -> None:
    said = " ".join(run("bench", "weight", "--help").out.split())
    assert f"{TIP_WEIGHT_MM:g} mm from its tip ({TIP_WEIGHT_MM / 25.4:.3f} in, just over 3/8)" in said
    assert 0.0 < TIP_WEIGHT_MM / 25.4 - 3 / 8 < 1 / 32


def test_the_table_of_the_tongues_fits_80_columns_with_its_needles_whole(run: Run, begun: Path) -> None:
    run("bench", "tap", begun, "--tongue", 1, "--hz", 288.5)
    run("bench", "bore", begun, "--tongue", 1, "--bit", 15, "--depth", 3, "--from-root", 100)
    told_lines = run("bench", "status", begun).out.splitlines()
    assert max(map(len, told_lines)) <= 80 and not any("…" in line for line in told_lines)
    (needle,) = [line for line in told_lines if line.startswith("L1 D4")]
    assert "[---|----:--------]" in needle, "31 cents flat is five of eight places to the left"


@pytest.mark.refusal
def test_a_tongue_nobody_heard_gets_no_advice(run: Run, begun: Path) -> None:
    run("bench", "tap", begun, "--tongue", 1, "--hz", 288.5)
    assert "or ask about one heard (L1 (D4))" in refusal(run, "next", begun, "--tongue", 2)


@pytest.mark.refusal
def test_without_a_log_each_command_says_how_to_begin(run: Run, wren: Path) -> None:
    for command in (("log",), ("status",), ("next",), ("tap", "--tongue", 1, "--hz", 290)):
        assert "kerftone bench start" in refusal(run, command[0], wren, *command[1:])
    assert sorted(path.name for path in wren.parent.iterdir()) == ["drum.toml"]


@pytest.mark.refusal
def test_a_drum_without_lengths_cannot_be_at_the_bench(run: Run, unfitted: Path) -> None:
    ran = run("bench", "start", unfitted)
    assert ran.code == 2 and "kerftone fit" in ran.err
    assert sorted(path.name for path in unfitted.parent.iterdir()) == ["drum.toml"]


@pytest.mark.refusal
def test_another_drum_in_the_folder_is_not_mixed_up_with_it(run: Run, begun: Path) -> None:
    other = begun.with_name("finch.toml")
    other.write_text(begun.read_text())
    assert "is that of drum.toml" in refusal(run, "status", other)
    begun.rename(begun.with_name("old.txt"))
    assert run("bench", "status", other).code == 0  # the same drum under a new name


def test_edits_of_the_file_after_the_cut_are_told_apart(run: Run, begun: Path) -> None:
    begun.write_text(begun.read_text().replace("thickness = 12.0", "thickness = 10.0"))
    ran = run("bench", "status", begun)
    assert "thickness in [top] is 10, and was 12" in " ".join(ran.err.split())
    assert told(run, "status", begun)["tongues"][0]["left_under_mm"] == 12.0  # type: ignore[index]


def test_a_drum_in_inches_is_bored_in_fractions(run: Run, wren: Path) -> None:
    text = wren.read_text().replace('units = "mm"', 'units = "in"')
    for mm in ("320.0", "70.0", "12.0", "3.0", "26.0", "20.0", "140.0", "105.0", "10.0", "40.0"):
        text = text.replace(f"= {mm}", f"= {float(mm) / 25.4:.6f}")
    wren.write_text(text + '[shop]\nbits = ["1/4", "1/2"]\nmin_left = "3/16"\n')
    assert run("bench", "start", wren).code == 0
    bore = told(run, "bore", wren, "--tongue", 1, "--bit", "1/2", "--depth", "1/8", "--from-root", "3 1/2")
    assert (bore["bit_mm"], bore["depth_mm"]) == (12.7, 3.175)
    assert bore["from_root_mm"] == pytest.approx(88.9, abs=1e-3)
    metric = ("--bit", "12.7 mm", "--depth", "3.175 mm", "--from-root", "60 mm")
    assert told(run, "bore", wren, "--tongue", 1, *metric)["from_root_mm"] == 60.0
    assert "the nearest is 1/2 in" in refusal(
        run, "bore", wren, "--tongue", 1, "--bit", "3/4", "--depth", "1/8", "--from-root", "2"
    )


def test_a_slip_at_the_command_line_ends_in_exit_code_2_and_words(begun: Path) -> None:
    """Through the real command line, which turns refusals into exit codes."""
    environment = dict(os.environ, PYTHONPATH=str(Path(bench_words.__file__).parents[2]))
    args = ["bench", "tap", str(begun), "--tongue", "7", "--hz", "290", "--json"]
    ran = subprocess.run(
        [sys.executable, "-m", "kerftone", *args],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
    )
    assert ran.returncode == 2 and "Traceback" not in ran.stderr
    assert ran.stderr.startswith("kerftone: There is no tongue 7.")
    assert json.loads(ran.stdout)["error"]["kind"] == EntryError.__name__


def test_taps_told_that_lie_apart_are_said_by_status_and_by_the_tongue_to_tap_again(
    run: Run, begun: Path
) -> None:
    for hz in (288.5, 294.9):  # 1200 log2(294.9 / 288.5) = 38.0 cents, by a pocket calculator
        run("bench", "tap", begun, "--tongue", 1, "--hz", hz)
    said = " ".join(run("bench", "status", begun).out.split())
    assert "The 2 taps of L1 (D4) lie 38 cents apart" in said and "tap it again, and void the entry" in said
    run("bench", "void", begun, 3, "--reason", "the other tongue")
    assert "apart" not in run("bench", "status", begun).out
