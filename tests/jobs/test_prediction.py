"""The prediction as JSON: the keys that were promised, finite numbers that agree with one another."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from kerftone.drum.design import Bore
from kerftone.jobs.prediction import LISTED, Prediction, predict, prediction_of_fit, stand_ins
from kerftone.modal.shelf import shelf_beside
from kerftone.wood.species import Scatter, find_species

TONGUE_KEYS = [
    *("note", "row", "side", "length_mm", "target_hz", "aim_hz", "hz", "cents_from_target"),
    *("plus_minus_cents", "clarity", "shared_with", "partials"),
]
D4_HZ, B_FLAT_4_HZ = 293.665, 466.164
"""Published frequencies of the equal-tempered scale on A4 = 440 Hz, as in any table of note frequencies."""


def test_the_document_has_the_keys_that_were_promised(predicted: Prediction) -> None:
    whole = predicted.document()
    assert list(whole) == ["tongues", "modes_hz", "model"]
    assert [list(tongue) for tongue in whole["tongues"]] == [TONGUE_KEYS, TONGUE_KEYS]
    assert all(list(one) == ["hz", "weight"] for tongue in whole["tongues"] for one in tongue["partials"])
    assert list(whole["model"]) == ["unknowns", "seconds"]
    assert json.loads(json.dumps(whole, allow_nan=False)) == whole


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
    assert any("e_r" in line and "wider" in line for line in told)
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
    from kerftone.modal.sensitivity import solved

    assert predicted.live is not None
    shelf = shelf_beside(tmp_path / "drum.toml")
    shelf.keep(predicted.drum, LISTED, solved(predicted.live))

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
    found = SimpleNamespace(solution=predicted.live)
    shelf = shelf_beside(tmp_path / "drum.toml")
    longer = predicted.drum.with_lengths(tuple((t.tongue.length_mm or 0.0) + 0.01 for t in predicted.tongues))
    prediction_of_fit(found, longer, shelf)  # type: ignore[arg-type]
    assert shelf.solved(longer, LISTED) is None
    prediction_of_fit(found, predicted.drum, shelf)  # type: ignore[arg-type]
    assert shelf.solved(predicted.drum, LISTED) is not None
