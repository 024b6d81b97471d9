"""Commands made from their declarations, and what was typed handed to a job.

A command hands what was typed to the job that `commands.toml` or `bench_commands.toml` names, and shows the result
with the words named there. One that does more is a function of what was typed, in `commands.py`. Jobs and words are
loaded only when they are wanted, so that help and a mistyped option answer at once.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol, TypeVar

import click

from kerftone.cli.declarations import Taken, declarations, help_of, named, takes
from kerftone.cli.failure import DONE, MISTAKE, NOT_WELL, Command, Group, words_of
from kerftone.cli.screen import emit, say
from kerftone.errors import EntryError
from kerftone.jobs.progress import Job, Progress


class Result(Protocol):
    """What a job gives back."""

    def document(self) -> dict[str, Any]:
        """As JSON."""


Request = TypeVar("Request")
Done = TypeVar("Done", bound=Result)
WITHOUT = {"air": "in_vacuo"}
"""Fields of a request that are left out where this flag is given."""


def told() -> Progress:
    """A job's steps on stderr. Ctrl-C stops the job as it stops the command."""
    return Progress(lambda doing, share: say(doing, wrap=False))


@dataclass(frozen=True)
class Typed:
    """What was typed after a command, by the names of its declaration; None: left out."""

    values: Mapping[str, Any]

    def __getitem__(self, name: str) -> Any:
        """One value."""
        return self.values[name]

    def request(self, kind: type[Request], /, **more: Any) -> Request:
        """A job's request of what was typed and `more`; what was left out is as the request has it.

        A field that is itself such a request is filled in the same way.
        """
        for one in fields(kind):  # type: ignore[arg-type]
            usual = one.default if one.default_factory is MISSING else one.default_factory()
            if one.name in self.values and self[one.name] is not None:
                more.setdefault(one.name, self[one.name])
            elif is_dataclass(usual):
                part: Any = self.request(type(usual))
                left_out = one.name in WITHOUT and self[WITHOUT[one.name]]
                more.setdefault(one.name, part.left_out() if left_out else part)
        return kind(**more)

    def run(
        self,
        job: Job[Request, Done],
        request: Request,
        show: Callable[[Done], None],
        *,
        quiet: bool = False,
    ) -> int:
        """Do the job and give its result: as JSON, or by `show`; how the command then ends.

        `quiet`: its steps are too short to be told. A result may say of itself that all is not `well`, and what of
        it was `refused`.
        """
        done = job(request, Progress() if quiet else told())
        refused = getattr(done, "refused", ())
        for one in refused:
            say(f"kerftone: {words_of(one)}", wrap=False)
        if self["json"]:
            emit(done.document())
        else:
            if hasattr(done, "bench"):
                from kerftone.jobs.drum_at_bench import edits_words

                say(*edits_words(done.bench.edited))
            show(done)
        return MISTAKE if refused else DONE if getattr(done, "well", True) else NOT_WELL

    def do(self, words: str) -> int:
        """Do the job that this command declares, and show its result as it says there.

        The request is of the kind that the job's first parameter says. A flag may say that it is shown otherwise.
        Raises EntryError.
        """
        said = declarations()[words]
        for one in takes(words):
            if one.show and self[one.name]:
                said = {**said, "show": one.show}
                if self["json"]:
                    raise EntryError(
                        f"Both {one.called} and --json are given. The result is printed in one form: leave one out."
                    )
        job = _found("jobs", said["job"])
        kind = next(iter(inspect.signature(job).parameters.values())).annotation
        request = self.request(getattr(inspect.getmodule(job), kind), **said.get("given", {}))
        return self.run(job, request, _found("cli", said["show"]), quiet=said.get("quiet", False))


def _found(room: str, name: str) -> Any:
    """What is named by its module in a room and its own name."""
    module, _, function = name.partition(".")
    return getattr(import_module(f"kerftone.{room}.{module}"), function)


Work = Callable[[Typed], int | None]


def add_commands(app: Group, more: Mapping[str, Work]) -> None:
    """Put every declared command into `app`. `more`: what those do that do more than one job, by their words."""
    groups = {"": app}
    for words in named():
        inside, _, name = words.rpartition(" ")
        if words not in more and "job" not in declarations()[words]:
            groups[words] = Group(name, help=help_of(words))
            groups[inside].add_command(groups[words])
        else:
            params = [parameter(one) for one in takes(words)]
            made = Command(
                name, help=help_of(words), params=params, callback=_callback(words, more.get(words))
            )
            groups[inside].add_command(made)


def _callback(words: str, work: Work | None) -> Callable[..., int | None]:
    """What is called with the values of a command's parameters."""

    def run(**typed: Any) -> int | None:
        meant = Typed({one.name: one.means.get(typed[one.name], typed[one.name]) for one in takes(words)})
        return meant.do(words) if work is None else work(meant)

    return run


def parameter(one: Taken) -> click.Parameter:
    """What reads this on the command line."""
    kinds: Mapping[str, click.ParamType[Any]] = {
        "file": click.Path(path_type=Path),
        "files": click.Path(path_type=Path),
        "number": click.FloatRange(one.min, one.max),
        "numbers": click.FLOAT,
        "whole": click.IntRange(one.min, one.max),
        "flag": click.BOOL,
        "choice": click.Choice(one.choices),
    }
    kind = kinds.get(one.kind, click.STRING)
    if not one.flags:
        many = -1 if one.kind == "files" else 1
        return click.Argument([one.name], type=kind, required=one.required, nargs=many)
    if one.kind == "flag":
        return click.Option([one.name, *one.flags], is_flag=True, default=bool(one.usual))
    usual = {} if one.usual is None else {"default": one.usual}
    several = one.kind in ("numbers", "texts")
    return click.Option([one.name, *one.flags], type=kind, required=one.required, multiple=several, **usual)
