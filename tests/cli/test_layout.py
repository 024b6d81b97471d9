"""`kerftone layout` writes a true-size drawing, or nothing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]


def test_the_drawing_is_in_millimetres_and_names_the_tongues(run: Run, wren: Path, tmp_path: Path) -> None:
    target = tmp_path / "the top.svg"
    ran = run("layout", wren, "-o", target)
    assert (ran.code, ran.fault) == (0, None) and str(target) in ran.out
    root = ET.parse(target).getroot()
    size = [float(root.attrib[key].removesuffix("mm")) for key in ("width", "height")]
    assert root.attrib["viewBox"] == f"0 0 {size[0]:g} {size[1]:g}" or root.attrib["viewBox"].startswith(
        "0 0 "
    )
    assert size[0] > 320.0 and size[1] > 70.0
    words = " ".join(root.itertext())
    assert all(part in words for part in ("Wren", "D4", "Bb4", "140 mm", "105 mm"))


def test_a_folder_stands_for_the_drum_in_it_and_json_names_the_file(
    run: Run, wren: Path, tmp_path: Path
) -> None:
    ran = run("layout", wren.parent, "-o", tmp_path / "a.svg", "--json")
    assert ran.document == {"written": [str(tmp_path / "a.svg")]}
    assert (tmp_path / "a.svg").read_text().startswith("<?xml")


@pytest.mark.refusal
@pytest.mark.parametrize(
    "old, new, words",
    [
        ("length = 140.0", "", "kerftone fit"),
        ("length = 140.0", "length = 200.0", "take"),
        ("end_margin = 26.0", "end_margin = 2.0", "end_margin"),
        ("kerf = 3.0", "kurf = 3.0", "nearest key is kerf"),
        ("kerf = 3.0", "kerf = = 3.0", "line 10"),
    ],
)
def test_a_drum_that_cannot_be_drawn_leaves_the_old_drawing(
    run: Run, wren: Path, tmp_path: Path, old: str, new: str, words: str
) -> None:
    wren.write_text(wren.read_text().replace(old, new))
    target = tmp_path / "a.svg"
    target.write_text("the old one")
    ran = run("layout", wren, "-o", target)
    assert ran.code == 2 and ran.fault is None
    assert words in ran.err and len(ran.err.strip().splitlines()) == 1
    assert target.read_text() == "the old one"
    assert re.match(r"kerftone: ", ran.err)


@pytest.mark.refusal
def test_a_folder_that_is_not_there_is_not_made(run: Run, wren: Path, tmp_path: Path) -> None:
    ran = run("layout", wren, "-o", tmp_path / "none" / "a.svg")
    assert ran.code == 2 and "there is no folder" in ran.err
    assert not (tmp_path / "none").exists()


@pytest.mark.refusal
def test_the_drum_file_is_never_replaced_by_a_drawing(run: Run, wren: Path) -> None:
    text = wren.read_text()
    assert run("layout", wren, "-o", wren).code == 2
    odd = wren.rename(wren.with_suffix(".svg"))
    ran = run("layout", odd, "-o", odd)
    assert ran.code == 2 and "the drum file itself" in ran.err
    assert odd.read_text() == text
