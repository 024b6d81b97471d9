"""The prediction as JSON: the keys that were promised, finite numbers that agree with one another."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from kerftone.drum import parse_drum
from kerftone.drum.design import Bore, Drum
from kerftone.drum.design import Bottom as BottomBoard
from kerftone.errors import Remedy
from kerftone.jobs.air_asked import USUAL_AIR, AirAsked, AirError, Bottom
from kerftone.jobs.joint_words import joint_words
from kerftone.jobs.predict_notes import NotesPredicted
from kerftone.jobs.prediction import (
    LISTED,
    Prediction,
    predict,
    prediction_of_fit,
    stand_ins,
    warnings,
)
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.modal.notes import NoteHeard
from kerftone.modal.shelf import shelf_beside
from kerftone.pitch import sharpened
from kerftone.wood.species import Scatter, find_species

from ..drums import WREN

TONGUE_KEYS = [
    *("note", "row", "side", "length_mm", "target_hz", "aim_hz", "hz", "in_vacuo_hz"),
    *("radiation_q", "power_db", "slot_friction", "cents_from_target"),
    *("plus_minus_cents", "clarity", "shared_with", "borrowed_from", "partials", "joint_falls_cents"),
    "round_over_cents",
]
D4_HZ, B_FLAT_4_HZ = 293.665, 466.164
"""Published frequencies of the equal-tempered scale on A4 = 440 Hz, as in any table of note frequencies."""


def test_the_document_has_the_keys_that_were_promised(predicted: Prediction) -> None:
    whole = predicted.document()
    assert list(whole) == ["warnings", "tongues", "modes_hz", "air", "model"]
    assert whole["air"] == {"bottom": "off", "breathing_hz": None, "breathing_q": None, "temperature_c": 20.0}
    assert [list(tongue) for tongue in whole["tongues"]] == [TONGUE_KEYS, TONGUE_KEYS]
    assert all(list(one) == ["hz", "weight"] for tongue in whole["tongues"] for one in tongue["partials"])
    assert list(whole["model"]) == ["unknowns", "seconds"]
    assert json.loads(json.dumps(whole, allow_nan=False)) == whole


def test_joints_that_hold_in_spots_are_told_and_stand_in_the_plus_minus(predicted: Prediction) -> None:
    falls = [one["joint_falls_cents"]["top"] for one in predicted.document()["tongues"]]
    assert all(1.0 < fall < 60.0 for fall in falls)
    low, high = sorted(round(fall) for fall in falls)
    assert f"that of the top {low} to {high} cents" in joint_words(predicted)
    worst = max(predicted.tongues, key=lambda one: falls[predicted.tongues.index(one)]).tongue
    assert f"{worst.note} ({worst.place}) the most" in joint_words(predicted)
    nothing = replace(predicted, joints={"top": (0.1, 0.2)})
    assert "that of the top less than half a cent" in joint_words(nothing)


def test_what_the_maker_wrote_comes_back_with_published_pitches(predicted: Prediction) -> None:
    low, high = predicted.document()["tongues"]
    assert (low["note"], low["row"], low["side"], low["length_mm"]) == ("D4", 1, "left", 140.0)
    assert (high["note"], high["row"], high["side"], high["length_mm"]) == ("Bb4", 1, "right", 105.0)
    assert low["target_hz"] == pytest.approx(D4_HZ, abs=1e-3)
    assert high["target_hz"] == pytest.approx(B_FLAT_4_HZ, abs=1e-3)


def test_cents_hold_between_the_pitches_of_one_tongue(predicted: Prediction) -> None:
    for tongue in predicted.document()["tongues"]:
        assert math.log2(tongue["hz"] / tongue["target_hz"]) * 1200 == pytest.approx(
            tongue["cents_from_target"], abs=0.01
        )
        assert math.log2(tongue["aim_hz"] / tongue["target_hz"]) * 1200 == pytest.approx(-30.0, abs=0.01)


def test_notes_are_among_the_modes_and_partials_among_the_weights(predicted: Prediction) -> None:
    whole = predicted.document()
    assert whole["modes_hz"] == sorted(whole["modes_hz"]) and len(whole["modes_hz"]) == 20
    for tongue in whole["tongues"]:
        assert tongue["hz"] in whole["modes_hz"]
        assert tongue["hz"] in [one["hz"] for one in tongue["partials"]]
        assert 0.0 < sum(one["weight"] for one in tongue["partials"]) <= 1.0001
        assert 0.0 < tongue["clarity"] <= 1.0
        assert 20.0 < tongue["plus_minus_cents"] < 400.0
    assert len(predicted.document(count=3)["modes_hz"]) == 3


def test_a_wood_with_gaps_is_told_and_a_known_one_is_not(predicted: Prediction) -> None:
    told = stand_ins(predicted.drum)
    assert len([line for line in told if line.startswith("teak (box)")]) == len(told) - 1
    assert any("stiffness across the grain" in line and "wider" in line for line in told)
    drum = predicted.drum
    known = replace(
        drum,
        top=replace(drum.top, scatter=Scatter()),
        box=replace(drum.box, scatter=Scatter()),
    )
    assert stand_ins(known) == ()


def test_one_wood_in_two_parts_is_told_once(predicted: Prediction) -> None:
    teak = find_species("teak")
    drum = predicted.drum
    both = replace(drum, top=replace(drum.top, wood="teak", scatter=teak.scatter()))
    assert all(line.startswith("teak (top, box)") for line in stand_ins(both))


def test_the_second_question_about_a_drum_is_answered_without_a_solve(
    predicted: Prediction, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kerftone.modal.as_numbers import solved

    assert predicted.live is not None
    shelf = shelf_beside(tmp_path / "drum.toml")
    shelf.keep(predicted.drum, LISTED, solved(predicted.live))
    assert predicted.in_air is not None
    USUAL_AIR.keep(predicted.drum, LISTED, shelf, predicted.in_air)

    def solve(*given: object) -> None:
        raise AssertionError("solved again")

    monkeypatch.setattr("kerftone.modal.solve.solve", solve)
    again = predict(predicted.drum, shelf=shelf)
    assert again.document() == predicted.document()
    assert again.live is None
    with pytest.raises(AssertionError, match="solved again"):
        predict(
            replace(predicted.drum, bores=(Bore(x_mm=60.0, y_mm=35.0, diameter_mm=12.0, depth_mm=3.0),)),
            shelf=shelf,
        )


def test_a_fit_leaves_its_answer_only_for_the_drum_that_was_solved(
    predicted: Prediction, tmp_path: Path
) -> None:
    found = SimpleNamespace(solution=predicted.live, air=predicted.in_air)
    shelf = shelf_beside(tmp_path / "drum.toml")
    longer = predicted.drum.with_lengths(tuple((t.tongue.length_mm or 0.0) + 0.01 for t in predicted.tongues))
    prediction_of_fit(found, longer, shelf)  # type: ignore[arg-type]
    assert shelf.solved(longer, LISTED) is None
    prediction_of_fit(found, predicted.drum, shelf)  # type: ignore[arg-type]
    assert shelf.solved(predicted.drum, LISTED) is not None


def off_by(*off_aim_cents: float, borrowed: str = "") -> Prediction:
    """The small drum of two notes, each so many cents off what it is cut to; the second borrowed or not."""
    drum = parse_drum(WREN)
    tongues = []
    for number, (tongue, hz, off) in enumerate(
        zip(drum.tongues, drum.targets_hz, off_aim_cents, strict=True)
    ):
        aim = sharpened(hz, drum.tuning.aim_cents)
        heard = NoteHeard(
            number=number, mode=number, hz=sharpened(aim, off), clarity=1.0, shared_with=(), partials=()
        )
        tongues.append(
            TonguePrediction(tongue=tongue, target_hz=hz, aim_hz=aim, heard=heard, plus_minus_cents=150.0)
        )
    if borrowed:
        tongues[1] = replace(tongues[1], heard=replace(tongues[1].heard, borrowed_from=borrowed))
    modes = SimpleNamespace(hz=np.array([1.0]), unknowns=1, seconds=0.0)
    return Prediction(
        drum=drum, modes=modes, live=None, tongues=tuple(tongues), joints={}, rounded=(0.0,) * len(tongues)
    )  # type: ignore[arg-type]


@pytest.mark.parametrize("off", [(0.0, 0.0), (12.0, -45.0), (30.0, 75.0)])
def test_nothing_is_said_of_a_drum_in_tune_or_on_the_way_to_it(off: tuple[float, float]) -> None:
    """Cut 30 cents flat and tuned upwards: 30 above its aim is in tune, and a rule rounds a few cents more."""
    assert warnings(off_by(*off)) == ()


def test_lengths_that_sound_other_notes_are_said_with_the_worst_first() -> None:
    found = warnings(off_by(-100.0, -305.0))
    assert len(found) == 1 and found[0].remedy is Remedy.FIND_LENGTHS
    first, second = parse_drum(WREN).tongues
    assert found[0].words.startswith("These lengths do not sound these notes: ")
    assert found[0].words.index(f"{second.note} (") < found[0].words.index(f"{first.note} (")
    assert "335 cents flat" in found[0].words and "130 cents flat" in found[0].words


def test_a_tongue_with_another_tongues_note_is_named_with_it() -> None:
    one = parse_drum(WREN).tongues[0]
    found = warnings(off_by(0.0, 0.0, borrowed=one.place))
    assert len(found) == 1
    assert f"sounds the note of {one.note} ({one.place})" in found[0].words
    assert "1 tongue has no note of its own" in found[0].words
    assert off_by(0.0, 0.0, borrowed=one.place).document()["warnings"] == [found[0].words]


def test_in_vacuo_the_wood_alone_answers(predicted: Prediction, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kerftone.modal.solve.solve", lambda drum, count: predicted.live)
    alone = predict(predicted.drum, air=None)
    whole = alone.document()
    assert "air" not in whole
    for bare, one in zip(whole["tongues"], predicted.document()["tongues"], strict=True):
        assert "radiation_q" not in bare
        assert bare["hz"] == one["in_vacuo_hz"]
        assert -40.0 < 1200.0 * math.log2(one["hz"] / bare["hz"]) < -0.5, "air lowers these"


def test_on_a_table_the_box_breathes_and_in_warm_air_faster(
    predicted: Prediction, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kerftone.modal.solve.solve", lambda drum, count: predicted.live)
    cool, warm = (
        predict(predicted.drum, air=AirAsked(bottom="table", temperature_c=celsius)).document()["air"]
        for celsius in (5.0, 35.0)
    )
    assert cool["bottom"] == "table"
    assert cool["temperature_c"] == 5.0
    assert warm["breathing_hz"] > 1.02 * cool["breathing_hz"]
    assert 1.0 < cool["breathing_q"] < 1000.0


@pytest.mark.refusal
def test_a_bottom_that_is_not_there_cannot_be_glued(predicted: Prediction) -> None:
    with pytest.raises(AirError, match=r'has no \[bottom\] table: add one, or ask for "off" or "table"'):
        predict(predicted.drum, air=AirAsked(bottom="glued"))


@pytest.mark.refusal
def test_air_in_which_no_drum_is_played_is_refused(predicted: Prediction) -> None:
    with pytest.raises(AirError, match=r"between -20 and 60 °C: ask for 60\."):
        predict(predicted.drum, air=AirAsked(temperature_c=212.0))


def test_what_to_tune_to_keeps_the_ratio_to_the_finished_drum(predicted: Prediction) -> None:
    lower = tuple(replace(one, heard=replace(one.heard, hz=0.99 * one.heard.hz)) for one in predicted.tongues)
    done = NotesPredicted(
        drum=predicted.drum,
        prediction=predicted,
        count=3,
        other_stand=None,
        other_air=None,
        finished=replace(predicted, tongues=lower),
    )
    for record in done.document()["tongues"]:
        assert record["finished_hz"] == pytest.approx(0.99 * record["hz"], rel=1e-6)
        assert record["tune_to_hz"] == pytest.approx(record["target_hz"] / 0.99, rel=1e-6)


@pytest.mark.parametrize("bottom", ["loose", "off", "table"])
def test_a_bottom_that_is_not_glued_on_is_no_part_of_the_wood(
    bottom: Bottom, predicted: Prediction, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Drum] = []

    def solve(drum: Drum, count: int) -> object:
        asked.append(drum)
        return predicted.live

    monkeypatch.setattr("kerftone.modal.solve.solve", solve)
    box = predicted.drum.box
    closed = replace(predicted.drum, bottom=BottomBoard(wood=box.wood, elastic=box.elastic, thickness_mm=6.0))
    found = predict(closed, air=AirAsked(bottom=bottom))
    assert [drum.bottom for drum in asked] == [None]
    assert found.document()["air"]["bottom"] == bottom
    for one, other in zip(found.tongues, predicted.tongues, strict=True):
        assert one.plus_minus_cents == pytest.approx(other.plus_minus_cents)
