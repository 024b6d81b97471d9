"""What `commands.toml` declares is what the commands and the jobs' requests know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

import pytest

import kerftone.app.serve
from kerftone.cli import app  # noqa: F401 - all commands are marked
from kerftone.cli.command import WORK, Typed
from kerftone.cli.declarations import declarations, named, takes
from kerftone.errors import KerftoneError

USUAL_PLACE = Path("drum.toml")
ANOTHER_WAY: Mapping[str, Mapping[str, Any]] = {
    "bench tap": {"hz": 288.5, "tongue": "L1"},
    "bench tap ": {"recording": Path("taps.wav")},
    "listen": {"live": True, "json": True},
}
"""Commands that ask for more by what is typed; a blank after the name tells two ways apart."""


@dataclass(frozen=True)
class Watched(Typed):
    """What was typed, and what of it was asked for; the job is not done."""

    asked: set[str] = field(default_factory=set)
    defaults: dict[str, Any] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Any:
        self.asked.add(name)
        return super().__getitem__(name)

    def request(self, kind: Any, /, **more: Any) -> Any:
        self.defaults.update({one.name: one.default for one in fields(kind)})
        return super().request(kind, **more)

    def run(self, job: Any, request: Any, show: Any, *, quiet: bool = False) -> int:
        del job, request, show, quiet
        return 0


def watched(words: str, more: Mapping[str, Any]) -> Watched:
    """One command run on what is usual and `more`."""
    values: dict[str, Any] = {}
    for name, said in takes(words):
        values[name] = said.get("usual", False if said.get("kind") == "flag" else None)
        if said.get("required"):
            values[name] = USUAL_PLACE if said.get("kind") == "file" else "3"
    seen = Watched({**values, **more})
    try:
        WORK[words](seen)
    except KerftoneError:
        assert words == "listen"  # --live takes no --json: asked for, then refused
    return seen


@pytest.mark.parametrize("words", WORK)
def test_all_that_a_command_takes_is_asked_for(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kerftone.app.serve, "serve", lambda request, tell: None)
    ways = [more for name, more in ANOTHER_WAY.items() if name.strip() == words] or [{}]
    asked = set().union(*(watched(words, more).asked for more in ways))
    left = {name for name, _ in takes(words)} - asked - {"json"}
    assert left == set()


@pytest.mark.parametrize("words", WORK)
def test_what_is_usual_is_the_default_of_the_request(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kerftone.app.serve, "serve", lambda request, tell: None)
    more = next((more for name, more in ANOTHER_WAY.items() if name == words), {})
    defaults = watched(words, more).defaults
    usual = {name: said["usual"] for name, said in takes(words) if "usual" in said}
    assert usual == {name: defaults[name] for name in usual}


def test_every_declaration_is_a_command_or_a_group_of_commands() -> None:
    groups = {words.rpartition(" ")[0] for words in WORK} - {""}
    assert set(named()) == set(WORK) | groups


@pytest.mark.parametrize("words", WORK)
def test_nothing_is_declared_that_no_command_takes(words: str) -> None:
    own = {name for name, said in declarations()[words].items() if isinstance(said, dict)}
    assert own <= {name for name, _ in takes(words)}


def test_all_that_is_shared_is_taken_by_several() -> None:
    taken = [
        name for words in WORK for name, said in takes(words) if said is declarations()["shared"].get(name)
    ]
    assert {name for name in declarations()["shared"] if taken.count(name) > 1} == set(
        declarations()["shared"]
    )
