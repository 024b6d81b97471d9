"""The drums in examples/ are what they say: read, drawn and planned without a word against them."""

from __future__ import annotations

from pathlib import Path

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.shop.shop_plan import fitted, shop_plan

FOLDER = Path(__file__).parents[1] / "examples"
NAMES = sorted(path.parent.name for path in FOLDER.glob("*/drum.toml"))


@pytest.mark.parametrize("name", NAMES)
def test_an_example_is_called_invented_and_nothing_in_it_wants_mending(name: str) -> None:
    path = FOLDER / name / "drum.toml"
    assert "invented" in path.read_text("utf-8").splitlines()[0]
    drum = read_drum(path)
    check_outline(drum)
    plan = shop_plan(drum)
    assert not [check for check in plan.checks if check.verdict == "mend"]


def test_there_is_one_with_lips_and_an_end_of_its_own_for_each_tongue() -> None:
    drum = read_drum(FOLDER / "sedge" / "drum.toml")
    assert drum.box.mount == "on a lip" and drum.bottom is not None and drum.bottom.fit == "on a lip"
    assert fitted(drum) and drum.slots.stop_hole_mm > 0.0 and drum.box.feet.kind != "none"
    assert len({str(drum.end_of(tongue)) for tongue in drum.tongues}) == 6
    assert len(outline(drum).tongues) == 6


@pytest.mark.slow
def test_it_sounds_its_notes() -> None:
    from kerftone.jobs.prediction import predict

    drum = read_drum(FOLDER / "sedge" / "drum.toml")
    for one in predict(drum).tongues:
        assert one.heard.hz == pytest.approx(one.aim_hz, rel=1e-3), one.tongue.note
        assert one.heard.clarity > 0.9
