"""What `commands.toml` and `bench_commands.toml` say: each command's help, its examples, and what it takes."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

SOURCES = ("commands.toml", "bench_commands.toml")
ROOT = "kerftone"
"""The entry for `kerftone` alone; all others are named by the words after it."""


@cache
def declarations() -> Mapping[str, Mapping[str, Any]]:
    """All that stands there, table by table."""
    texts = [files("kerftone.cli").joinpath(name).read_text("utf-8") for name in SOURCES]
    return {name: said for text in texts for name, said in tomllib.loads(text).items()}


def named() -> list[str]:
    """Every command and every group of commands, by the words after `kerftone`."""
    return [name for name in declarations() if name not in ("groups", "shared", ROOT)]


def help_of(words: str) -> str:
    """The help of a command; "": of `kerftone` alone."""
    return str(declarations()[words or ROOT]["help"])


def examples(words: str) -> list[str]:
    """Lines that can be typed as they stand, the plainest first. Held by tests/cli/test_help.py."""
    return list(declarations().get(words or ROOT, {}).get("examples", ()))


def groups() -> Mapping[str, list[str]]:
    """What a maker does, and the commands for it in the order of use."""
    return declarations()["groups"]


def takes(words: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """What a command takes, in its order: the name, and what is said of it."""
    command = declarations()[words]
    for name in command.get("takes", ()):
        yield name, command.get(name) or declarations()["shared"][name]
