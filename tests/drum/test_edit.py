"""Single values are changed in a drum file and everything else stays as the maker wrote it."""

from __future__ import annotations

import tomllib

import pytest
from tests.drums import REED, WREN

from kerftone.drum.edit import Change, edited
from kerftone.drum.file import parse_drum
from kerftone.drum.lines import KeyPath
from kerftone.errors import DrumFileError

INLINE = """\
tongues = [{note = "D4", length = 140.0}, {note = "A4"}] # both
[top]
width = 70.0
"""


def change(text: str, at: KeyPath, value: object) -> str:
    return edited(text, [Change(at=at, value=value)])


def other_lines(before: str, after: str) -> tuple[set[str], set[str]]:
    one, two = before.splitlines(), after.splitlines()
    return set(one) - set(two), set(two) - set(one)


def test_a_value_is_changed_where_it_stands_and_its_remark_stays() -> None:
    text = WREN.replace("length = 140.0", "length = 140.0   # as sawn")
    gone, come = other_lines(text, change(text, ("tongues", 0, "length"), 138.25))
    assert gone == {"length = 140.0   # as sawn"}
    assert come == {"length = 138.25   # as sawn"}


def test_a_key_that_was_left_out_is_added_to_its_own_table() -> None:
    after = change(WREN, ("slots", "stop_hole"), 6.0)
    assert tomllib.loads(after)["slots"]["stop_hole"] == 6.0
    assert other_lines(WREN, after) == (set(), {"stop_hole = 6.0"})


def test_a_table_that_was_left_out_is_added_and_taken_out_again() -> None:
    with_feet = change(WREN, ("box", "feet", "kind"), "wood")
    assert parse_drum(with_feet).box.feet.kind == "wood"
    bottom = change(WREN, ("bottom",), {"wood": "teak", "thickness": 6.0})
    drum = parse_drum(bottom)
    assert drum.bottom is not None and drum.bottom.thickness_mm == 6.0
    assert tomllib.loads(change(bottom, ("bottom",), None)) == tomllib.loads(WREN)


def test_a_tongue_is_added_after_the_last_and_the_box_keeps_its_remark() -> None:
    text = WREN.replace("[box]", "# four walls\n[box]")
    after = change(text, ("tongues", 2), {"note": "F4"})
    assert [tongue.note for tongue in parse_drum(after).tongues] == ["D4", "Bb4", "F4"]
    assert after.index('note = "F4"') < after.index("# four walls") < after.index("[box]")


@pytest.mark.parametrize("number", [0, 1, 2, 3])
def test_any_tongue_is_taken_out_and_no_whole_line_remark_is_lost(number: int) -> None:
    text = REED.replace("[box]", "# remark 4\n[box]")
    for at in range(3, 0, -1):
        parts = text.split("[[tongues]]")
        text = "[[tongues]]".join([*parts[: at + 1][:-1], parts[at] + f"# remark {at}\n", *parts[at + 1 :]])
    after = change(text, ("tongues", number), None)
    notes = ["D4", "A4", "F4", "C5"]
    del notes[number]
    assert [one["note"] for one in tomllib.loads(after)["tongues"]] == notes
    assert all(f"# remark {at}" in after for at in range(1, 5))


def test_tongues_written_in_one_line_are_changed_too() -> None:
    after = edited(
        INLINE,
        [
            Change(at=("tongues", 1, "length"), value=100.0),
            Change(at=("tongues", 2), value={"note": "E4"}),
            Change(at=("tongues", 0), value=None),
        ],
    )
    assert tomllib.loads(after)["tongues"] == [{"note": "A4", "length": 100.0}, {"note": "E4"}]
    assert "# both" in after


def test_line_ends_of_another_system_are_kept() -> None:
    text = WREN.replace("\n", "\r\n")
    after = change(text, ("top", "thickness"), 13.0)
    assert after.count("\r\n") == after.count("\n") == text.count("\n")


@pytest.mark.refusal
def test_a_key_inside_a_plain_value_is_refused_and_the_text_is_not_touched() -> None:
    with pytest.raises(DrumFileError, match="without touching something else"):
        change(WREN, ("name", "first"), "x")
