"""What `commands.toml` and `bench_commands.toml` say: each command's help, its examples, its job, what it takes."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

SOURCES = ("commands.toml", "bench_commands.toml")
NO_COMMANDS = ("groups", "remedies", "shared", "stages")
ROOT = "kerftone"
"""The entry for `kerftone` alone; all others are named by the words after it."""


@dataclass(frozen=True)
class Taken:
    """One thing that a command takes: an option by its flags, or an argument, which has none. See `commands.toml`."""

    name: str
    help: str
    flags: tuple[str, ...] = ()
    kind: str = "text"
    metavar: str = ""
    choices: tuple[str, ...] = ()
    means: Mapping[str, Any] = field(default_factory=dict)
    usual: Any = None
    required: bool = False
    given: bool = False
    show: str = ""
    min: Any = None
    max: Any = None

    @property
    def value(self) -> str:
        """What stands for its value in the help; "" where it has none."""
        return "" if self.kind == "flag" else self.metavar or "|".join(self.choices)

    @property
    def names(self) -> list[str]:
        """What is typed for it: its flags, without those that say no; an argument has only what it stands for."""
        return [flag.partition("/")[0] for flag in self.flags] or [self.metavar]

    @property
    def called(self) -> str:
        """The longest of its names."""
        return max(self.names, key=len)

    @property
    def must(self) -> bool:
        """Whether the command is not run without: some are refused for want of it in words of the command's own."""
        return self.required or self.given

    @property
    def words(self) -> str:
        """The help, and what holds if it is left out."""
        silent = self.kind == "flag" or self.required or self.usual is None
        return self.help + ("" if silent else f" Usually {self.usual}.")


@cache
def declarations() -> Mapping[str, Mapping[str, Any]]:
    """All that stands there, table by table."""
    texts = [files("kerftone.cli").joinpath(name).read_text("utf-8") for name in SOURCES]
    return {name: said for text in texts for name, said in tomllib.loads(text).items()}


def named() -> list[str]:
    """Every command and every group of commands, by the words after `kerftone`."""
    return [name for name in declarations() if name not in (*NO_COMMANDS, ROOT)]


def inside(words: str) -> list[str]:
    """The commands of a group, by their own names; none where these words are a command."""
    return [name.rpartition(" ")[2] for name in named() if name.rpartition(" ")[0] == words]


def help_of(words: str) -> str:
    """The help of a command; "": of `kerftone` alone."""
    return str(declarations()[words or ROOT]["help"]).strip()


def examples(words: str) -> list[str]:
    """Lines that can be typed as they stand, the plainest first. Held by tests/cli/test_help.py."""
    return list(declarations()[words or ROOT].get("examples", ()))


@cache
def takes(words: str) -> tuple[Taken, ...]:
    """What a command takes, in its order."""
    command, shared = declarations()[words or ROOT], declarations()["shared"]
    return tuple(_taken(name, command.get(name) or shared[name]) for name in command.get("takes", ()))


def _taken(name: str, said: Mapping[str, Any]) -> Taken:
    lists = {key: tuple(value) for key, value in said.items() if isinstance(value, list)}
    return Taken(name=name, **{**said, **lists})
