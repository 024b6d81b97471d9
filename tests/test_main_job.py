"""The main job from end to end, as a maker does it: each command in a process of its own, nothing stood in for."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from kerftone.drum.file import read_drum
from kerftone.pitch import cents, sharpened

from .drums import WREN
from .ear.recordings import taps, written

HEARD = (-24.0, -45.0)
"""INVENTED: how far off the model's pitches the wood of this drum makes its two tongues, in cents."""


FOUND = ("row =", "side =", "length = 140.0", "length = 105.0")
"""What of the drum's file is left for the program to find."""


def kerftone(*args: object) -> Any:
    """What a command says as JSON; a command that fails, fails the test with its words."""
    code = "from kerftone.cli import main; main()"
    words = [sys.executable, "-c", code, *(str(arg) for arg in args), "--json"]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_drum_is_fitted_heard_bored_and_built(tmp_path: Path) -> None:
    drum, out = tmp_path / "drum.toml", tmp_path / "out"
    drum.write_text("".join(f"{line}\n" for line in WREN.splitlines() if not line.startswith(FOUND)))

    # Places, and lengths that sound 30 cents flat of the notes: the usual aim.
    planned = kerftone("plan", drum, "-o", out)
    found = [(tongue.row, tongue.side, tongue.length_mm) for tongue in read_drum(drum).tongues]
    assert found == [
        tuple(tongue[key] for key in ("row", "side", "length_mm")) for tongue in planned["tongues"]
    ]
    assert {side for _, side, _ in found} == {"left", "right"}
    assert all(abs(tongue["cents_from_target"] + 30.0) <= 1.0 for tongue in planned["tongues"])
    assert (out / "drum.wav").stat().st_size > 10_000
    page = (out / "report.html").read_text("utf-8")
    drawing = " ".join(ET.parse(out / "layout.svg").getroot().itertext())
    shown = [f"{length:.1f}".removesuffix(".0") + " mm" for _, _, length in found]
    assert all(length in page and length in drawing for length in shown)

    # The sawn drum is tapped: one run over both tongues, in one recording, neither of them named.
    kerftone("bench", "start", drum)
    sounds = [sharpened(t["hz"], by) for t, by in zip(planned["tongues"], HEARD, strict=True)]
    tapped = _tapped(drum, tmp_path / "first.wav", sounds)
    assert all(abs(cents(hz, real)) < 1.0 for hz, real in zip(tapped, sounds, strict=True))

    # A bore that raises the flatter tongue, less than it is flat, is told, let through, and heard.
    said = kerftone("bench", "next", drum)
    assert (said["tongue"], said["action"]) == (2, "bore")
    assert said["now_cents"] == pytest.approx(-75.0, abs=2.0)
    assert 10.0 < said["expected_cents"] < 75.0 and said["overshoot_chance"] <= 0.05
    bore = [("--bit", "bit_mm"), ("--depth", "depth_mm"), ("--from-root", "from_root_mm")]
    told = [word for option, key in (*bore, ("--from-edge", "from_edge_mm")) for word in (option, said[key])]
    kerftone("bench", "bore", drum, "--tongue", 2, *told)
    assert kerftone("bench", "map", drum, "-o", tmp_path / "map.pdf")["written"]
    raised = [sounds[0], sharpened(sounds[1], said["expected_cents"])]
    _tapped(drum, tmp_path / "second.wav", raised)
    after = kerftone("bench", "next", drum)
    now = {one["tongue"]: one["cents"] for one in after["then"]} | {after["tongue"]: after["now_cents"]}
    assert now[2] == pytest.approx(-75.0 + said["expected_cents"], abs=2.0)

    # And the papers for the shop.
    built = kerftone("build", drum, "-o", tmp_path / "shop")
    assert {Path(name).name for name in built["written"]} == {"build.pdf", "cutlist.csv", "build.json"}
    assert built["weight_g"] > 0.0


def _tapped(drum: Path, take: Path, sounds: list[float]) -> list[float]:
    """Record two taps of each tongue; what the log then holds of each, in Hz."""
    written(take, taps([(hz, 0.5 + 1.2 * n) for n, hz in enumerate(sounds * 2)], seconds=5.6))
    told = kerftone("bench", "tap", drum, "--recording", take)
    assert [tap["tongue"] for tap in told["taps"]] == [1, 2] and told["left_out"] == []
    return [tap["hz"] for tap in told["taps"]]
