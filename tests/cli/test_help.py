"""Help in plain text, and a mistyped command line told in our own words."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from kerftone.cli.app import app
from kerftone.cli.declarations import declarations, examples, takes

Run = Callable[..., Any]
ROOT: Any = app
LIBRARY_WORDS = re.compile(
    r"Input should|Invalid value|Missing (argument|option)|No such|Got unexpected|requires an argument|does not take"
    r"|is not one of|Value error|unable to parse|Possible options|Show this message|Traceback|\[OPTIONS\]"
)


def commands() -> Iterator[tuple[tuple[str, ...], Any]]:
    """Every command and group by the words it is called with."""
    yield (), ROOT
    for name, one in ROOT.commands.items():
        yield (name,), one
        for inner, deep in getattr(one, "commands", {}).items():
            yield (name, inner), deep


ALL = dict(commands())


@pytest.mark.parametrize("words", ALL, ids=" ".join)
def test_a_help_page_is_plain_narrow_and_begins_with_an_example(run: Run, words: tuple[str, ...]) -> None:
    ran = run(*words, "--help")
    assert (ran.code, ran.fault) == (0, None)
    lines = ran.out.splitlines()
    assert max(len(line) for line in lines) < 80
    assert not re.search("[│╭╰─━]", ran.out) and not LIBRARY_WORDS.search(ran.out)
    first = ran.out.find("  kerftone ")
    options = min(
        (ran.out.find(head) for head in ("To be given", "May be added", "Design\n") if head in ran.out),
        default=-1,
    )
    if words != ("open",):
        assert first >= 0 and (options < 0 or first < options)
    if words:
        assert all(name in ran.out for one in takes(" ".join(words)) for name in one.names)


@pytest.mark.parametrize("words", [" ".join(words) for words in ALL])
def test_every_command_has_an_example_and_every_example_can_be_read(words: str) -> None:
    assert examples(words)
    for line in examples(words):
        typed = shlex.split(line)[1:]
        command, path = ROOT, "kerftone"
        while typed and typed[0] in getattr(command, "commands", {}):
            path, command = f"{path} {typed[0]}", command.commands[typed.pop(0)]
        command.make_context(path, typed).close()
        assert path.startswith(f"kerftone {words}".rstrip()), line


def test_every_command_is_grouped_by_what_a_maker_does_with_it() -> None:
    named = [name for names in declarations()["groups"].values() for name in names]
    assert sorted(ROOT.commands) == sorted(named)


SLIPS = [
    (("fot", "x"), "There is no command fot. Did you mean fit?"),
    (("bench", "nxt", "x"), "There is no command nxt. Did you mean next?"),
    (
        ("modes",),
        "DRUM is missing: the drum file, or the folder that holds its drum.toml. Such as `kerftone modes brook`.",
    ),
    (("plan", "x"), "--output is missing"),
    (("modes", "x", "--cont", "3"), "`kerftone modes` has no option --cont. Did you mean --count?"),
    (("modes", "x", "--count", "abc"), "--count is 'abc'. It must be a whole number from 1 to 120."),
    (("modes", "x", "--count=0"), "--count is '0'. It must be a whole number from 1 to 120."),
    (("modes", "x", "--stands", "up"), "--stands is 'up'. It must be held or free."),
    (("fit", "x", "--json=3"), "--json stands alone"),
    (("bench", "tap", "x", "--hz"), "--hz has no value. Write what it is after it: --hz HZ."),
    (("bench", "void", "x", "y", "--reason", "z"), "ENTRY cannot be read. It must be a whole number."),
    (("fit", "my", "drum"), "There is more than `kerftone fit` takes: drum."),
]


@pytest.mark.refusal
@pytest.mark.parametrize(("typed", "says"), SLIPS)
def test_a_mistyped_line_is_told_with_what_is_there(run: Run, typed: tuple[str, ...], says: str) -> None:
    ran = run(*typed)
    assert (ran.code, ran.fault) == (2, None) and says in ran.err
    assert not LIBRARY_WORDS.search(ran.err)
    assert re.search(r"See `kerftone[\w ]* --help`\.$", ran.err.strip())


WORDS = st.sampled_from(
    [
        "fit",
        "modes",
        "bench",
        "tap",
        "next",
        "new",
        "board",
        "listen",
        "--count",
        "--tongue",
        "--hz",
        "--json=1",
        "--out",
        "-o",
        "-x",
        "--",
        "abc",
        "3",
        "-1",
        "1e9",
        "nan",
        "--by",
        "--paper",
        "a3",
        "--notes",
        "--no",
        "",
        "ü",
    ]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(WORDS, max_size=6))
def test_no_command_line_is_answered_in_the_words_of_a_library(typed: list[str]) -> None:
    ran = CliRunner().invoke(app, typed)
    assert ran.exception is None or isinstance(ran.exception, SystemExit), ran.exception
    assert not LIBRARY_WORDS.search(ran.output)


def test_alone_it_says_where_the_drums_stand_and_what_comes_next(
    run: Run, wren: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(wren.parent)
    ran = run()
    assert ran.code == 0 and "Wren: D4 Bb4. Has its lengths, nothing is cut." in ran.out
    assert "kerftone plan . -o plan" in ran.out and "kerftone bench start ." in ran.out
    run("bench", "start", ".")
    assert "Cut, no tongue tapped yet." in run().out
    run("bench", "tap", ".", "--tongue", "d4", "--hz", "293.6")
    assert "Being tuned (1 of 2 tongues)." in run().out
    monkeypatch.chdir(wren.parent.parent)
    assert "kerftone bench next 'my drums'" in run().out, "drums in folders of this one are found too"
    wren.write_text("units = mm\n")
    assert "drum.toml" in run().out and run().code == 0


def test_alone_in_a_folder_without_drums_it_shows_the_help(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run().out == run("--help").out


def test_what_a_command_refuses_to_go_without_stands_under_to_be_given(run: Run) -> None:
    given, added = run("new", "--help").out.split("To be given")[1].split("May be added")
    for option, rest in (("--wood", ("--notes", "D3")), ("--notes", ("--wood", "cherry"))):
        assert option in given and option not in added
        assert run("new", "drum", *rest).code == 2
