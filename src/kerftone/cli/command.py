"""Commands made from their declarations, and what was typed handed to a job.

A command is a function of what was typed, marked `@command("bench next")`. Its help and its options stand in
`commands.toml` or `bench_commands.toml`; what is left out is as the job's request has it.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, Protocol, TypeVar

import typer

from kerftone.cli.declarations import help_of, named, takes
from kerftone.cli.failure import DONE, NOT_WELL, HelpfulGroup
from kerftone.cli.help import Helpful
from kerftone.cli.screen import emit, say
from kerftone.jobs.progress import Job, Progress


class Result(Protocol):
    """What a job gives back."""

    def document(self) -> dict[str, Any]:
        """As JSON."""


Request = TypeVar("Request")
Done = TypeVar("Done", bound=Result)


def told() -> Progress:
    """A job's steps on stderr. Ctrl-C stops the job as it stops the command."""
    return Progress(lambda doing, share: say(doing))


@dataclass(frozen=True)
class Typed:
    """What was typed after a command, by the names of its declaration; None: left out."""

    values: Mapping[str, Any]

    def __getitem__(self, name: str) -> Any:
        """One value."""
        return self.values[name]

    def request(self, kind: type[Request], /, **more: Any) -> Request:
        """A job's request of what was typed and `more`; what was left out is as the request has it."""
        names = [one.name for one in fields(kind) if one.name in self.values]  # type: ignore[arg-type]
        typed = {name: self[name] for name in names if self[name] is not None}
        return kind(**typed | more)

    def run(
        self,
        job: Job[Request, Done],
        request: Request,
        show: Callable[[Done], None],
        *,
        quiet: bool = False,
    ) -> int:
        """Do the job and give its result: as JSON, or by `show`; how the command then ends.

        `quiet`: its steps are too short to be told. A result may say of itself that all is not `well`.
        """
        done = job(request, Progress() if quiet else told())
        if self["json"]:
            emit(done.document())
        else:
            show(done)
        return DONE if getattr(done, "well", True) else NOT_WELL


Work = Callable[[Typed], int | None]
WORK: dict[str, Work] = {}
"""What each command does, by the words after `kerftone`."""


def command(words: str) -> Callable[[Work], Work]:
    """Mark the work of the command that is called by these words."""

    def mark(work: Work) -> Work:
        WORK[words] = work
        return work

    return mark


def add_commands(app: typer.Typer) -> None:
    """Put every declared command into `app`; one that has no work is a group of those that begin with its name."""
    groups: dict[str, typer.Typer] = {}
    for words in named():
        group, _, name = words.rpartition(" ")
        if words in WORK:
            groups.get(group, app).command(name, cls=Helpful, help=help_of(words))(_callback(words))
        else:
            groups[words] = typer.Typer(cls=HelpfulGroup, help=help_of(words), rich_markup_mode=None)
            app.add_typer(groups[words], name=words)


def _callback(words: str) -> Callable[..., int | None]:
    """The function whose parameters Typer makes options of, and which it calls."""
    work, parameters = WORK[words], [_parameter(name, said) for name, said in takes(words)]

    def run(**typed: Any) -> int | None:
        return work(Typed({name: getattr(value, "value", value) for name, value in typed.items()}))

    run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    run.__annotations__ = {one.name: one.annotation for one in parameters}
    return run


KINDS: dict[str, Any] = {
    "text": str,
    "file": Path,
    "files": list[Path],
    "number": float,
    "numbers": list[float],
    "whole": int,
    "flag": bool,
}
"""What a word on the command line is read as."""


def _choice(words: list[str]) -> Any:
    """What takes one of these words."""
    make: Any = StrEnum  # a type checker wants the words of an enum written out
    return make("Choice", {word: word for word in words})


def _parameter(name: str, said: Mapping[str, Any]) -> inspect.Parameter:
    """An option; without flags, an argument."""
    kind, usual = said.get("kind", "text"), said.get("usual")
    about = {key: said[key] for key in ("metavar", "help", "min", "max") if key in said}
    if kind == "choice":
        about = {"metavar": "|".join(said["choices"])} | about
    read = _choice(said["choices"]) if kind == "choice" else KINDS[kind]
    if said.get("required"):
        usual = inspect.Parameter.empty
    elif kind == "flag":
        usual = bool(usual)
    elif usual is None:
        read |= None
    elif kind == "choice":
        usual = read(usual)
    info = typer.Option(*said["flags"], **about) if "flags" in said else typer.Argument(**about)
    return inspect.Parameter(
        name, inspect.Parameter.KEYWORD_ONLY, default=usual, annotation=Annotated[read, info]
    )
