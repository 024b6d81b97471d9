"""What a maker writes is read, or refused at its line in our own words; the maker's text is what stays."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.drum import parse_drum, read_drum, save_lengths
from kerftone.drum.lines import index_lines
from kerftone.drum.trade_words import our_word
from kerftone.drum.written import as_toml
from kerftone.errors import DrumFileError

HAND = """\
name = Brook’s first
Units: inches
[Top]   # of a yard's board
wood = black cherry
length = 17 1/2
width = 7 1/4"   # jointed
thickness = 5/8
cut = Quarter sawn
[slots]
kerf = 3 mm
End Margin = 1-1/2
side margin = 1½
[tongues]
note = g3
length = 7 1/4
row = 1
side = Left
[tongues]
note = F#3  # the high one
row = "2"
side = R
[box]
wood = “ash, white”
wall = .5
height = 3,75
joint = box joint
[tuning]
reference_hz = 442 Hz
[shop]
bits = [1/4, 3/8 in, 10 mm,
  1/2]
"""
LIBRARY_WORDS = re.compile(
    r"toml|pydantic|expected newline|end of document|input should|invalid|parse|unable to|statement|literal",
    re.IGNORECASE,
)


def test_what_a_maker_writes_by_hand_means_what_it_says() -> None:
    drum = parse_drum(HAND)
    assert (drum.name, drum.units, drum.top.wood, drum.top.cut) == (
        "Brook’s first",
        "in",
        "cherry, black",
        "quartersawn",
    )
    assert drum.top.length_mm == pytest.approx(444.5)
    assert drum.top.width_mm == pytest.approx(184.15)
    assert drum.top.thickness_mm == 15.875
    assert drum.slots.kerf_mm == 3.0
    assert drum.slots.end_margin_mm == drum.slots.side_margin_mm == pytest.approx(38.1)
    assert [(t.note, t.row, t.side) for t in drum.tongues] == [("G3", 1, "left"), ("F#3", 2, "right")]
    assert drum.box.wall_mm == pytest.approx(12.7) and drum.box.height_mm == 95.25
    assert drum.box.joint == "finger" and drum.box.wood == "ash, white"
    assert drum.tuning.reference_hz == 442.0
    assert drum.shop.bits_mm == pytest.approx((6.35, 9.525, 10.0, 12.7))


@pytest.mark.roundtrip
def test_only_the_length_that_changes_is_written_and_the_rest_stays_as_the_maker_wrote_it(
    tmp_path: Path,
) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(HAND, encoding="utf-8")
    drum = read_drum(path)
    save_lengths(path, drum)
    assert path.read_text(encoding="utf-8") == HAND  # 7 1/4 stays 7 1/4
    longer = drum.with_lengths((190.5, 152.4))
    save_lengths(path, longer)
    lines = path.read_text(encoding="utf-8").splitlines()
    kept = HAND.splitlines()
    assert lines[14] == 'length = "7 1/2"'
    assert lines[:14] == kept[:14] and lines[15:21] == kept[15:21] and lines[21] == "length = 6"
    assert lines[22:] == kept[21:]


def test_a_file_that_is_toml_already_is_left_alone(w1: str, w2: str, w4: str) -> None:
    for text in (w1, w2, w4):
        assert as_toml(text).text == text and as_toml(text).edits == ()


SLIPS = [
    # what is put in place of what, and what the message must say, the line as it should be
    ("thickness = 5/8", "thickness 5/8", "write thickness = 5/8"),
    ("thickness = 5/8", "thickness =", "thickness has no value"),
    ("thickness = 5/8", "thickness = 5/8\nThickness = 3/4", "second time, after line 7"),
    ("note = g3", 'note = "g3', 'write note = "g3"'),
    ("note = g3", 'note = "g3" row = 1', 'write note = "g3", and row = 1 below it'),
    ("note = g3", "note = g3 row = 1", "write note = g3, and row = 1 below it"),
    ("note = g3", 'note = "g3" low one', "# low one"),
    ("[Top]", "Top]", "write [top]"),
    ("[tongues]", "Tongues", "write [[tongues]]"),
    ("[box]", "[top]", "put all its keys under the first one"),
    ("  1/2]", "  1/2", "The list of bits has no end"),
    ("length = 17 1/2", "length = 1,200", "1.200 or 1200"),
    ("length = 17 1/2", "length = seventeen", "The length 'seventeen' cannot be read"),
    ("length = 17 1/2", "length = 445", "If 445 mm is meant, write 445 mm"),
    ("row = 1", "row = one", "It must be a whole number, such as 1"),
    ("name = Brook", '"""\nname = Brook', "has no key and value"),
]


@pytest.mark.refusal
@pytest.mark.parametrize(("right", "wrong", "says"), SLIPS)
def test_what_cannot_be_read_is_refused_with_the_line_as_it_should_be(
    right: str, wrong: str, says: str
) -> None:
    text = HAND.replace(right, wrong, 1)
    assert text != HAND
    with pytest.raises(DrumFileError) as caught:
        parse_drum(text)
    assert says in caught.value.message
    assert not LIBRARY_WORDS.search(caught.value.message)
    first_other = next(
        i for i, (a, b) in enumerate(zip(HAND.split("\n"), text.split("\n"), strict=False)) if a != b
    )
    assert caught.value.line is not None and first_other - 1 <= caught.value.line - 1 <= first_other + 1


def _messages_of(text: str) -> str:
    try:
        parse_drum(text)
    except DrumFileError as error:
        return re.sub(
            r"`[^`]*`|'[^']*'|\"[^\"]*\"", "", error.message
        )  # what the maker wrote may hold any word
    return ""


@given(
    st.integers(0, len(HAND.splitlines()) - 1),
    st.integers(0, len(HAND.splitlines()) - 1),
    st.sampled_from(["drop", "double", "swap", "cut", "misspell", "retype"]),
    st.sampled_from(
        [
            "true",
            "[1, 2",
            "{",
            '"',
            "'''",
            "=",
            "[[",
            "2020-01-01",
            "1e3",
            "0x1G",
            "\\",
            "ü",
            "“",
            ", ,",
            "\x07",
        ]
    ),
)
def test_no_slip_is_answered_in_the_words_of_a_library(at: int, other: int, slip: str, put: str) -> None:
    lines = HAND.splitlines()
    line = lines[at]
    if slip == "drop":
        del lines[at]
    elif slip == "double":
        lines.insert(other, line)
    elif slip == "swap":
        lines[at], lines[other] = lines[other], lines[at]
    elif slip == "cut":
        lines[at] = line[: other % (len(line) + 1)]
    elif slip == "misspell":
        lines[at] = line.replace("e", "", 1)
    else:
        lines[at] = line.split("=")[0] + "= " + put
    assert not LIBRARY_WORDS.search(_messages_of("\n".join(lines)))


@given(st.text(st.sampled_from("ab=:[]{}\"“”'’#,;. \t\n0123/-½mé\\"), max_size=60))
def test_lines_stay_lines_and_places_come_from_the_makers_text(text: str) -> None:
    try:
        written = as_toml(text)
    except DrumFileError:
        return
    assert written.text.count("\n") == text.count("\n")
    try:
        tomllib.loads(written.text)
    except (ValueError, RecursionError):
        return
    for start, end in index_lines(written.text).spans.values():
        mine = written.of_maker((start, end))
        assert 0 <= mine[0] <= mine[1] <= len(text)
        assert text.count("\n", 0, mine[0]) == written.text.count("\n", 0, start)


@pytest.mark.parametrize(
    ("key", "typed", "ours"),
    [
        ("joint", "Box Joint", "finger"),
        ("joint", "comb joint", "finger"),
        ("joint", "rebate", "rabbet"),
        ("joint", "Miter", "mitre"),
        ("joint", "splined miter", "mitre with keys"),
        ("cut", "Plain-sawn", "flatsawn"),
        ("cut", "quarter sawn", "quartersawn"),
        ("cut", "rift", "rift"),
    ],
)
def test_a_choice_is_known_by_the_other_names_of_the_trade(key: str, typed: str, ours: str) -> None:
    assert our_word(key, typed) == ours
