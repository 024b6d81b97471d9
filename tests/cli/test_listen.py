"""`kerftone listen`, from file to answer."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "ear"))

from recordings import from_phone, taps, written

from kerftone.cli.live import run_live
from kerftone.ear.microphone import Listening
from kerftone.errors import NoteError
from kerftone.jobs.expected_taps import TapsRequest, around_hz
from kerftone.jobs.recording_heard import with_its_digits

Run = Callable[..., Any]
RUN = ((220.0, 0.4), (330.0, 1.4), (220.2, 2.2))


@pytest.fixture
def tap(tmp_path: Path) -> Path:
    return written(tmp_path / "tap.wav", taps(RUN))


def test_with_json_one_file_gives_one_object_with_what_was_promised(run: Run, tap: Path) -> None:
    ran = run("listen", tap, "--json")
    assert (ran.code, ran.fault) == (0, None)
    whole = ran.document
    assert list(whole) == ["strikes", "sample_rate", "clipped", "noise_db", "hum_hz"]
    first = whole["strikes"][0]
    assert list(first) == [
        *("t_s", "hz", "plus_minus_cents", "note", "cents", "t60_s", "loudness_db", "partials", "tongue"),
        "doubt",
    ]
    assert set(first["partials"][0]) == {"hz", "db", "t60_s"}
    assert [one["note"] for one in whole["strikes"]] == ["A3", "E4", "A3"]
    assert first["cents"] == pytest.approx(0.0, abs=0.5) and first["tongue"] is None
    assert first["t60_s"] == pytest.approx(0.9, rel=0.1)
    assert whole["sample_rate"] == 44100 and whole["clipped"] is False and whole["hum_hz"] is None


def test_in_words_there_is_a_table_and_the_median_of_repeated_taps(run: Run, tap: Path) -> None:
    ran = run("listen", tap)
    assert ran.code == 0
    assert "3 strikes in 3.0 s" in ran.out and "together (median)" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines() if str(tap) not in line)


def test_the_reference_moves_the_cents_and_not_the_hertz(run: Run, tap: Path) -> None:
    strike = run("listen", tap, "--reference", "442", "--json").document["strikes"][0]
    assert strike["hz"] == pytest.approx(220.0, abs=0.1)
    assert strike["cents"] == pytest.approx(-7.85, abs=0.5)  # 1200 log2(440/442), worked out by hand


def test_around_leaves_out_what_lies_elsewhere(run: Run, tap: Path) -> None:
    strikes = run("listen", tap, "--around", "E4", "--json").document["strikes"]
    near = [one for one in strikes if one["hz"] is not None and not one["doubt"]]
    assert [one["note"] for one in near] == ["E4"]


def test_a_strike_that_is_none_of_the_notes_asked_for_says_so(run: Run, tap: Path) -> None:
    """E4 was tapped; a semitone off it is looked for, and heard within the reach."""
    told = run("listen", tap, "--around", "F4", "--json").document["strikes"]
    heard = [one for one in told if one["hz"] is not None and one["note"] == "E4"]
    assert heard and all(any("It is not F4: it lies" in words for words in one["doubt"]) for one in heard)


def test_a_strike_far_from_the_note_asked_for_says_what_it_sounds(run: Run, tap: Path) -> None:
    """A3 and E4 were tapped: D4 lies 200 cents below the one and 500 above the other, beyond the reach of both."""
    ran = run("listen", tap, "--around", "D4")
    assert "It sounds E4 +2 cents (330 Hz), 202 cents above D4." in ran.out  # 330 Hz was made
    assert "It sounds A3 +0 cents (220 Hz), 500 cents below D4." in ran.out


@pytest.mark.parametrize(
    "given, hz", [("A3", [220.0]), ("148.5", [148.5]), ("A3 300 Hz, 98hz", [220.0, 300.0, 98.0]), (None, [])]
)
def test_around_takes_notes_and_hertz(given: str | None, hz: list[float]) -> None:
    assert around_hz(given, reference_hz=440.0) == pytest.approx(hz)


@pytest.mark.refusal
@pytest.mark.parametrize("given, words", [("9000", "40 to 5000"), ("H3", "H3"), ("", "empty"), ("-3", "-3")])
def test_around_that_cannot_be_is_told(given: str, words: str) -> None:
    with pytest.raises(NoteError, match=words):
        around_hz(given, reference_hz=440.0)


def test_several_files_are_all_heard_though_one_is_bad(run: Run, tap: Path, tmp_path: Path) -> None:
    phone = from_phone(tmp_path / "b.m4a", taps(RUN), kind="ipod", codec="aac", rate=44100)
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"RIFF" + bytes(200))
    ran = run("listen", tap, bad, phone, "--json")
    assert ran.code == 2 and ran.fault is None
    first, second, third = ran.document["files"]
    assert [one["file"] for one in (first, second, third)] == [str(tap), str(bad), str(phone)]
    assert len(first["strikes"]) == len(third["strikes"]) == 3
    assert second["error"]["kind"] == "RecordingError" and str(bad) in ran.err
    words = run("listen", tap, bad, phone)
    assert words.code == 2 and words.out.count("3 strikes") == 2 and words.err.count("kerftone:") == 1


def test_several_good_files_end_well(run: Run, tap: Path) -> None:
    ran = run("listen", tap, tap, "--json")
    assert ran.code == 0 and len(ran.document["files"]) == 2


@pytest.mark.refusal
@pytest.mark.parametrize(
    "args, words",
    [
        ((), "Nothing to listen to"),
        (("none.wav",), "no such file"),
        (("tap.wav", "--tongue", "2"), "--drum"),
        (("tap.wav", "--picture", "a.jpg"), ".png"),
        (("tap.wav", "--picture", "none/a.png"), "no folder none"),
        (("tap.wav", "tap.wav", "--picture", "a.png"), "one by one"),
        (("tap.wav", "--picture", "tap.wav"), "the recording itself"),
        (("tap.wav", "--reference", "44"), "380 to 500"),
        (("tap.wav", "--live"), "--live"),
        (("still.wav",), "no strike is heard"),
    ],
)
def test_a_slip_is_told_in_one_message(
    run: Run, tap: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...], words: str
) -> None:
    monkeypatch.chdir(tap.parent)
    rng = np.random.default_rng(1)
    written(tap.parent / "still.wav", 0.05 * rng.standard_normal(3 * 44100))
    before = tap.read_bytes()
    ran = run("listen", *args, "--json") if "--live" not in args else run("listen", *args)
    assert ran.code == 2 and ran.fault is None
    assert words in ran.err and ran.err.count("kerftone:") == 1
    assert tap.read_bytes() == before
    assert {path.name for path in tap.parent.iterdir()} == {"tap.wav", "still.wav"}


def test_a_picture_is_drawn(run: Run, tap: Path, tmp_path: Path) -> None:
    target = tmp_path / "a picture.png"
    assert run("listen", tap, "--picture", target).code == 0
    assert target.read_bytes().startswith(b"\x89PNG") and target.stat().st_size > 20_000


def test_taps_are_matched_to_the_tongues_of_the_drum(
    run: Run, wren: Path, tmp_path: Path, predicted: Any
) -> None:
    """The taps are made at the model's pitches, both 90 cents sharp as another board might be."""
    low, high = (one.heard.hz * 2 ** (90 / 1200) for one in predicted.tongues)
    path = written(tmp_path / "wren.wav", taps(((low, 0.4), (high, 1.4), (low, 2.2))))
    ran = run("listen", path, "--drum", wren.parent, "--json")
    strikes = ran.document["strikes"]
    assert [one["tongue"] for one in strikes] == [1, 2, 1]
    assert [one["note"] for one in strikes] == ["D4", "Bb4", "D4"]
    assert strikes[0]["cents"] == pytest.approx(predicted.tongues[0].cents_from_target + 90.0, abs=0.5)
    one = run("listen", path, "--drum", wren, "--tongue", "2")
    assert one.code == 0 and "R1" in one.out
    beyond = run("listen", path, "--drum", wren, "--tongue", "3")
    assert beyond.code == 2 and "This drum has 2" in beyond.err


@pytest.mark.refusal
def test_a_missing_recording_is_told_before_the_drum_is_solved(run: Run, wren: Path) -> None:
    ran = run("listen", "none.wav", "--drum", wren)
    assert ran.code == 2 and "Solving" not in ran.err and "no such file" in ran.err


@pytest.mark.parametrize(
    "value, plus_minus, least, shown",
    [
        (-12.345, 0.04, 1, ("-12.3", "0.1")),
        (12.345, 0.23, 1, ("12.3", "0.3")),
        (12.345, 0.9, 1, ("12.3", "0.9")),
        (12.345, 1.4, 1, ("12.3", "1.4")),
        (12.345, 4.2, 1, ("12", "5")),
        (12.345, 13.0, 1, ("12", "13")),
        (62.345, 43.0, 1, ("60", "50")),
        (148.2345, 0.02, 2, ("148.23", "0.02")),
        (-0.04, 3.0, 1, ("0", "3")),
    ],
)
def test_no_more_digits_than_the_spread_supports(
    value: float, plus_minus: float, least: int, shown: tuple[str, str]
) -> None:
    assert with_its_digits(value, plus_minus, least=least) == shown


def test_live_shows_each_strike_and_then_the_medians(capsys: pytest.CaptureFixture[str]) -> None:
    sound = taps(RUN, rate=16000, seconds=4.0)

    @contextmanager
    def source() -> Any:
        yield Listening(
            name="a test",
            sample_rate=16000,
            blocks=(sound[at : at + 1600] for at in range(0, len(sound), 1600)),
        )

    assert run_live(TapsRequest(), source=source()) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines[:3]] == ["A3", "E4", "A3"]
    assert all("[" in line and "Hz" in line for line in lines[:3])
    assert any("together (median)" in line for line in lines)


def test_stopping_by_hand_ends_well_and_keeps_what_was_heard(capsys: pytest.CaptureFixture[str]) -> None:
    sound = taps(RUN[:1], rate=16000, seconds=2.0)

    def blocks() -> Any:
        for at in range(0, len(sound), 1600):
            yield sound[at : at + 1600]
        raise KeyboardInterrupt

    @contextmanager
    def source() -> Any:
        yield Listening(name="a test", sample_rate=16000, blocks=blocks())

    assert run_live(TapsRequest(), source=source()) == 0
    assert capsys.readouterr().out.count("A3") == 2, "once as heard and once at the end"


def test_taps_of_a_named_tongue_that_lie_apart_are_in_doubt(
    run: Run, tmp_path: Path, answered: Path, predicted: Any
) -> None:
    hz = predicted.tongues[0].heard.hz
    take = written(tmp_path / "two.wav", taps([(hz, 0.5), (hz * 2 ** (38 / 1200), 1.7)], seconds=3.0))
    ran = run("listen", take, "--drum", answered, "--tongue", "L1")
    said = " ".join(ran.out.split())
    assert ran.code == 0 and "2 taps of one tongue lie 38 cents apart" in said and "Tap L1 (D4) again" in said
