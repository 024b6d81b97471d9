"""`kerftone plan`: the main job in one go."""

from __future__ import annotations

import json
import shutil
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import soundfile

from kerftone.drum.file import read_drum

from ..drums import WREN
from .stubs import stubbed  # noqa: F401 - a fixture

Run = Callable[..., Any]
Planned = tuple[Any, Path, Path]


def test_all_four_files_are_there_and_said(planned: Planned) -> None:
    ran, _, folder = planned
    assert (ran.code, ran.fault) == (0, None), ran.err
    names = {"modes.json", "drum.wav", "layout.svg", "report.html"}
    assert {path.name for path in folder.iterdir()} == names
    assert all(str(folder / name) in ran.out for name in names)


def test_lengths_are_the_same_in_every_file(planned: Planned) -> None:
    """Those that a plan finds where they are missing: tests/test_main_job.py."""
    _, file, folder = planned
    lengths = [tongue.length_mm for tongue in read_drum(file).tongues]
    tongues = json.loads((folder / "modes.json").read_text())["tongues"]
    assert [tongue["length_mm"] for tongue in tongues] == lengths
    page = (folder / "report.html").read_text()
    drawing = " ".join(ET.parse(folder / "layout.svg").getroot().itertext())
    for length in lengths:
        shown = f"{length:.1f}".removesuffix(".0") + " mm"
        assert shown in page and shown in drawing


def test_the_sound_and_the_report_are_whole(planned: Planned) -> None:
    _, _, folder = planned
    assert soundfile.info(folder / "drum.wav").samplerate == 48000
    page = (folder / "report.html").read_text()
    assert page.rstrip().endswith("</html>") and "data:audio/flac;base64," in page
    assert page.count("<svg") == 4, "the drum, its layout and a picture for each tongue"
    assert "teak (box)" in page, "what is not known of the wood is said"


def test_a_drum_with_lengths_is_solved_once_and_its_file_left_alone(planned_as_it_is: Planned) -> None:
    ran, file, folder = planned_as_it_is
    assert ran.code == 0 and ran.err.count("Solving") == 2  # its notes, and its overtones for the sound
    assert file.read_text() == WREN
    whole = ran.document
    assert whole.pop("written") == [
        str(folder / n) for n in ("modes.json", "drum.wav", "layout.svg", "report.html")
    ]
    assert whole == json.loads((folder / "modes.json").read_text())


def test_the_sound_of_a_plan_is_the_very_sound_that_hear_makes(
    planned: Planned, run: Run, tmp_path: Path
) -> None:
    _, file, folder = planned
    assert run("hear", file, "-o", tmp_path / "heard.wav").code == 0
    assert (tmp_path / "heard.wav").read_bytes() == (folder / "drum.wav").read_bytes()


@pytest.mark.usefixtures("stubbed")
def test_lengths_that_do_not_sound_the_notes_are_said_first_everywhere(
    run: Run, wren: Path, tmp_path: Path
) -> None:
    """The stand-in of the model sounds 458 Hz whatever is wanted: 130 cents flat of this note."""
    wren.write_text(wren.read_text().replace('"Bb4"', '"B4"'))
    ran = run("plan", wren, "-o", tmp_path / "out")
    assert ran.code == 3 and ran.out.startswith("LOOK: These lengths do not sound these notes: ")
    assert "kerftone fit" in ran.out and "does not sound its notes" in ran.err
    page = (tmp_path / "out" / "report.html").read_text()
    assert page.index("These lengths do not sound these notes") < page.index('id="tongues"')
    assert json.loads((tmp_path / "out" / "modes.json").read_text())["warnings"]


@pytest.mark.refusal
def test_a_drum_that_cannot_be_leaves_no_folder(run: Run, wren: Path, tmp_path: Path) -> None:
    wren.write_text(wren.read_text().replace("length = 105.0", "length = 205.0"))
    ran = run("plan", wren, "-o", tmp_path / "out")
    assert ran.code == 2 and "205.0 mm long" in ran.err
    assert not (tmp_path / "out").exists()


@pytest.mark.refusal
def test_a_file_in_the_folders_place_is_told_before_any_work(run: Run, wren: Path, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("x")
    ran = run("plan", wren, "-o", tmp_path / "out")
    assert ran.code == 2 and "is a file" in ran.err and "Solving" not in ran.err


def _browse(profile: Path, *args: str) -> str:
    """What the browser says of a page, without a window."""
    browser = shutil.which("chromium")
    assert browser is not None
    quiet = ("--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={profile}")
    done = subprocess.run([browser, *quiet, *args], capture_output=True, text=True, timeout=120, check=True)
    return done.stdout


@pytest.mark.needs("chromium")
def test_the_report_prints_on_a_few_pages(planned: Planned, tmp_path: Path) -> None:
    _, _, folder = planned
    paper = tmp_path / "report.pdf"
    report = (folder / "report.html").as_uri()
    _browse(tmp_path / "profile", "--no-pdf-header-footer", f"--print-to-pdf={paper}", report)
    pages = paper.read_bytes().count(b"/Type /Page\n") + paper.read_bytes().count(b"/Type/Page/")
    assert 1 <= pages <= 5


@pytest.mark.outside
@pytest.mark.needs("chromium")
def test_a_browser_takes_the_layout_at_its_true_size(planned: Planned, tmp_path: Path) -> None:
    """A CSS millimetre is 96/25.4 pixels (CSS Values, absolute lengths): the browser measures the file."""
    _, _, folder = planned
    wide_mm = float(ET.parse(folder / "layout.svg").getroot().attrib["width"].removesuffix("mm"))
    page = tmp_path / "look.html"
    source = (folder / "layout.svg").as_uri()
    page.write_text(f'<body><img src="{source}" onload="document.title = this.naturalWidth">')
    dom = _browse(tmp_path / "profile", "--dump-dom", "--virtual-time-budget=5000", page.as_uri())
    measured = float(dom.split("<title>")[1].split("</title>")[0])
    assert measured == pytest.approx(wide_mm * 96 / 25.4, abs=1.0)
