"""Every command's JSON, held byte for byte against what it was.

The model, the ear and the adviser are stand-ins (`stubs.py`); one command solves. Numbers are compared to ten digits
and moments of time are blanked, because processors and clocks differ; everything else must not move: keys, their
order, words, layout. After a change that is meant, write the snapshots anew and read the difference:

    KERFTONE_SNAPSHOTS=write python -m pytest tests/cli/test_snapshots.py
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from kerftone.cli.app import app

from ..drums import WREN
from ..ear.recordings import taps, written
from .conftest import WITHOUT_LENGTHS, Ran
from .stubs import stubbed  # noqa: F401 - a fixture

Run = Callable[..., Ran]
KEPT = Path(__file__).with_name("snapshots")
NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT[\d:.+]+Z?")
BOTTOM = '[bottom]\nwood = "teak"\nthickness = 6.0\n'
BOARD = ("--species", "cherry, black", "--length", "430", "--width", "195", "--thickness", "16.4")
TAP = ("bench", "tap", "drum.toml", "--tongue", 1, "--hz", 288.5)
HOLE = ("--tongue", 1, "--bit", 15, "--depth", 3, "--from-root", 100)
DRAWN = """<svg xmlns="http://www.w3.org/2000/svg" width="320mm" height="70mm" viewBox="0 0 320 70">
<path d="M 154 48.5 A 13.59375 13.59375 0 0 0 154 21.5"/><path d="M 10 10 L 40 10"/></svg>"""
LOG = (("bench", "start", "drum.toml"), (*TAP, "--temperature", 19), ("bench", "bore", "drum.toml", *HOLE))
TAPPED = (
    ("board", "new", "b.toml", *BOARD, "--mass", "742 g"),
    ("board", "tap", "b.toml", "--hz", 418, "--hz", 282),
)

CASES: dict[str, tuple[tuple[tuple[object, ...], ...], tuple[object, ...]]] = {
    "new": ((), ("new", "finch", "--notes", "D3 F3 G3 A3 C4 D4", "--wood", "cherry, black")),
    "new-scale": (
        (),
        ("new", "finch", "--scale", "A major pentatonic", "--wood", "walnut", "--board", "20 x 8 x 5/8"),
    ),
    "scales": ((), ("scales",)),
    "scales-key": ((), ("scales", "D minor pentatonic")),
    "woods": ((), ("woods",)),
    "woods-few": ((), ("woods", "padauk")),
    "modes": ((), ("modes", "drum.toml")),
    "modes-few": ((), ("modes", "drum.toml", "--count", 3)),
    "modes-stands": ((), ("modes", "drum.toml", "--stands", "free")),
    "modes-air": ((), ("modes", "drum.toml", "--humidity", 40)),
    "modes-table": ((), ("modes", "drum.toml", "--bottom", "table", "--temperature", 25)),
    "modes-vacuo": ((), ("modes", "drum.toml", "--in-vacuo")),
    "fit": ((), ("fit", "bare.toml")),
    "ends": ((), ("ends", "drum.toml", "--from", "ends.svg")),
    "hear": ((), ("hear", "drum.toml", "-o", "drum.wav", "--mallet", "wood")),
    "layout": ((), ("layout", "drum.toml", "-o", "top.svg")),
    "draw": ((), ("draw", "drum.toml", "-o", "sheets", "--format", "svg,dxf")),
    "draw-pdf": ((), ("draw", "drum.toml", "-o", "sheets", "--paper", "letter")),
    "plan": ((), ("plan", "drum.toml", "-o", "out")),
    "plan-fits": ((), ("plan", "bare.toml", "-o", "out")),
    "build": ((), ("build", "drum.toml", "-o", "out")),
    "share": ((), ("share", "drum.toml", "-o", "away.pdf")),
    "listen": ((), ("listen", "tap.wav")),
    "listen-drum": ((), ("listen", "tap.wav", "--drum", "drum.toml")),
    "listen-several": ((), ("listen", "tap.wav", "none.wav")),
    "board-new": ((), TAPPED[0]),
    "board-tap": (TAPPED[:1], (*TAPPED[1], "--motion", "twisting")),
    "board-tap-recording": (TAPPED[:1], ("board", "tap", "b.toml", "--recording", "tap.wav")),
    "board-fit": (TAPPED, ("board", "fit", "b.toml")),
    "bench-start": ((), LOG[0]),
    "bench-tap": (LOG[:1], (*TAP, "--bottom", "off", "--humidity", 50)),
    "bench-tap-recording": (LOG[:1], ("bench", "tap", "drum.toml", "--recording", "tap.wav", "--sure")),
    "bench-bore": (LOG[:2], (*LOG[2], "--from-edge", 12, "--measured", 3.1)),
    "bench-mend": (LOG, ("bench", "bore", "drum.toml", *HOLE, "--instead-of", 3)),
    "bench-lengthen": (LOG, ("bench", "lengthen", "drum.toml", "--tongue", 2, "--by", 1.5)),
    "bench-trim": (LOG, ("bench", "trim", "drum.toml", "--tongue", 2, "--by", 1.5)),
    "bench-weight": (LOG, ("bench", "weight", "drum.toml", "--tongue", 2, "--grams", 2.5)),
    "bench-note": (LOG, ("bench", "note", "drum.toml", "rang like a bell", "--tongue", 1)),
    "bench-void": (LOG, ("bench", "void", "drum.toml", 3, "--reason", "was the other drum")),
    "bench-log": (
        (*LOG, ("bench", "void", "drum.toml", 2, "--reason", "slip")),
        ("bench", "log", "drum.toml"),
    ),
    "bench-status": (LOG, ("bench", "status", "drum.toml")),
    "bench-next": (LOG, ("bench", "next", "drum.toml", "--confirm")),
    "bench-next-off": ((LOG[0], (*TAP, "--bottom", "off")), ("bench", "next", "drum.toml")),
    "bench-next-tongue": (LOG, ("bench", "next", "drum.toml", "--tongue", 1)),
    "bench-map": (LOG, ("bench", "map", "drum.toml", "-o", "map.svg", "--bit", 20)),
}
"""By name: the commands that come before, and the command whose JSON is kept."""

FILES = {"plan": "out/modes.json", "build": "out/cutlist.csv", "fit": "bare.toml", "ends": "drum.toml"}
"""Files that are kept beside the JSON."""


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "drum.toml").write_text(WREN + BOTTOM)
    (tmp_path / "bare.toml").write_text(WITHOUT_LENGTHS)
    (tmp_path / "ends.svg").write_text(DRAWN)
    written(tmp_path / "tap.wav", taps([(287.5, 0.5)], seconds=1.0))
    return tmp_path


def rounded(text: str) -> str:
    """The text with every number cut to ten digits and every moment blanked."""
    return NUMBER.sub(lambda m: repr(float(f"{float(m[0]):.10g}")), MOMENT.sub("<moment>", text))


def hold(name: str, text: str) -> None:
    """Compare with what is kept, or keep it."""
    file = KEPT / name
    if os.environ.get("KERFTONE_SNAPSHOTS") == "write":
        file.write_text(rounded(text), "utf-8")
    assert rounded(text) == file.read_text("utf-8")


@pytest.mark.usefixtures("stubbed")
@pytest.mark.parametrize("name", CASES)
def test_the_json_of_a_command_is_what_it_was(run: Run, place: Path, name: str) -> None:
    before, command = CASES[name]
    for each in before:
        ran = run(*each)
        assert (ran.code, ran.fault) == (0, None), ran.err
    ran = run(*command, "--json")
    assert ran.fault is None, ran.fault
    assert ran.code == (2 if name == "listen-several" else 0), ran.err
    hold(f"{name}.json", ran.out)
    if name in FILES:
        hold(f"{name}-{Path(FILES[name]).name}", (place / FILES[name]).read_text("utf-8"))


def test_every_command_is_held() -> None:
    def names(group: object, path: tuple[str, ...] = ()) -> set[tuple[str, ...]]:
        inside = getattr(group, "commands", None)
        if inside is None:
            return {path}
        return set().union(*(names(one, (*path, name)) for name, one in inside.items()))

    held = {command[:n] for _, command in CASES.values() for n in (1, 2)}
    serves = {("open",)}
    assert names(app) - serves <= held


def test_a_number_that_moves_is_seen() -> None:
    assert rounded('"hz": 288.61610001') == rounded('"hz": 288.616100010000003')
    assert rounded('"hz": 288.6161') != rounded('"hz": 288.6162')


@pytest.mark.slow
def test_the_model_fills_the_same_keys_as_its_stand_in(run: Run, place: Path) -> None:
    """The one solve here: types and keys of a real answer are those of the kept one."""

    def shape(value: object) -> object:
        if isinstance(value, dict):
            return {key: shape(one) for key, one in value.items()}
        return [] if isinstance(value, list) else type(value).__name__

    real = run("modes", place / "drum.toml", "--json").document
    kept = json.loads((KEPT / "modes.json").read_text("utf-8"))
    assert shape(real) == shape(kept)
    assert [shape(one) for one in real["tongues"]] == [shape(one) for one in kept["tongues"]]
