"""`kerftone build` writes a booklet, a cut list and numbers, or nothing."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.jobs import plan_shop, round_words, shaken_places
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.shop.pickup import Signal, check_disc, sample_points
from kerftone.shop.shop_plan import Heard

Run = Callable[..., Any]


@pytest.fixture(autouse=True)
def shaken_as_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """INVENTED: what a blow shakes, for nothing to be solved; worked out in tests/jobs/test_shaken_places.py."""

    def told(once: SolvedOnce) -> dict[str, Any]:
        count = len(once.drum.tongues)
        return {name: np.full((33, count), size) for name, size in (("m_s2", 20.0), ("mm", 0.004))}

    monkeypatch.setattr(shaken_places, "_solved", told)
    monkeypatch.setattr(round_words, "_solved", lambda once: np.full(len(once.drum.tongues), -5.0))


def test_it_writes_three_files_and_shows_the_checks(run: Run, wren: Path, tmp_path: Path) -> None:
    folder = tmp_path / "for the shop"
    ran = run("build", wren.parent, "-o", folder)
    assert (ran.code, ran.fault) == (0, None)
    assert sorted(p.name for p in folder.iterdir()) == ["build.json", "build.pdf", "cutlist.csv"]
    assert (folder / "build.pdf").read_bytes().startswith(b"%PDF")
    for words in (
        "Front and back wall",
        "Tongues along the grain",
        "Mallet for the top note",
        "Feet on a hard table",
        "Top, across",
    ):
        assert words in ran.out
    assert max(len(line) for line in ran.out.splitlines() if not line.startswith("Wrote")) <= 80


def test_the_cut_list_is_a_table_with_lengths_in_millimetres(run: Run, wren: Path, tmp_path: Path) -> None:
    run("build", wren, "-o", tmp_path / "b")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "b" / "cutlist.csv").read_text())))
    walls = next(row for row in rows if row["part"] == "Front and back wall")
    assert (walls["count"], walls["finished_length_mm"], walls["short_point_mm"]) == ("2", "320.00", "300.00")


def test_json_is_one_document_and_the_same_as_the_file(run: Run, wren: Path, tmp_path: Path) -> None:
    ran = run("build", wren, "-o", tmp_path / "b", "--json")
    document = ran.document
    assert [Path(p).name for p in document.pop("written")] == ["build.pdf", "cutlist.csv", "build.json"]
    assert document == json.loads((tmp_path / "b" / "build.json").read_text())
    assert {check["verdict"] for check in document["checks"]} <= {"good", "mind", "mend"}


def test_a_name_that_a_spreadsheet_would_run_is_written_as_text(run: Run, wren: Path, tmp_path: Path) -> None:
    text = wren.read_text() + '[box.keys]\nwood = "=1+1"\n'
    wren.write_text(text.replace("wall = 10.0", 'wall = 10.0\njoint = "mitre with keys"'))
    assert run("build", wren, "-o", tmp_path / "b").code == 0
    assert "'=1+1" in (tmp_path / "b" / "cutlist.csv").read_text()


@pytest.mark.refusal
@pytest.mark.parametrize(
    "more, words",
    [
        ('[[order]]\ndo = "glue top"\nbefore = "slots"\n', "a slip costs the whole drum"),
        ('[pickup]\nbored = "after glue-up"\n', "a drill cannot reach in"),
        ("[box.foot_relief]\nrise = 30.0\ninset = 20.0\n", "make the rise 20 mm or less"),
        ('[[order]]\ndo = "dance"\nbefore = "tune"\n', "names the step 'dance'"),
    ],
)
def test_a_drum_that_traps_its_maker_is_refused_and_nothing_is_written(
    run: Run, wren: Path, tmp_path: Path, more: str, words: str
) -> None:
    wren.write_text(wren.read_text() + more)
    ran = run("build", wren, "-o", tmp_path / "b")
    assert (ran.code, ran.fault) == (2, None)
    assert words in ran.err and len(ran.err.strip().splitlines()) == 1
    assert not (tmp_path / "b").exists()


def test_without_lengths_it_still_plans_the_box(run: Run, unfitted: Path, tmp_path: Path) -> None:
    ran = run("build", unfitted, "-o", tmp_path / "b", "--json")
    assert ran.code == 0 and ran.document["weight_g"] is None


def test_a_file_where_the_folder_should_be_is_refused(run: Run, wren: Path, tmp_path: Path) -> None:
    (tmp_path / "b").write_text("mine")
    ran = run("build", wren, "-o", tmp_path / "b")
    assert ran.code == 2 and (tmp_path / "b").read_text() == "mine"


def test_a_pickup_gets_its_best_and_worst_place_from_the_model(run: Run, wren: Path, tmp_path: Path) -> None:
    wren.write_text(wren.read_text() + "[pickup]\ndisc = 10.0\njack_thread = 9.5\n")
    document = run("build", wren, "-o", tmp_path / "b", "--json").document
    places = document["pickup"]["places"]
    assert 0.0 <= places["best"]["apart_db"] < places["worst"]["apart_db"]
    assert [note["note"] for note in places["best"]["notes"]] == ["D4", "Bb4"]
    assert 10.0 < places["best"]["x_mm"] < 310.0 and 10.0 < places["best"]["y_mm"] < 60.0


def test_the_example_in_inches_is_cut_whole_from_its_invented_boards(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # without the model, which takes half a minute; the test above asks it for a place
    monkeypatch.setattr(plan_shop, "heard_of", lambda *_, **__: Heard(contact_ms=1.2))
    example = Path(__file__).parents[2] / "examples" / "heron"
    document = run("build", example, "-o", tmp_path / "b", "--json").document
    assert document["units"] == "in" and document["joint"] == "mitre with keys"
    assert document["cutting"]["buy"] == [] and document["cutting"]["cost"] == 102.5
    assert {part["name"]: part["count"] for part in document["parts"]}["Key"] == 12
    assert not [check for check in document["checks"] if check["verdict"] == "mend"]


def test_the_example_in_inches_is_drawn_with_its_pickup_where_that_lies_under_the_top(
    run: Run, tmp_path: Path
) -> None:
    text = (Path(__file__).parents[2] / "examples" / "heron" / "drum.toml").read_text("utf-8")
    under = text
    for old, new in (
        ('on = "bottom"', 'on = "top"'),
        ('"10 15/16"', '"15 1/8"'),
        ('y = "2 5/8"', 'y = "4 1/32"'),
    ):
        under = under.replace(old, new)
    for place, told in (("bottom", False), ("top", True)):
        drum = tmp_path / f"{place}.toml"
        drum.write_text(under if told else text)
        ran = run("draw", drum, "-o", tmp_path / place, "--format", "svg,dxf", "--json")
        assert (ran.code, ran.document["paper"]) == (0, "letter")
        underside = (tmp_path / place / "underside.svg").read_text("utf-8")
        assert ("DISC: the pickup, 13/16 in across" in underside) is told
        assert {"wall-front.dxf", "wall-back.dxf", "walls-left-right.dxf"} <= {
            p.name for p in (tmp_path / place).iterdir()
        }


def _heard(drum: Any, *_: Any, **__: Any) -> Heard:
    """INVENTED: the second note is heard less and less towards the left, the first everywhere alike."""
    points = sample_points(outline(drum))
    signal = np.column_stack([np.ones(len(points)), 0.01 + points[:, 0] / 320.0])
    return Heard(contact_ms=1.2, faces=(Signal(on="top", points_mm=points, signal=signal),))


def test_the_place_found_for_the_pickup_is_written_into_the_file_on_request(
    run: Run, wren: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plan_shop, "heard_of", _heard)
    wren.write_text(wren.read_text() + "[pickup]  # mine\ndisc = 10.0 # small\njack_thread = 9.5\n")
    before = wren.read_text()
    ran = run("build", wren, "-o", tmp_path / "b")
    assert "`--accept pickup` writes this into the drum file" in " ".join(ran.out.split())
    assert wren.read_text() == before
    ran = run("build", wren, "-o", tmp_path / "b", "--accept", "pickup")
    assert (ran.code, ran.fault) == (0, None)
    assert f"The pickup's place is written into {wren}" in " ".join(ran.out.split()).replace("\n", " ")
    after = read_drum(wren)
    pickup = after.making.pickup
    assert (
        pickup is not None and pickup.x_mm is not None and pickup.x_mm > 250.0
    )  # the right end hears both notes
    assert pickup.x_mm == round(pickup.x_mm)  # whole millimetres, where the disc fits there
    kept = [line for line in wren.read_text().splitlines() if not line.startswith(("x =", "y ="))]
    assert kept == before.splitlines()
    check_disc(after, outline(after))
    document = json.loads((tmp_path / "b" / "build.json").read_text())
    assert document["pickup"]["places"]["given"]["x_mm"] == pytest.approx(pickup.x_mm, abs=0.51)


@pytest.mark.refusal
def test_a_place_cannot_be_accepted_without_a_pickup(run: Run, wren: Path, tmp_path: Path) -> None:
    ran = run("build", wren, "-o", tmp_path / "b", "--accept", "pickup")
    assert ran.code == 2 and "the drum file has no pickup" in ran.err
    assert not (tmp_path / "b").exists()
