"""A recording of taps goes into the log whole or not at all. Where tongues should sound is given here: no solve."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile
from typer.testing import CliRunner

from kerftone.bench.facts import Tapped
from kerftone.bench.log import log_beside, open_log
from kerftone.bench.replay import Bench
from kerftone.cli import bench_recording
from kerftone.cli.app import app
from kerftone.cli.bench_add import Manner, Struck
from kerftone.errors import EntryError
from kerftone.pitch import cents
from kerftone.tune.match import Expected

from ..bench.conftest import WREN
from ..ear.recordings import taps, written

D4, BB4 = 293.66, 466.16  # equal temperament at A4 = 440 Hz, from memory
LOW, HIGH = D4 * 2 ** (-40 / 1200), BB4 * 2 ** (-35 / 1200)
STRUCK = Struck(
    hz=None, plus_minus_cents=1.5, bottom_on=None, top_glued=None, temperature_c=19.0, humidity_pct=None
)


@pytest.fixture
def drum(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A drum whose log is begun, and whose tongues are expected near their notes."""

    def near(bench: Bench, cache: Path, tongue: int | None, struck: Struck) -> tuple[Expected, ...]:
        return tuple(
            Expected(number=n, name=f"tongue {n}", hz=hz, plus_minus_cents=40.0)
            for n, hz in ((1, D4), (2, BB4))
            if tongue in (None, n)
        )

    monkeypatch.setattr(bench_recording, "expected_now", near)
    file = tmp_path / "drum.toml"
    file.write_text(WREN)
    assert CliRunner().invoke(app, ["bench", "start", str(file)]).exit_code == 0
    return file


def tapped(drum: Path) -> list[Tapped]:
    with open_log(log_beside(drum)) as log:
        return [entry.fact for entry in log.entries() if isinstance(entry.fact, Tapped)]


def test_a_run_is_recorded_with_its_sound_beside_the_log(
    drum: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    take = written(tmp_path / "run.wav", taps([(HIGH, 0.5), (LOW, 1.7), (HIGH, 2.9)], seconds=4.2))
    bench_recording.add_recording(drum, None, take, STRUCK, Manner(as_json=True))
    told = json.loads(capsys.readouterr().out)
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
        bench_recording.add_recording(drum, 2, take, STRUCK, Manner())
    assert tapped(drum) == []
    assert not (tmp_path / "bench.taps").exists()


@pytest.mark.refusal
@pytest.mark.parametrize(
    "options, words",
    [
        (["--tongue", "1"], "neither --hz nor --recording is given"),
        (["--tongue", "1", "--hz", "290", "--recording", "x.wav"], "--hz and --recording are both given"),
        (["--hz", "290"], "no tongue is named"),
        (["--recording", "x.wav", "--instead-of", "2"], "kerftone bench void"),
    ],
)
def test_a_tap_says_what_was_heard_once(drum: Path, options: list[str], words: str) -> None:
    ran = CliRunner().invoke(app, ["bench", "tap", str(drum), *options])
    assert ran.exit_code == 2
    assert words in " ".join(ran.stderr.split())
    assert tapped(drum) == []


@pytest.mark.refusal
def test_a_missing_recording_is_told_before_any_work(drum: Path) -> None:
    ran = CliRunner().invoke(app, ["bench", "tap", str(drum), "--recording", "nowhere.wav"])
    assert ran.exit_code == 2
    assert "nowhere.wav: there is no such file" in " ".join(ran.stderr.split())
