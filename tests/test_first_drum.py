"""The tutorial is typed from its first command to its last, each in turn, on the drum it makes."""

from __future__ import annotations

import re
import shlex
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from kerftone.cli.app import app

DOCS = Path(__file__).resolve().parent.parent / "docs"
PAGE = (DOCS / "first-drum.md").read_text("utf-8")


def typed() -> list[list[str]]:
    """The commands of the page, without their first word."""
    found = re.findall(r"^```console\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    return [shlex.split(line)[2:] for block in found for line in block.splitlines()]


def test_it_goes_from_new_to_the_last_status_and_through_every_stage() -> None:
    commands = [" ".join(word for word in words[:2] if not word.startswith("-")) for words in typed()]
    assert commands[0] == "new robin" and commands[-1] == "bench status"
    stages = (
        "fit robin",
        "plan robin",
        "build robin",
        "draw robin",
        "bench start",
        "bench tap",
        "bench next",
        "bench bore",
    )
    places = [commands.index(stage) for stage in stages]
    assert places == sorted(places), "in the order in which a drum is made"


@pytest.mark.parametrize("name", ["first-drum-top.svg", "first-drum-map.svg"])
def test_its_pictures_are_whole_and_show_its_notes(name: str) -> None:
    words = " ".join(ET.parse(DOCS / name).getroot().itertext())
    assert all(note in words for note in ("A3", "C4", "D4", "F4")), name


@pytest.mark.slow
def test_every_command_of_the_tutorial_does_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for words in typed():
        ran = CliRunner().invoke(app, words)
        assert ran.exit_code == 0, (words, ran.output)
    for made in (
        "drum.toml",
        "plan/report.html",
        "shop/build.pdf",
        "drawings/templates.pdf",
        "map.pdf",
        "bench.sqlite",
    ):
        assert (tmp_path / "robin" / made).is_file(), made
