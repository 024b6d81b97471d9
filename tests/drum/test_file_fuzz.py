"""Whatever is in a file, reading it gives a drum or one refusal, never anything else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kerftone.drum import Drum, check_outline, drum_text, parse_drum, read_drum
from kerftone.drum.outline import outline
from kerftone.errors import DrumFileError, KerftoneError

from .conftest import reference_toml

TEXTS = [reference_toml(name) for name in ("W1", "W2", "W4")]
TEXTS.append(drum_text(parse_drum(TEXTS[1]), units="in"))

SOME_VALUES = [
    *(
        "0",
        "-1",
        "1e9",
        "nan",
        "-inf",
        "inf",
        "1e-320",
        "0x" + "F" * 40,
        "9" * 30,
        "true",
        "2020-01-01",
        "07:32:00",
    ),
    *('""', '"5/8"', '"1 1/4"', '"-1/0"', '"\\u0000"', "'''\n\n'''", "[]", "[[]]", "[[0, 0], [0, 1]]", "{}"),
    *(
        "{a = 1}",
        "[{}]",
        "3",
        "0.5",
        "16",
        "100",
        '"left"',
        '"free"',
        '"in ledge"',
        '"slant"',
        '"teak"',
        '"C4"',
    ),
]


def assert_drum_or_refusal(text: str) -> None:
    try:
        drum = parse_drum(text, "drum.toml")
    except DrumFileError as error:
        line = error.line
        assert line is None or 1 <= line <= text.count("\n") + 1
        assert error.message.strip().endswith((".", "?"))
        return
    assert isinstance(drum, Drum)
    try:
        check_outline(drum)
    except KerftoneError:
        return
    if all(t.length_mm is not None and t.row is not None for t in drum.tongues):
        drawn = outline(drum)
        assert drawn.top.is_valid and drawn.top.geom_type == "Polygon"


anew = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@anew
@given(st.binary(max_size=300))
def test_any_bytes_give_a_drum_or_a_refusal(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "drum.toml"
    path.write_bytes(data)
    with pytest.raises(DrumFileError):
        read_drum(path)


@anew
@given(st.text(st.sampled_from("[]{}=\"'.,#\n\r\t \\0123e-+_:abtongues\u00e9\u2028\x00"), max_size=80))
def test_any_marks_of_the_format_give_a_drum_or_a_refusal(text: str) -> None:
    assert_drum_or_refusal(text)


@anew
@given(
    st.sampled_from(TEXTS),
    st.floats(0, 1),
    st.integers(0, 30),
    st.one_of(st.text(max_size=6), st.text(st.sampled_from("[]{}=\"'.\n#,0-"), max_size=6)),
)
def test_a_damaged_file_gives_a_drum_or_a_refusal(text: str, where: float, gone: int, put: str) -> None:
    at = int(where * len(text))
    assert_drum_or_refusal(text[:at] + put + text[at + gone :])


VALUE = re.compile(r"(?<== )[^#\n]+")


@anew
@given(
    st.sampled_from(TEXTS), st.lists(st.tuples(st.floats(0, 0.999), st.sampled_from(SOME_VALUES)), max_size=3)
)
def test_any_value_in_any_place_gives_a_drum_or_a_refusal(text: str, swaps: list[tuple[float, str]]) -> None:
    for where, value in swaps:
        places = list(VALUE.finditer(text))
        place = places[int(where * len(places))]
        text = text[: place.start()] + value + text[place.end() :]
    assert_drum_or_refusal(text)


@anew
@given(st.sampled_from(TEXTS), st.floats(0, 0.999), st.floats(0.2, 5.0))
def test_a_size_that_grows_or_shrinks_gives_a_drum_or_a_refusal(
    text: str, where: float, times: float
) -> None:
    places = [m for m in VALUE.finditer(text) if re.fullmatch(r"[\d.]+", m[0].strip())]
    place = places[int(where * len(places))]
    value = float(place[0]) * times
    assert_drum_or_refusal(text[: place.start()] + repr(value) + " " + text[place.end() :])
