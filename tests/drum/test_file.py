"""Reading a drum file: what it means, and what is said when it means nothing."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from kerftone.drum import Shop, drum_text, parse_drum, read_drum
from kerftone.drum.file import check_drum_text
from kerftone.drum.file_keys import usual
from kerftone.errors import DrumFileError, KerftoneError
from kerftone.wood import find_species

from ..drums import WREN


def refusal(text: str) -> DrumFileError:
    with pytest.raises(DrumFileError) as caught:
        parse_drum(text, "drum.toml")
    return caught.value


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_the_reference_drums_mean_what_they_say(w1: str, w2: str, w4: str) -> None:
    one, two, four = parse_drum(w1), parse_drum(w2), parse_drum(w4)
    assert (one.top.length_mm, one.top.width_mm, one.top.thickness_mm) == (420, 190, 16)
    assert [t.length_mm for t in one.tongues] == [150, 130, 170, 170, 190, 150]
    assert [(t.row, t.side) for t in one.tongues[2:4]] == [(3, "left"), (1, "right")]
    assert one.top.elastic.nu_rt == 0.695 and one.top.elastic.density_kg_m3 == 560
    assert (two.box.mount, two.box.ledge_mm, two.box.wall_mm) == ("in ledge", 6, 18)
    assert one.box.stands == "held" and one.bottom is None and one.bores == ()
    assert (four.bores[2].x_mm, four.bores[2].y_mm) == (52, 141)
    assert (four.bores[4].diameter_mm, four.bores[4].depth_mm) == (22, 8)
    assert one.top.elastic.g_lt_gpa == 1.1


SMALL = """\
name = "Brook"
units = "in"
[top]
wood = "Black Cherry"
length = 16
width = "7 1/2"
thickness = "5/8"
[top.elastic]
e_l = 12.0
[slots]
kerf = "1/8"
end_margin = 1.25
side_margin = 1
[[tongues]]
note = "D3"
[[tongues]]
note = "F♯3"
row = 1
side = "right"
[box]
wood = "ash, white"
wall = 0.5
height = 3.75
[bottom]
thickness = "3/8"
wood = "maple, sugar"
"""


def test_inches_and_fractions_become_millimetres_and_the_rest_has_defaults() -> None:
    drum = parse_drum(SMALL)
    assert drum.units == "in"
    assert drum.top.width_mm == pytest.approx(190.5)
    assert drum.top.thickness_mm == pytest.approx(15.875)
    assert drum.slots.kerf_mm == pytest.approx(3.175)
    assert drum.tuning.aim_cents == -30.0 and drum.tuning.temperament == "equal"
    assert drum.bottom is not None and drum.bottom.thickness_mm == pytest.approx(9.525)
    first, second = drum.tongues
    assert (first.row, first.side, first.length_mm) == (None, None, None)
    assert (second.note, second.row, second.side) == ("F#3", 1, "right")


def test_own_constants_override_the_species_and_the_rest_stay() -> None:
    top = parse_drum(SMALL).top
    mean = find_species("cherry, black").elastic()
    assert top.wood == "cherry, black"
    assert top.elastic.e_l_gpa == 12.0
    assert top.elastic.e_r_gpa == mean.e_r_gpa


def test_a_wood_may_be_given_by_its_ten_constants_alone_or_with_a_name_of_its_own(w1: str) -> None:
    nameless = w1.replace('wood = "cherry, black"\n', "", 1)
    assert parse_drum(nameless).top.elastic == parse_drum(w1).top.elastic
    named = w1.replace("cherry, black", "the old bench top", 1)
    assert parse_drum(named).top.wood == "the old bench top"


def test_a_path_for_the_tongue_end_is_kept_front_edge_first(w1: str) -> None:
    text = w1.replace('"square"', "[[-5, 21.5], [0, 0.0], [-2, -21.5]]")
    assert parse_drum(text).slots.tongue_end == ((-2, -21.5), (0, 0), (-5, 21.5))


EVERY_KEY = """\
name = "Brook"
units = "mm"                 # or "in"

[tuning]
reference_hz = 440.0
temperament = "just"
tolerance_cents = 5.0
aim_cents = -30.0            # cut flat by this much

[top]
wood = "cherry, black"
length = 420.0
width = 190.0
thickness = 16.0
cut = "quartersawn"
grain_angle_deg = 2.5

[top.elastic]                # optional
e_l = 11.3

[slots]
kerf = 3.0
end_margin = 32.0            # board end to the tongue roots
side_margin = 26.0
stop_hole = 0.0
tongue_end = "square"

[[tongues]]
note = "D3"
row = 1                      # from the front edge
side = "left"
length = 150.0

[[bores]]
x = 160.0
y = 50.0
diameter = 20.0
depth = 4.0

[box]
wood = "ash, white"
wall = 12.0
height = 95.0
mount = "in ledge"
ledge = 6.0
stands = "free"

[bottom]
wood = "ash, white"
thickness = 9.0
"""


def test_a_file_with_every_key_means_what_it_says() -> None:
    drum = parse_drum(EVERY_KEY)
    assert (drum.tuning.temperament, drum.top.cut, drum.top.grain_angle_deg) == ("just", "quartersawn", 2.5)
    assert (drum.box.mount, drum.box.ledge_mm, drum.box.stands) == ("in ledge", 6.0, "free")
    assert drum.bottom is not None and drum.bottom.elastic == drum.box.elastic
    assert drum.bores[0].depth_mm == 4.0
    assert drum.box.elastic.density_kg_m3 == pytest.approx(672)  # specific gravity 0.60 at 12 % moisture


def test_two_readings_are_one_drum_also_as_a_key_of_a_table() -> None:
    assert {parse_drum(EVERY_KEY): 1}[parse_drum(EVERY_KEY)] == 1


WRONG = [
    # what is put in place of what, what the message must say, the part whose line it must name
    (
        "kerf = 3",
        "kerf = -3",
        ["kerf in [slots] is -3 mm", "0.3 mm to 12 mm", "nearest that works is 0.3 mm"],
    ),
    ("kerf = 3", "kerff = 3", ["'kerff' in [slots]", "nearest key is kerf"]),
    ("kerf = 3\n", "", ["[slots] lacks kerf", "add kerf"]),
    ("kerf = 3", "wall = 3", ["'wall' in [slots]", "belongs in [box]"]),
    ("kerf = 3", "kerf = inf", ["is inf", "write"]),
    ("length = 150", "length = nan", ["length of tongue 1 is nan"]),
    ("length = 150", "length = 1e300", ["length of tongue 1", "1500 mm"]),
    ("length = 150", 'length = "5/8"', ["length of tongue 1", "30 mm to 1500 mm"]),
    ("length = 420", "length = 16.5", ["If 16.5 in is meant, write 16.5 in"]),
    ("length = 150", "length = true", ["is true", "must be a number"]),
    ("length = 420", "length = 1" + "0" * 400, ["very large number"]),
    ("length = 420", "length = 0x" + "f" * 6000, ["very large number"]),
    ("length = 420", "length = 42", ["100 mm to 2000 mm", "nearest that works is 100 mm"]),
    ('units = "mm"', 'units = "ins"', ["units is 'ins'", 'did you mean "in"?']),
    ('note = "C3"', 'note = "C9"', ["C9 is 8372 Hz", "50 to 2500 Hz", "nearest octave that works is C7"]),
    ('note = "C3"', 'note = "Bb0"', ["29.14 Hz", "works is Bb1"]),
    ('note = "C3"', 'note = "H3"', ["'H3'", "write D3, F#4 or Bb3"]),
    ('note = "C3"', "note = 3", ["note of tongue 1 is 3", '"D3"']),
    ("row = 2", "row = 1", ["row 1, left, where tongue 1 (C3) already is", "nearest free one is row 2"]),
    ("row = 1", "row = 0", ["is 0", "write row = 1"]),
    ("row = 1", "row = 1.5", ["1.5", "a whole number"]),
    ('side = "left"', 'side = "lft"', ['did you mean "left"?']),
    ('side = "left"\n', "", ["has a row but no side"]),
    ("row = 1\n", "", ["has a side but no row"]),
    ('"on walls"', '"in ledge"', ["ledge is missing", "from 2 mm to 10 mm"]),
    ('"square"', '"sqare"', ["'sqare'", '"slant"']),
    ('"square"', "[[0, -21.5], [2, 21.5]]", ["2 mm along at its furthest", "take 2 off"]),
    ('"square"', "[[0, -21.5], [0, -21.5], [0, 21.5]]", ["points 1 and 2 in one place", "leave one out"]),
    ('"square"', '[[0, -21.5, "arc"], [0, 0], [0, 21.5]]', ['"arc" in point 1', "without a word"]),
    ('"square"', '[[0, -21.5], [0, 0, "bent"], [0, 21.5]]', ["'bent' in point 2", '"arc" or "smooth"']),
    ('"square"', '[[0, -21.5], [0, -5, "arc"], [0, 5, "smooth"], [0, 21.5]]', ["between two corners"]),
    ('"square"', "[[0, -21.5], 7]", ["has 7 as point 2"]),
    ('"square"', "[[0, 1]]", ["has 1 points"]),
    ("nu_rt = 0.695", "nu_rt = 1.6", ["nu_rt is 1.6", "1.516"]),
    ("e_l = 11.3", "e_l = 11300", ["0.1 GPa to 100 GPa"]),
    ("e_l = 11.3", "e_1 = 11.3", ["'e_1' in [top.elastic]", "nearest key is e_"]),
    ("reference_hz = 440.0", "reference_hz = 44", ["380 Hz to 500 Hz"]),
    ('temperament = "equal"', 'temperament = "even"', ['"equal" or "just"']),
    (
        'wood = "cherry, black"',
        'board = "boards/1.toml"',
        ["boards/1.toml", "there is no such file", "make a new board"],
    ),
    ("wall = 12", "wall = [12]", ["wall in [box] is a list"]),
    ("wall = 12", "wall = 12\nwall = 13", ["wall in [box] is here a second time, after line"]),
    ("wall = 12", "wall = 1\\2", ["The length '1\\\\2' cannot be read"]),
    ("wall = 12", "wall = " + "9" * 5000, ["5000 digits"]),
    ("wall = 12", "wall = " + "[" * 3000, ["nested too deeply"]),
]


@pytest.mark.refusal
@pytest.mark.parametrize(("right", "wrong", "says"), WRONG)
def test_a_slip_gets_one_message_with_its_line_and_its_mend(
    w1: str, right: str, wrong: str, says: list[str]
) -> None:
    text = w1.replace(right, wrong, 1)
    assert text != w1
    error = refusal(text)
    for part in says:
        assert part in error.message
    assert "\n" not in str(error) and len(str(error)) < 600
    assert str(error).startswith(f"drum.toml, line {error.line}: ")


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("right", "wrong", "line_with"),
    [
        ("kerf = 3", "kerf = -3", "kerf = -3"),
        ("kerf = 3", "kerff = 3", "kerff = 3"),
        ("kerf = 3\n", "", "[slots]"),
        ('note = "G3"', 'note = "G"', 'note = "G"'),
        ("length = 190", "length = 9", "length = 9\n"),
        ("height = 95", "height = -1", "height = -1"),
        ("wall = 12", "wall = 12\nwall = 13", "wall = 13"),
        ('name = "W1"', 'name = "W1', 'name = "W1'),
        ("nu_lr = 0.371", "nu_lr = 9", "nu_lr = 9"),
        ('note = "C3"\nrow = 1', "row = 1", "[[tongues]]"),
    ],
)
def test_the_line_that_is_named_is_the_line_that_is_wrong(
    w1: str, right: str, wrong: str, line_with: str
) -> None:
    text = w1.replace(right, wrong, 1)
    assert refusal(text).line == line_of(text, line_with)


@pytest.mark.refusal
def test_of_several_slips_the_first_in_the_file_is_told(w1: str) -> None:
    text = w1.replace("height = 95", "height = -1").replace("width = 190", "width = -1")
    assert "width in [top]" in refusal(text).message


@pytest.mark.refusal
def test_a_misspelt_species_is_offered_the_nearest_name() -> None:
    text = SMALL.replace("Black Cherry", "Chery")
    error = refusal(text)
    assert '"cherry, black"' in error.message and "[top.elastic]" in error.message
    assert error.line == 4
    assert error.nearest[0] == "cherry, black"  # type: ignore[index]


@pytest.mark.refusal
def test_bounds_are_told_in_the_files_own_units() -> None:
    error = refusal(SMALL.replace('kerf = "1/8"', 'kerf = "1 1/8"'))
    assert "kerf in [slots] is 1 1/8 in" in error.message
    assert "15/32 in" in error.message  # 12 mm, rounded to the side that works


@pytest.mark.refusal
def test_a_fraction_that_is_none_is_told() -> None:
    assert "5/8" in refusal(SMALL.replace('"1/8"', '"1/0"')).message


@pytest.mark.refusal
def test_a_row_left_out_is_told(w1: str) -> None:
    text = w1.replace("row = 3", "row = 4")
    assert "row 3 has no tongue" in refusal(text).message
    assert "write row = 3" in refusal(text).message


@pytest.mark.refusal
def test_no_tongues_at_all_is_told(w1: str) -> None:
    head, rest = w1.split("[[tongues]]", 1)
    text = "tongues = []\n" + head + rest[rest.index("[box]") :]
    assert "A drum needs one at least" in refusal(text).message


@pytest.mark.refusal
@pytest.mark.parametrize("part", ["top", "box", "bottom"])
def test_a_part_without_wood_is_told(part: str) -> None:
    lines = SMALL.split("\n")
    at = next(i for i in range(lines.index(f"[{part}]"), len(lines)) if lines[i].startswith("wood"))
    text = "\n".join([*lines[:at], *lines[at + 1 :]])
    assert part in refusal(text).message and "ten constants" in refusal(text).message


@pytest.mark.refusal
@pytest.mark.parametrize("cut", range(30, 1400, 97))
def test_a_half_written_file_is_told_whatever_the_place_it_stops(w1: str, cut: int) -> None:
    assert refusal(w1[: min(cut, len(w1) - 200)]).message


@pytest.mark.refusal
def test_an_empty_file_is_told() -> None:
    assert "empty" in refusal("\n \n").message


@pytest.mark.refusal
def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(DrumFileError, match="make a new drum"):
        read_drum(tmp_path / "drum.toml")


@pytest.mark.refusal
def test_a_folder_in_place_of_a_file_is_told_with_the_file_in_it(tmp_path: Path, w1: str) -> None:
    with pytest.raises(DrumFileError, match=r"no drum\.toml in it"):
        read_drum(tmp_path)
    (tmp_path / "drum.toml").write_text(w1)
    with pytest.raises(DrumFileError, match=r"give .*drum\.toml"):
        read_drum(tmp_path)


@pytest.mark.refusal
def test_bytes_that_are_no_text_are_told_with_their_line(tmp_path: Path, w1: str) -> None:
    path = tmp_path / "drum.toml"
    path.write_bytes(b"# \xe9t\xe9\n" + w1.encode())
    with pytest.raises(DrumFileError, match=r"line 1: the byte 0xe9 is not UTF-8"):
        read_drum(path)


@pytest.mark.refusal
def test_a_huge_file_is_told_and_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "drum.toml"
    with path.open("wb") as stream:
        stream.truncate(50_000_000_000)  # sparse: reading it whole would not go unnoticed
    with pytest.raises(DrumFileError, match="larger than 200 kB"):
        read_drum(path)


@pytest.mark.refusal
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(DrumFileError, match="not a plain file"):
        read_drum(tmp_path / "pipe")


@pytest.mark.refusal
@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_a_name_no_file_can_have_is_told(name: str) -> None:
    with pytest.raises(DrumFileError):
        read_drum(name)


def test_a_byte_order_mark_does_no_harm(tmp_path: Path, w1: str) -> None:
    path = tmp_path / "drum.toml"
    path.write_bytes(b"\xef\xbb\xbf" + w1.replace("\n", "\r\n").encode())
    assert read_drum(path) == parse_drum(w1)


def test_the_shop_says_what_it_can_bore(w1: str) -> None:
    table = "[shop]\nbits = [25.0, 10, 15.0]\ndepth_step = 1.0\nmin_left = 6.0\n"
    shop = parse_drum(w1 + table).shop
    assert shop == Shop(bits_mm=(10.0, 15.0, 25.0), depth_step_mm=1.0, min_left_mm=6.0)
    assert parse_drum(w1).shop == Shop()


def test_a_shop_in_inches_may_write_fractions(w1: str) -> None:
    inches = replace(parse_drum(w1), shop=usual(Shop, "in"))
    text = drum_text(inches, units="in") + '[shop]\nbits = ["1/2", "3/4", 1]\ndepth_step = "1/32"\n'
    shop = parse_drum(text).shop
    assert shop.bits_mm == pytest.approx((12.7, 19.05, 25.4))
    assert shop.depth_step_mm == pytest.approx(0.79375)
    assert shop.min_left_mm == pytest.approx(4.7625), "3/16 in, what is usual there"


@pytest.mark.refusal
@pytest.mark.parametrize(
    "line, told",
    [
        ("bits = []", "bits in [shop] is a list. It is a list of 1 to 50 diameters"),
        ("bits = 20.0", "1 to 50 diameters"),
        ("bits = [10.0, 200.0]", "has a bit that is 200 mm. It must be from 2 mm to 100 mm: the nearest"),
        ('bits = ["wide"]', "has a bit that cannot be read"),
        ("min_left = 0.0", "the nearest that works is 1 mm"),
        ("depth_steps = 0.5", "the nearest key is depth_step"),
    ],
)
def test_a_shop_that_cannot_be_is_refused(w1: str, line: str, told: str) -> None:
    assert told in str(refusal(w1 + f"[shop]\n{line}\n"))


@pytest.mark.refusal
def test_a_text_in_no_file_yet_is_refused_in_the_readers_words_without_a_line() -> None:
    check_drum_text(WREN)
    with pytest.raises(KerftoneError) as caught:
        check_drum_text(WREN.replace("kerf = 3.0", "kerf = 300.0"))
    with pytest.raises(DrumFileError) as read:
        parse_drum(WREN.replace("kerf = 3.0", "kerf = 300.0"))
    assert not isinstance(caught.value, DrumFileError)
    assert str(caught.value) == read.value.message and "line" not in str(caught.value)
