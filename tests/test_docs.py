"""The documents say what is: commands exist, links lead somewhere, code runs, cli.md is the commands' own."""

from __future__ import annotations

import difflib
import doctest
import re
import shlex
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import pytest

from kerftone.cli.app import app
from kerftone.cli.declarations import takes
from kerftone.cli.manual import manual
from kerftone.drum.file import parse_drum
from kerftone.drum.reference import reference

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
FENCE = re.compile(r"^(`{3,})([\w-]*)[^\n]*\n(.*?)^\1`*[ \t]*$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"!?\[(?:[^\]\[]|\[[^\]]*\])*\]\(\s*<?([^)\s>]+)")
BENCH = {
    f"bench {name}"
    for name in (
        "start",
        "tap",
        "bore",
        "lengthen",
        "trim",
        "weight",
        "note",
        "void",
        "log",
        "status",
        "next",
    )
}
PROMPTED, PLAIN = ("console",), ("sh", "bash")


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, its text and the line it begins on."""

    language: str
    text: str
    line: int


def blocks(page: str) -> list[Block]:
    return [Block(m[2], m[3], page.count("\n", 0, m.start()) + 1) for m in FENCE.finditer(page)]


def commands(block: Block) -> Iterator[list[str]]:
    """The words of each command that a reader would type from this block."""
    text = re.sub(r"\\\n\s*", " ", block.text)
    for line in text.splitlines():
        if block.language in PROMPTED and not line.startswith("$ "):
            continue
        if block.language not in (*PROMPTED, *PLAIN):
            return
        lexer = shlex.shlex(line.removeprefix("$ "), posix=True, punctuation_chars=True)
        lexer.whitespace_split = True
        words: list[str] = []
        for word in lexer:
            if set(word) <= set("|;&()<>"):
                if words:
                    yield words
                words = [] if set(word) <= set("|;&()") else ["(redirected)"]
            else:
                words.append(word)
        if words:
            yield words


def why_not(words: list[str]) -> str | None:
    """Why this command could not be typed; None when it could."""
    name, *rest = words
    if name == "make":
        return _why_not_make([word for word in rest if "=" not in word and not word.startswith("-")])
    if name != "kerftone":
        return None
    group: Any = app
    try:
        context = group.make_context("kerftone", list(rest))
        while hasattr(group, "commands"):
            waiting = [*getattr(context, "_protected_args", []), *context.args]
            if not waiting:
                break
            _, group, left = group.resolve_command(context, waiting)
            context = group.make_context(group.name, left, parent=context)
    except click.exceptions.Exit:
        return None  # --help and --version end right there
    except click.UsageError as error:
        return error.format_message()
    return None


def _why_not_make(goals: list[str]) -> str | None:
    rules = re.findall(r"^([\w-]+):", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE)
    unknown = [goal for goal in goals if goal not in rules]
    return f"make has no {unknown[0]}" if unknown else None


def anchors(page: str) -> set[str]:
    """The headings of a page as links name them."""
    bare = FENCE.sub("", page)
    heads = re.findall(r"^#+ +(.+?) *$", bare, re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


def broken_links(page: str, folder: Path) -> list[str]:
    """Relative links of a page that lead nowhere."""
    broken = []
    for target in LINK.findall(re.sub(r"`[^`\n]*`", "", FENCE.sub("", page))):
        if re.match(r"[a-z]+:", target):
            continue
        name, _, anchor = target.partition("#")
        file = (folder / name).resolve() if name else None
        if file is not None and not file.exists():
            broken.append(target)
        elif anchor:
            there = page if file is None else file.read_text("utf-8")
            if anchor not in anchors(there):
                broken.append(target)
    return broken


def why_not_runs(block: Block) -> str | None:
    """What is wrong with a Python or TOML block; None when it runs, or is of another kind."""
    if block.language == "python":
        test = doctest.DocTestParser().get_doctest(block.text, {}, f"line {block.line}", None, block.line)
        if not test.examples:
            exec(compile(block.text, f"line {block.line}", "exec"), {})
            return None
        said: list[str] = []
        doctest.DocTestRunner().run(test, out=said.append)
        return "".join(said) or None
    if block.language == "toml":
        table = tomllib.loads(block.text)
        if {"name", "top", "tongues", "box"} <= table.keys():
            parse_drum(block.text)
    return None


@pytest.fixture(params=PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def page(request: pytest.FixtureRequest) -> Path:
    return Path(request.param)


def test_every_command_in_the_documents_can_be_typed(page: Path) -> None:
    wrong = [
        f"{page.name}, line {block.line}: {' '.join(words)}: {why}"
        for block in blocks(page.read_text("utf-8"))
        for words in commands(block)
        if (why := why_not(words)) is not None
    ]
    assert wrong == []


def test_every_relative_link_leads_somewhere(page: Path) -> None:
    assert broken_links(page.read_text("utf-8"), page.parent) == []


def test_every_code_block_runs(page: Path) -> None:
    wrong = [why_not_runs(block) for block in blocks(page.read_text("utf-8"))]
    assert [why for why in wrong if why] == []


def test_the_reference_of_the_commands_is_up_to_date() -> None:
    kept = (ROOT / "docs" / "cli.md").read_text("utf-8")
    difference = list(difflib.unified_diff(kept.splitlines(), manual().splitlines(), lineterm=""))
    assert not difference, "run `make docs`:\n" + "\n".join(difference)


def test_the_reference_of_the_drum_file_is_up_to_date() -> None:
    kept = (ROOT / "docs" / "drum-file.md").read_text("utf-8")
    difference = list(difflib.unified_diff(kept.splitlines(), reference().splitlines(), lineterm=""))
    assert not difference, "run `make docs`:\n" + "\n".join(difference)


def _leaves(group: Any, before: str = "") -> Iterator[tuple[str, Any]]:
    """Every command by its full name, those in groups too."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from _leaves(command, f"{before}{name} ")
        else:
            yield f"{before}{name}", command


def test_the_reference_names_every_command_and_option() -> None:
    group: Any = app
    text = manual()
    commands = dict(_leaves(group))
    assert {
        "new",
        "modes",
        "fit",
        "hear",
        "layout",
        "plan",
        "listen",
        "board tap",
        "bench tap",
        "build",
        "draw",
    } <= commands.keys()
    assert {name for name in commands if name.startswith("bench ")} >= BENCH
    for name in commands:
        part = text.split(f"## kerftone {name}\n")[1].split("\n## ")[0]
        for one in takes(name):
            assert all(option in part for option in one.names), (name, one)


@pytest.mark.parametrize(
    "line, trouble",
    [
        ("kerftone modes brook --cuont 20", "--cuont"),
        ("kerftone modes", "DRUM"),
        ("kerftone sing brook", "sing"),
        ("kerftone board saw boards/1.toml", "saw"),
        ("kerftone board tap boards/1.toml --motion sideways", "sideways"),
        ("kerftone hear brook", "output"),
        ("ls | kerftone modes brook --stands sideways", "sideways"),
        ("cd brook && kerftone fit --jsn", "--jsn"),
        ("make supper", "supper"),
    ],
)
def test_a_command_that_does_not_exist_is_caught(line: str, trouble: str) -> None:
    page = f"Words.\n\n```console\n$ {line}\n```\n"
    found = [why_not(words) for block in blocks(page) for words in commands(block)]
    told = [why for why in found if why]
    assert len(told) == 1 and trouble in told[0]


def test_output_redirections_and_other_programs_are_let_through() -> None:
    page = (
        "```console\n$ kerftone modes brook --json > modes.json 2> words.txt\nnot --a command\n"
        "$ kerftone --help | head\n$ kerftone --version\n$ ls --nonsense\n"
        "$ kerftone new brook --notes 'D3 A3' \\\n    --wood ash\n```\n"
    )
    found = list(commands(blocks(page)[0]))
    assert [words[0] for words in found].count("kerftone") == 4
    assert [why_not(words) for words in found if why_not(words)] == []


def test_links_to_nowhere_are_caught(tmp_path: Path) -> None:
    (tmp_path / "there.md").write_text("# A head, and more\n")
    page = (
        "# Here\n[a](there.md) [b](missing.md) ![c](no.svg) [d](there.md#a-head-and-more) [e](there.md#other)\n"
        "[f](#here) [g](#nowhere) [h](https://example.org/x) `[i](code.md)`\n```\n[j](fenced.md)\n```\n"
    )
    assert broken_links(page, tmp_path) == ["missing.md", "no.svg", "there.md#other", "#nowhere"]


def test_code_that_does_not_run_is_caught() -> None:
    good = "```python\n>>> 1 + 1\n2\n```\n"
    assert why_not_runs(blocks(good)[0]) is None
    assert why_not_runs(blocks(good.replace("2\n", "3\n"))[0])
    with pytest.raises(NameError):
        why_not_runs(blocks("```python\nnothing_of_that_name\n```\n")[0])
    with pytest.raises(tomllib.TOMLDecodeError):
        why_not_runs(blocks("```toml\nkerf =\n```\n")[0])


def test_every_room_points_to_the_glossary() -> None:
    rooms = sorted((ROOT / "src" / "kerftone").glob("*/__init__.py"))
    assert len(rooms) > 8 and (ROOT / "docs" / "glossary.md").is_file()
    assert [path.parent.name for path in rooms if "docs/glossary.md" not in path.read_text("utf-8")] == []


def test_the_picture_of_the_rooms_and_their_table_have_every_room() -> None:
    page = (ROOT / "docs" / "README.md").read_text("utf-8").split("## Rooms")[1].split("## Jobs")[0]
    rooms = {path.parent.name for path in (ROOT / "src" / "kerftone").glob("*/__init__.py")}
    (picture,) = (block.text for block in blocks(page))
    assert rooms <= set(re.findall(r"\w+", picture))
    assert rooms <= set(re.findall(r"`(\w+)`", "".join(re.findall(r"^\|([^|]+)\|", page, re.MULTILINE))))


def test_the_glossary_says_each_term_once() -> None:
    page = (ROOT / "docs" / "glossary.md").read_text("utf-8")
    rows = re.findall(r"^\| (.+?) \| (.+) \|$", page, re.MULTILINE)
    terms = [term.strip() for names, _ in rows if names != "term" for term in names.split(",")]
    assert len(terms) > 50 and sorted({*terms}) == sorted(terms)
