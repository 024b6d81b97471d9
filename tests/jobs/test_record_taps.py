"""A recording of taps goes into the log whole or not at all. Where tongues should sound is given here: no solve."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import soundfile

from kerftone.bench.facts import Entry, Start, Tapped
from kerftone.bench.log import log_beside, open_log
from kerftone.bench.replay import Bench, bench_of
from kerftone.errors import EntryError, RecordingError
from kerftone.jobs import record_taps as record_taps_module
from kerftone.jobs.progress import Progress
from kerftone.jobs.record_fact import BoreRequest, Struck, record_bore
from kerftone.jobs.record_taps import TakeRequest, record_taps
from kerftone.jobs.start_log import StartRequest, start_the_log
from kerftone.pitch import cents
from kerftone.tune.history import Bottom
from kerftone.tune.match import Expected

from ..bench.conftest import WREN
from ..ear.recordings import taps, written

D4, BB4 = 293.66, 466.16  # equal temperament at A4 = 440 Hz, from memory
LOW, HIGH = D4 * 2 ** (-40 / 1200), BB4 * 2 ** (-35 / 1200)
STRUCK = Struck(temperature_c=19.0)
REAL_EXPECTED_NOW = record_taps_module.expected_now


@pytest.fixture
def drum(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A drum whose log is begun, and whose tongues are expected near their notes."""

    def near(bench: Bench, file: Path, request: TakeRequest, progress: Progress) -> tuple[Expected, ...]:
        return tuple(
            Expected(number=n, name=f"tongue {n}", hz=hz, plus_minus_cents=40.0)
            for n, hz in ((1, D4), (2, BB4))
            if request.tongue in (None, n)
        )

    monkeypatch.setattr(record_taps_module, "expected_now", near)
    file = tmp_path / "drum.toml"
    file.write_text(WREN)
    start_the_log(StartRequest(drum=file))
    return file


def tapped(drum: Path) -> list[Tapped]:
    with open_log(log_beside(drum)) as log:
        return [entry.fact for entry in log.entries() if isinstance(entry.fact, Tapped)]


def test_a_run_is_recorded_with_its_sound_beside_the_log(drum: Path, tmp_path: Path) -> None:
    take = written(tmp_path / "run.wav", taps([(HIGH, 0.5), (LOW, 1.7), (HIGH, 2.9)], seconds=4.2))
    told = record_taps(TakeRequest(drum=drum, recording=take, struck=STRUCK)).document()
    assert (len(told["taps"]), told["left_out"]) == (2, [])
    low, high = tapped(drum)
    assert (low.tongue, high.tongue, low.temperature_c) == (1, 2, 19.0)
    assert cents(low.hz, D4) == pytest.approx(-40.0, abs=1.0)
    assert cents(high.hz, BB4) == pytest.approx(-35.0, abs=1.0)
    assert low.plus_minus_cents == pytest.approx(1.5, abs=0.2)
    assert high.plus_minus_cents == pytest.approx(1.5 / 2**0.5, abs=0.2), "two taps say more than one"
    assert low.recording == high.recording
    assert soundfile.info(tmp_path / str(low.recording)).frames == soundfile.info(take).frames


@pytest.mark.refusal
def test_a_doubtful_run_records_nothing_and_keeps_no_sound(drum: Path, tmp_path: Path) -> None:
    """Two pitches far apart, and one tongue named."""
    take = written(tmp_path / "run.wav", taps([(LOW, 0.5), (370.0, 1.7)], seconds=3.0))
    with pytest.raises(EntryError, match="Nothing was recorded"):
        record_taps(TakeRequest(drum=drum, recording=take, tongue=2, struck=STRUCK))
    assert tapped(drum) == []
    assert not (tmp_path / "bench.taps").exists()


@pytest.mark.refusal
def test_a_missing_recording_is_told_before_any_work(drum: Path) -> None:
    with pytest.raises(RecordingError, match="there is no such file"):
        record_taps(TakeRequest(drum=drum, recording=Path("nowhere.wav")))


@pytest.mark.refusal
def test_what_another_program_wrote_meanwhile_is_noticed(
    drum: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bore is recorded while the recording is heard."""
    take = written(tmp_path / "run.wav", taps([(LOW, 0.5)], seconds=2.0))
    expected = record_taps_module.expected_now

    def bored_meanwhile(*given: Any) -> tuple[Expected, ...]:
        record_bore(BoreRequest(drum=drum, tongue=1, bit="10", depth="3", from_root="100"))
        return expected(*given)

    monkeypatch.setattr(record_taps_module, "expected_now", bored_meanwhile)
    with pytest.raises(EntryError, match="Another program wrote to the log"):
        record_taps(TakeRequest(drum=drum, recording=take, tongue=1))
    assert tapped(drum) == []


@pytest.mark.parametrize("bottom, ratio", [("glued", 1.0), ("off", 0.98)])
def test_tongues_are_expected_where_they_are_believed_to_be(
    monkeypatch: pytest.MonkeyPatch, bottom: Bottom, ratio: float
) -> None:
    """The belief is a stand-in: with the bottom off every note is 2 % lower."""
    pulled = None if bottom == "glued" else SimpleNamespace(cents=[cents(ratio, 1.0)] * 2)
    belief = SimpleNamespace(cents=[-40.0, -35.0], plus_minus=[1.5, 20.0], pulled=pulled)
    asked: list[str] = []

    def calibrated(bench: object, file: object, progress: object, state: str) -> tuple[None, Any]:
        asked.append(state)
        return None, belief

    monkeypatch.setattr(record_taps_module, "calibrated", calibrated)
    text = WREN + '[bottom]\nwood = "teak"\nthickness = 6.0\n'
    bench = bench_of([Entry(number=1, at="", fact=Start(file="drum.toml", text=text))])
    request = TakeRequest(drum=Path("d"), recording=Path("r"), struck=replace(STRUCK, bottom=bottom))
    low, high = REAL_EXPECTED_NOW(bench, Path("drum.toml"), request, Progress())
    assert (low.number, high.number) == (1, 2)
    assert low.hz == pytest.approx(LOW * ratio, rel=1e-4) and high.hz == pytest.approx(HIGH * ratio, rel=1e-4)
    assert (low.plus_minus_cents, high.plus_minus_cents) == (1.5, 20.0)
    one = REAL_EXPECTED_NOW(bench, Path("drum.toml"), replace(request, tongue=2), Progress())
    assert [each.number for each in one] == [2] and asked == [bottom, bottom]
