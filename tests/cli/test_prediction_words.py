"""The answer in the terminal."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.cli.prediction_words import explain, show_modes, show_prediction
from kerftone.jobs.prediction import Prediction


def test_every_tongue_has_a_row_that_fits_80_columns(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    show_prediction(predicted)
    show_modes(predicted)
    explain(predicted, "a remark " * 20)
    out, err = capsys.readouterr()
    assert max(map(len, (out + err).splitlines())) <= 80
    notes = out.split("In vacuo")[0]
    rows = {line.split()[0]: line.split() for line in notes.splitlines() if line[:2] in ("L1", "R1")}
    assert rows["L1"][1:3] == ["D4", "140"] and rows["R1"][1:3] == ["Bb4", "105"]
    assert f"{predicted.tongues[0].heard.hz:.1f}" in rows["L1"]
    assert "standing" in out or "held" in out
    assert "30 cents flat" in " ".join(err.split())


def test_the_modes_are_listed_as_many_as_asked(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    show_modes(predicted, count=13)
    listed = capsys.readouterr().out.split("Modes, Hz:")[1].split("\n\n")[0].split()
    assert listed == [f"{hz:.1f}" for hz in predicted.modes_hz[:13]]


def test_many_shared_tongues_do_not_push_a_row_over_the_edge(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    crowd = tuple(f"{side}{row}" for row in range(1, 13) for side in "LR")
    tongues = tuple(replace(one, heard=replace(one.heard, shared_with=crowd)) for one in predicted.tongues)
    show_prediction(replace(predicted, tongues=tongues))
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    assert all(out.split().count(name) >= 2 for name in crowd)


def test_a_pitch_is_told_as_the_nearest_note_in_the_makers_own_spelling(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    def sounds(hz: float, tongue: int) -> str:
        at_hz = tuple(replace(one, heard=replace(one.heard, hz=hz)) for one in predicted.tongues)
        show_prediction(replace(predicted, tongues=at_hz))
        rows = [line for line in capsys.readouterr().out.splitlines() if line[:2] in ("L1", "R1")]
        return " ".join(rows[tongue].split()[3:5])

    assert sounds(440.0, 0) == "A4 +0"
    assert sounds(470.0, 0) == "A#4 +14"
    assert sounds(470.0, 1) == "Bb4 +14", "the tongue is written Bb4"
    assert sounds(452.0, 0) == "A4 +47"


def test_inches_are_shown_as_a_rule_shows_them(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    show_prediction(replace(predicted, drum=replace(predicted.drum, units="in")))
    out = capsys.readouterr().out
    assert "5 1/2" in out and "4 1/8" in out and "in  C" not in out
    assert max(map(len, out.splitlines())) <= 80


def test_what_air_does_is_told_and_in_vacuo_it_is_not(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    show_prediction(predicted)
    show_modes(predicted)
    told = capsys.readouterr().out
    assert "open below, in air of 20 °C" in told
    assert "Air moves" in told
    one = predicted.tongues[0]
    assert one.in_air is not None
    assert f"{one.in_air.shift_cents:+.1f}" in told
    vacuum = replace(
        predicted,
        air=None,
        in_air=None,
        tongues=tuple(replace(one, in_air=None) for one in predicted.tongues),
    )
    show_prediction(vacuum)
    show_modes(vacuum)
    bare = capsys.readouterr().out
    assert "in vacuo" in bare
    assert "Air moves" not in bare and "Loud" not in bare


def test_each_note_is_as_loud_as_it_is_against_the_loudest(
    predicted: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    show_prediction(predicted)
    rows = [line.split() for line in capsys.readouterr().out.splitlines() if line[:2] in ("L1", "R1")]
    power = {one.tongue.place: one.in_air.power_db for one in predicted.tongues if one.in_air is not None}
    loudest = max(power.values())
    assert {row[0]: int(row[9]) for row in rows} == {
        place: round(db - loudest) for place, db in power.items()
    }
    assert 0 in [int(row[9]) for row in rows]
