"""`kerftone new` writes a file that the next command can read, or nothing.

The trials of sizes on the model are stood in for, all but in one test: see tests/tune/test_choose.py for them.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.knot_places import tongue_at
from kerftone.jobs.begin_drum import why
from kerftone.pitch import note_name
from kerftone.tune import choose, mend
from kerftone.tune.begin import first_drum
from kerftone.tune.candidate import Candidate
from kerftone.tune.choose import Chosen, Trial
from kerftone.tune.fit import fit
from kerftone.tune.newton import Tuned
from kerftone.units import parse_length
from kerftone.wood import species_table

Run = Callable[..., Any]
NOTES, WOOD = "D3 F3 G3 A3 C4 D4", "cherry, black"
MANY = [note_name(number) for number in range(35, 99)]
REALLY_TRIED, REALLY_HELD = choose.tried, choose._held
PROGRESS = ("Trying sizes", "Looking at the best", "Trying whether it works")


def trial(drum: Drum, *, clear: float = 1.0, sure: float = 1.0, fits: bool = True) -> Trial:
    """A trial that came out so."""
    still = Tuned(places=((1, "left"),), lengths_mm=(100.0,), off_cents=np.zeros(1), pull=np.zeros((1, 1)))
    best = Candidate(tuned=still, clarity=np.array([clear]), fits=fits, sure=sure)
    return Trial(drum=drum, best=best)


@pytest.fixture(autouse=True)
def not_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every size comes out clear on all boards; they are tried one after the other."""
    monkeypatch.setattr(choose, "tried", lambda drum, **options: trial(drum))
    monkeypatch.setattr(mend, "tried", lambda drum, **options: trial(drum))
    monkeypatch.setattr(choose, "_held", lambda ranked: (ranked[0], None))
    monkeypatch.setattr(choose, "off_the_breathing", lambda drum: drum)
    monkeypatch.setattr(choose, "worker_processes", lambda pieces: 1)


def test_sizes_tried_on_the_model_are_said_with_what_came_out(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing stood in for: two notes, solved roughly."""
    monkeypatch.setattr(choose, "tried", REALLY_TRIED)
    monkeypatch.setattr(choose, "_held", REALLY_HELD)
    ran = run("new", tmp_path / "two", "--notes", "D4 A4", "--wood", WOOD, "--json")
    assert (ran.code, ran.fault) == (0, None)
    said = ran.document["remarks"][-1]
    assert "walls 25 mm, root bars 30 mm x 50 mm, the first tried" in said and "comes out clear" in said
    box = read_drum(tmp_path / "two" / "drum.toml").box
    assert (box.wall_mm, box.root_bar_mm, box.root_bar_height_mm) == (25.0, 30.0, 50.0)
    assert "Trying sizes 1 to 1 of" in ran.err


def test_a_knot_in_a_tongue_turns_the_drum_and_one_in_the_waste_changes_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing stood in for: without the knot L1 is A4, 143 mm, and R1 D4, 180 mm, with 25 mm sawn out between."""
    monkeypatch.setattr(choose, "tried", REALLY_TRIED)
    monkeypatch.setattr(choose, "_held", REALLY_HELD)
    places = {}
    for name, knot in (("waste", "216 x 60 x 5"), ("tongue", "254 x 60 x 5")):
        folder = tmp_path / name
        ran = run(
            "new", folder, "--notes", "D4 A4", "--wood", WOOD, "--box-height", "80", "--knot", knot, "--json"
        )
        assert (ran.code, ran.fault) == (0, None)
        assert "Knots: none lies in a tongue. The nearest, 5 mm wide, is" in ran.document["remarks"][-1]
        drum = read_drum(folder / "drum.toml")
        assert [tuple(one) for one in drum.top.knots_mm] == [parse_knot(knot)] and drum.top.length_mm == 470.0
        found = fit(drum)
        assert found.clarity_reached > 0.99 and max(map(abs, found.off_cents)) <= 1.0
        assert tongue_at(found.drum, drum.top.knots_mm[0]) is None
        places[name] = {tongue.note: tongue.side for tongue in found.drum.tongues}
    assert places == {"waste": {"D4": "right", "A4": "left"}, "tongue": {"D4": "left", "A4": "right"}}


def parse_knot(typed: str) -> tuple[float, ...]:
    return tuple(float(word) for word in typed.split(" x "))


def test_why_says_how_sure_the_sizes_are(tmp_path: Path) -> None:
    drum = first_drum("T", ("D4", "A4"), WOOD)
    good = trial(drum, clear=0.973, sure=0.9375)
    words = why(Chosen(drum=drum, trials=(good,)))
    assert "the first tried" in words and "0.97 at the least" in words and "94 of 100 boards" in words
    assert "80 mm high keep the breathing of the box off every note" in words
    on_it = replace(good, best=replace(good.best, safe=0.25))
    assert "on 25 of 100 boards" in why(Chosen(drum=drum, trials=(on_it,)))
    other = trial(replace(drum, name="Other"), clear=0.5)
    assert "the best of 2 tried" in why(Chosen(drum=drum, trials=(other, good)))


@pytest.mark.parametrize("outcome", [{"clear": 0.7}, {"fits": False}])
def test_why_says_plainly_when_no_size_is_clear(outcome: dict[str, Any]) -> None:
    drum = first_drum("T", ("D4", "A4"), WOOD)
    words = why(Chosen(drum=drum, trials=(trial(drum, **outcome),)))
    assert "With none of them does every note come out clear" in words and "boards" not in words


def test_why_names_no_root_bar_where_there_is_none() -> None:
    drum = first_drum("T", ("D4", "A4"), WOOD)
    bare = replace(drum, box=replace(drum.box, root_bar_mm=0.0, root_bar_height_mm=0.0))
    assert "root bar" not in why(Chosen(drum=bare, trials=(trial(bare),)))


def test_in_inches_the_sizes_are_said_in_fractions() -> None:
    drum = first_drum("T", ("D4", "A4"), WOOD, units="in")
    words = why(Chosen(drum=drum, trials=(trial(drum),)))
    assert "walls 1 in" in words and "1 1/4 in x 2 in" in words, words


def test_the_new_file_says_what_was_asked(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "my drums" / "brook_two"
    ran = run("new", folder, "--notes", NOTES, "--wood", "black cherry", "--thickness", "15.5")
    assert (ran.code, ran.fault) == (0, None)
    drum = read_drum(folder / "drum.toml")
    assert [tongue.note for tongue in drum.tongues] == NOTES.split()
    assert all(tongue.length_mm is None and tongue.row is None for tongue in drum.tongues)
    assert drum.top.wood == WOOD and drum.top.thickness_mm == 15.5
    assert drum.name == "Brook two"
    assert drum.bottom is not None and drum.box.stands == "free", "the finished drum"
    assert str(folder / "drum.toml") in ran.out


def test_the_board_is_reckoned_from_the_notes(run: Run, tmp_path: Path) -> None:
    boards = []
    for number, (notes, thickness) in enumerate([("D3 A3", "16"), ("D4 A4", "16"), ("D3 A3", "12")]):
        folder = tmp_path / str(number)
        assert run("new", folder, "--notes", notes, "--wood", WOOD, "--thickness", thickness).code == 0
        boards.append(read_drum(folder / "drum.toml").top.length_mm)
    low, high, thin = boards
    assert high < thin < low, "higher notes and thinner boards take shorter boards"


def test_notes_may_stand_between_commas_and_the_drum_has_the_name_given(run: Run, tmp_path: Path) -> None:
    name = 'Quill "of" \\ Bb'
    ran = run("new", tmp_path / "q", "--notes", "Bb3, F#4,C5", "--wood", WOOD, "--name", name)
    assert ran.code == 0
    drum = read_drum(tmp_path / "q" / "drum.toml")
    assert [tongue.note for tongue in drum.tongues] == ["Bb3", "F#4", "C5"]
    assert drum.name == name


def test_a_name_that_is_no_text_still_makes_a_file_that_reads(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "odd\udcff name"  # a byte that is not UTF-8, as the system hands it over
    assert run("new", folder, "--notes", "D4", "--wood", WOOD).code == 0
    assert read_drum(folder / "drum.toml").name == "Odd? name"


ON_THE_RULE = (
    ("slots", "kerf"),
    ("slots", "end_margin"),
    ("slots", "side_margin"),
    ("box", "wall"),
    ("box", "height"),
    ("box", "root_bar"),
    ("bottom", "thickness"),
)


def test_in_inches_the_file_is_in_inches(run: Run, tmp_path: Path) -> None:
    args = ("--notes", "D4 A4", "--wood", WOOD, "--units", "in", "--thickness", "5/8", "--json")
    ran = run("new", tmp_path / "inch", *args)
    raw = tomllib.loads((tmp_path / "inch" / "drum.toml").read_text())
    assert raw["units"] == "in" and raw["top"]["thickness"] == "5/8"
    length = parse_length(raw["top"]["length"], "in")
    assert (length / 25.4 * 4).is_integer(), "to the quarter inch"
    assert ran.document["board"]["thickness_mm"] == 15.875
    assert ran.document["board"]["length_mm"] == pytest.approx(length, abs=1e-4)
    sizes = [raw[table][key] for table, key in ON_THE_RULE]
    assert all(32.0 * parse_length(size, "in") / 25.4 % 1.0 == pytest.approx(0.0, abs=1e-6) for size in sizes)
    assert not re.search(r"= \d*\.\d{3,}", (tmp_path / "inch" / "drum.toml").read_text()), (
        "no decimal of an inch"
    )
    assert ran.document["written"] == [str(tmp_path / "inch" / "drum.toml")]


def test_a_scale_gives_the_notes(run: Run, tmp_path: Path) -> None:
    ran = run("new", tmp_path / "s", "--scale", "d minor pentatonic", "--count", "5", "--wood", "khaya")
    assert ran.code == 0, ran.err
    drum = read_drum(tmp_path / "s" / "drum.toml")
    assert [tongue.note for tongue in drum.tongues] == ["D3", "F3", "G3", "A3", "C4"]
    assert drum.top.wood == "mahogany, African" and "khaya is taken as mahogany, African" in ran.err


def test_what_the_maker_has_is_kept(run: Run, tmp_path: Path) -> None:
    board = (
        "--board",
        "22 x 9 x 5/8",
        "--tongue-width",
        "1 1/2",
        "--box-height",
        "4",
        "--cut",
        "quarter sawn",
    )
    ran = run("new", tmp_path / "b", "--notes", "d3 f3 g3 a3", "--wood", "sapele", *board, "--json")
    assert ran.code == 0, ran.err
    drum = read_drum(tmp_path / "b" / "drum.toml")
    top = drum.top
    assert (top.length_mm, top.width_mm, top.thickness_mm) == pytest.approx((558.8, 228.6, 15.875))
    assert drum.units == "in" and top.cut == "quartersawn"
    assert drum.box.height_mm == pytest.approx(101.6)
    # Two rows: 228.6 less the margins is 2 x (38.1 + kerf).
    pitch = (228.6 - 2 * drum.slots.side_margin_mm) / 2
    assert pitch - drum.slots.kerf_mm == pytest.approx(38.1, abs=0.01)
    assert ran.document["notes"] == ["D3", "F3", "G3", "A3"]
    assert any("inches" in remark for remark in ran.document["remarks"])


def test_every_wood_there_is_makes_a_file_that_reads(run: Run, tmp_path: Path) -> None:
    for number, wood in enumerate(species_table()):
        ran = run("new", tmp_path / str(number), "--notes", "A3 E4", "--wood", wood)
        assert ran.code == 0, (wood, ran.err)
        assert read_drum(tmp_path / str(number) / "drum.toml").top.wood == wood


def test_as_many_notes_as_are_offered_do_make_a_drum(run: Run, tmp_path: Path) -> None:
    notes, wide = MANY, ("--wood", WOOD, "--tongue-width", "60")
    more = run("new", tmp_path / "more", "--notes", " ".join(notes), *wide)
    most = int(more.err.split("give ")[1].split(" notes at most")[0])
    many = run("new", tmp_path / "many", "--notes", " ".join(notes[-most:]), *wide)
    assert more.code == 2 and many.code == 0, many.err
    assert most > choose.MOST_ON_MODEL and "not tried on the model" in many.err
    one_more = " ".join(notes[-most - 1 :])
    assert run("new", tmp_path / "one more", "--notes", one_more, *wide).code == 2


@pytest.mark.refusal
def test_a_drum_that_is_there_is_never_overwritten(run: Run, tmp_path: Path) -> None:
    (tmp_path / "drum.toml").write_text("mine")
    ran = run("new", tmp_path, "--notes", NOTES, "--wood", WOOD)
    assert ran.code == 2 and "already there" in ran.err and "choose another name" in ran.err
    assert (tmp_path / "drum.toml").read_text() == "mine"


def test_a_file_of_the_makers_own_name_is_written_as_that_file(run: Run, tmp_path: Path) -> None:
    ran = run("new", tmp_path / "made" / "red finch.toml", "--notes", NOTES, "--wood", WOOD)
    assert ran.code == 0, ran.err
    assert [path.name for path in (tmp_path / "made").iterdir()] == ["red finch.toml"]
    assert read_drum(tmp_path / "made" / "red finch.toml").name == "Red finch"
    assert "red finch.toml'` finds the tongue lengths" in ran.err
    again = run("new", tmp_path / "made" / "red finch.toml", "--notes", NOTES, "--wood", WOOD)
    assert again.code == 2 and "already there" in again.err


@pytest.mark.refusal
def test_neither_notes_nor_wood_can_be_left_out(run: Run, tmp_path: Path) -> None:
    for args, words in (
        (("--wood", "teak"), ["No notes are given", "--scale", "`kerftone scales`"]),
        (("--notes", "D3"), ["No wood is given", "`kerftone woods`"]),
    ):
        ran = run("new", tmp_path / "n", *args)
        assert ran.code == 2 and ran.fault is None and len(ran.err.strip().splitlines()) == 1
        assert [word for word in words if word not in ran.err] == [], ran.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.refusal
def test_a_dangling_link_is_not_written_through(run: Run, tmp_path: Path) -> None:
    (tmp_path / "drum.toml").symlink_to(tmp_path / "elsewhere")
    assert run("new", tmp_path, "--notes", NOTES, "--wood", WOOD).code == 2
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.refusal
@pytest.mark.parametrize(
    "changes, words",
    [
        ({"--notes": "D3 H3"}, ["'H3' cannot be read", "F#4 or Bb3"]),
        ({"--notes": "  , "}, ["No notes", "--notes"]),
        ({"--notes": "C1 D3"}, ["C1 is 32.7 Hz", "50 to 2500 Hz", "C2"]),
        ({"--notes": " ".join(MANY), "--tongue-width": "60"}, ["64 notes", "1000 mm", "notes at most"]),
        ({"--wood": "chery"}, ["'chery'", "cherry, black"]),
        ({"--wood": ""}, ["No wood is given", "`kerftone woods`"]),
        ({"--thickness": "-4"}, ["-4 mm", "4 mm to 60 mm"]),
        ({"--thickness": "thick"}, ["'thick' cannot be read", "5/8 in"]),
        ({"--thickness": "nan"}, ["cannot be read"]),
        ({"--thickness": "5/0", "--units": "in"}, ["divides by zero"]),
        ({"--thickness": "16", "--units": "in"}, ["16 in", "works is 2 11/32 in"]),
        ({"--name": " "}, ["name is empty"]),
        ({"--scale": "D minor"}, ["Both notes and a scale"]),
        ({"--count": "5"}, ["A count is given beside notes", "leave it out"]),
        ({"--count": "5", "--from": "D3"}, ["A count and a beginning are given", "leave them out"]),
        ({"--wood": "maple"}, ["'maple' may be", '"maple, sugar" (hard maple)', "the one you have"]),
        ({"--cut": "rift"}, ["'rift'", "quartersawn, whichever"]),
        ({"--units": "feet"}, ["'feet'", "write mm or in"]),
        ({"--tongue-width": "5"}, ["tongue width is 5 mm", "10 mm"]),
        ({"--box-height": "2000"}, ["box height is 2000 mm", "600 mm"]),
        ({"--board": "500 x 200"}, ["cannot be read", "length, width and thickness"]),
        ({"--board": "300 x 200 x 16"}, ["board in hand is 300 mm", "it works with a board 475 mm long"]),
        ({"--board": "600 x 200 x 16", "--thickness": "18"}, ["thickness is 18 mm", "16 mm thick"]),
        ({"--notes": "G1 A1", "--thickness": "50"}, ["board", "long", "works with a top planed to 20 mm"]),
        ({"--notes": "D4 F4 D4"}, ["Tongues 1 and 3", "it works with D5 in place of one D4"]),
    ],
)
def test_what_cannot_be_made_is_refused_and_nothing_is_written(
    run: Run, tmp_path: Path, changes: dict[str, str], words: list[str]
) -> None:
    options = {"--notes": NOTES, "--wood": WOOD} | changes
    ran = run("new", tmp_path / "new one", *(part for pair in options.items() for part in pair))
    assert ran.code == 2 and ran.fault is None, ran.fault
    told = [line for line in ran.err.strip().splitlines() if not line.startswith(PROGRESS)]
    assert len(told) == 1
    assert [word for word in words if word not in told[0]] == [], ran.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.refusal
def test_a_folder_cannot_stand_on_a_file(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    ran = run("new", tmp_path / "file" / "deeper", "--notes", NOTES, "--wood", WOOD)
    assert ran.code == 2 and "is a file" in ran.err
