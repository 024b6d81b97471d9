"""Whatever a page sends is a change of the file, or a refusal in words: never a fault, never a spoilt file."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.app.wishes import WishError, changes_of
from kerftone.drum.edit import edited
from kerftone.drum.file import parse_drum
from kerftone.errors import KerftoneError

from ..drums import REED, WREN

DRUM = parse_drum(REED)
WORDS = st.sampled_from(
    ["top", "length", "tongues", "note", "box", "feet", "kind", "bottom", "stock", "name", "slots", "bores"]
)
PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | WORDS
VALUES = st.recursive(
    PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3), max_leaves=6
)
WISHES = st.fixed_dictionaries(
    {
        "do": st.sampled_from(
            [
                "set",
                "note",
                "swap",
                "add",
                "remove",
                "free",
                "bottom",
                "mount",
                "end",
                "board",
                "pickup",
                "stock",
                "sound_hole",
            ]
        )
    },
    optional={
        "at": st.lists(WORDS | st.integers(0, 6), min_size=1, max_size=4),
        "value": VALUES,
        "mm": PLAIN,
        "typed": PLAIN,
        "unit": st.sampled_from(["mm", "in"]),
        "tongue": st.integers(-1, 5) | PLAIN,
        "one": st.integers(0, 4),
        "other": st.integers(0, 4),
        "note": st.sampled_from(["F4", "H9", "C0", ""]) | PLAIN,
        "on": PLAIN,
        "shape": st.sampled_from(["round", "own", "as all"]) | PLAIN,
        "points": st.lists(st.lists(PLAIN, max_size=4), max_size=4) | PLAIN,
        "fit": st.sampled_from(["under", "let in", "on a lip", "none"]) | PLAIN,
        "to": st.sampled_from(["on walls", "in ledge", "on a lip"]) | PLAIN,
        "number": PLAIN,
        "wood": PLAIN,
        "length": PLAIN,
        "width": PLAIN,
        "thickness": PLAIN,
    },
)


@given(st.lists(WISHES, min_size=1, max_size=3))
def test_anything_sent_is_a_change_or_a_refusal(wishes: list[dict[str, Any]]) -> None:
    try:
        changes, words = changes_of(DRUM, wishes)
        text = edited(REED, changes)
        parse_drum(text)
    except KerftoneError:
        return
    assert words
    text.encode("utf-8")


@pytest.mark.refusal
def test_letters_that_no_file_can_hold_are_refused() -> None:
    wish = json.loads('{"do": "set", "at": ["name"], "value": "\\ud800"}')
    with pytest.raises(WishError, match="cannot be read"):
        changes_of(DRUM, [wish])


def test_a_sound_hole_is_put_in_moved_and_taken_out_leaving_the_file_as_it_was() -> None:
    text = WREN

    def change(*wishes: dict[str, Any]) -> None:
        nonlocal text
        text = edited(text, changes_of(parse_drum(text), list(wishes))[0])

    change({"do": "sound_hole", "part": "front"})
    change({"do": "sound_hole", "part": "left"})
    change({"do": "set", "at": ["sound_holes", 1, "length"], "mm": 40.0})
    first, second = parse_drum(text).sound_holes
    assert (first.part, first.diameter_mm, first.length_mm, first.along_mm) == ("front", 30.0, None, None)
    assert (second.part, second.length_mm) == ("left", 40.0)
    change({"do": "sound_hole", "number": 0})
    assert [one.part for one in parse_drum(text).sound_holes] == ["left"]
    change({"do": "sound_hole", "number": 0})
    assert parse_drum(text) == parse_drum(WREN)
    for wish in ({"part": "lid"}, {"number": 0}, {"number": True}):
        with pytest.raises(WishError):
            change({"do": "sound_hole", **wish})


def test_a_board_on_hand_is_put_on_the_list_and_taken_off_leaving_the_file_as_it_was() -> None:
    drum = parse_drum(WREN)
    wish = {"do": "stock", "wood": "teak", "length": "40", "width": "6", "thickness": "1", "unit": "in"}
    with_one = edited(WREN, changes_of(drum, [wish])[0])
    stock = parse_drum(with_one).making.stock
    assert [(one.wood, one.length_mm, one.thickness_mm) for one in stock] == [("teak", 1016.0, 25.4)]
    assert (
        parse_drum(edited(with_one, changes_of(parse_drum(with_one), [{"do": "stock", "number": 0}])[0]))
        == drum
    )
