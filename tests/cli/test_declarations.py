"""What `commands.toml` declares is what the commands and the jobs' requests know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

import pytest

import kerftone.app.serve
from kerftone.cli.command import Typed
from kerftone.cli.commands import WORK
from kerftone.cli.declarations import declarations, named, takes
from kerftone.errors import KerftoneError

USUAL_PLACE = Path("drum.toml")
COMMANDS = [words for words in named() if "takes" in declarations()[words]]
ANOTHER_WAY: Mapping[str, Mapping[str, Any]] = {
    "listen": {"live": True, "json": True},
}
"""Commands that ask for more by what is typed."""


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
    for one in takes(words):
        values[one.name] = bool(one.usual) if one.kind == "flag" else one.usual
        if one.required:
            values[one.name] = USUAL_PLACE if one.kind == "file" else "3"
    seen = Watched({**values, **more})
    try:
        WORK[words](seen) if words in WORK else seen.do(words)
    except KerftoneError:
        assert words == "listen"  # --live takes no --json: asked for, then refused
    return seen


@pytest.mark.parametrize("words", COMMANDS)
def test_all_that_a_command_takes_is_asked_for(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kerftone.app.serve, "serve", lambda request, tell: None)
    asked = watched(words, ANOTHER_WAY.get(words, {})).asked
    left = {one.name for one in takes(words)} - asked - {"json"}
    assert left == set()


@pytest.mark.parametrize("words", COMMANDS)
def test_what_is_usual_is_the_default_of_the_request(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kerftone.app.serve, "serve", lambda request, tell: None)
    defaults = watched(words, ANOTHER_WAY.get(words, {})).defaults
    usual = {one.name: one.usual for one in takes(words) if one.usual is not None}
    assert usual == {name: defaults[name] for name in usual}


def test_every_declaration_is_a_command_or_a_group_of_commands() -> None:
    groups = {words.rpartition(" ")[0] for words in COMMANDS} - {""}
    assert set(named()) == set(COMMANDS) | groups


def test_a_command_has_a_job_or_work_of_its_own() -> None:
    assert {words for words in COMMANDS if "job" in declarations()[words]} == set(COMMANDS) - set(WORK)


@pytest.mark.parametrize("words", COMMANDS)
def test_nothing_is_declared_that_no_command_takes(words: str) -> None:
    own = {name for name, said in declarations()[words].items() if isinstance(said, dict)}
    assert own - {"given"} <= {one.name for one in takes(words)}


def test_all_that_is_shared_is_taken_by_several() -> None:
    shared = declarations()["shared"]
    taken = [one.name for words in COMMANDS for one in takes(words) if one.name not in declarations()[words]]
    assert {name for name in shared if taken.count(name) > 1} == set(shared)
