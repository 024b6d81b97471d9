"""From what a maker writes to what the TOML reader takes, line for line.

A maker writes `thickness = 5/8`, `length = 12 mm`, `cut = quartersawn`, `[Top]`, a comma before the decimals, the
curly quotes of a word processor. All of that means one thing only, so it is read here, before the TOML reader sees
the text, and handed on in quotes where TOML wants them. Lines are never joined or parted, so a line's number stays
what the maker's editor shows, and `Written.of_maker` tells where a value stands in the maker's own text, which alone
is ever written back.

What can be read in two ways, or in none, is refused with its line, as it stands and as it should be. What a key may
hold is not judged here (`schema.py`), nor how long a length is (`kerftone.units`).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import NoReturn

from kerftone.drum.lines import too_deep
from kerftone.drum.writer import text as quoted
from kerftone.drum.written_words import BARE_KEY, LISTS, as_header, no_pair, plain_key, shown, two_keys
from kerftone.errors import DrumFileError

DEEPEST = 20
"""Brackets in brackets: no key needs more than two; own judgement."""
LONGEST_VALUE = 1000
"""No value a maker writes is longer; own judgement."""

_CLOSING = {"“": '”“"', "”": '”"', "„": '“”"', "‘": "’‘'", "’": "’'", "‚": "’‘'", "«": "»", "`": "`'"}
"""Quotes that are none to TOML, and what may end what they begin."""
_KEY = re.compile(
    r"""[ \t]*(?P<key>"[^"\n]*"|'[^'\n]*'|[^\s=:\[\]{}"'#,][^=:\[\]{}"'#,\n]*?)[ \t]*(?P<mark>[=:])"""
)
_HEADER = re.compile(r"[ \t]*(\[+)([^\[\]#\n]*)(\]*)[ \t\r]*(#.*)?$")
_DECIMAL = re.compile(r"[-+]?(?:\d{1,12},\d{1,12}|\.\d{1,12}|\d{1,12}\.|0\d{1,11}(?:\.\d{1,12})?)", re.ASCII)
_SECOND_KEY = re.compile(r"[\s,;]+([A-Za-z_]{2,})\s*=\s*")


@dataclass(frozen=True, kw_only=True)
class Written:
    """A maker's text as TOML, with as many lines; `edits`: where the two differ, as (start, end) of each."""

    text: str
    edits: tuple[tuple[int, int, int, int], ...] = ()

    def of_maker(self, span: tuple[int, int]) -> tuple[int, int]:
        """Where in the maker's text a value stands that stands at `span` of the TOML text."""
        start, end = span
        for mine_start, mine_end, its_start, its_end in reversed(self.edits):
            if its_end <= start:
                return start - its_end + mine_end, end - its_end + mine_end
            if its_start <= start and end <= its_end:
                return mine_start, mine_end
        return self._before(start), self._before(end)

    def _before(self, at: int) -> int:
        """A place in the maker's text; of one inside an edit, its beginning or end."""
        shift = 0
        for mine_start, mine_end, its_start, its_end in self.edits:
            if its_start >= at:
                break
            if at < its_end:
                return mine_start
            shift = mine_end - its_end
        return at + shift


def as_toml(text: str, path: str | None = None) -> Written:
    """The same file as TOML. Raises DrumFileError at a line that cannot be read. `path` only names the file.

    Held by tests/drum/test_written.py.
    """
    reader = _Reader(text=text, path=path)
    reader.run()
    parts, edits, at, length = [], [], 0, 0
    for start, end, new in reader.found:
        parts.append(text[at:start])
        length += start - at
        edits.append((start, end, length, length + len(new)))
        parts.append(new)
        length += len(new)
        at = end
    return Written(text="".join([*parts, text[at:]]), edits=tuple(edits))


@dataclass(kw_only=True)
class _Reader:
    text: str
    path: str | None
    at: int = 0
    table: str = ""
    found: list[tuple[int, int, str]] = field(default_factory=list)
    lines: dict[tuple[str, str], int] = field(default_factory=dict)
    """The line of each key seen, by its table; tables of their own under an empty key."""
    tables: int = 0
    depth: int = 0

    def refuse(self, message: str, at: int | None = None) -> NoReturn:
        raise DrumFileError(message, path=self.path, line=self.line_at(self.at if at is None else at))

    def line_at(self, at: int) -> int:
        return self.text.count("\n", 0, at) + 1

    def line_end(self) -> int:
        end = self.text.find("\n", self.at)
        return len(self.text) if end < 0 else end

    def edit(self, start: int, end: int, new: str) -> None:
        if self.text[start:end] != new:
            self.found.append((start, end, new))

    def run(self) -> None:
        while self.at < len(self.text):
            end = self.line_end()
            line = self.text[self.at : end]
            bare = line.strip()
            if not bare or bare.startswith("#"):
                self.at = end + 1
            elif bare.startswith("["):
                self.header(line)
                self.at = end + 1
            else:
                self.pair(line)
                self.to_line_end()

    def header(self, line: str) -> None:
        """One [table] or [[table]], in the shape that TOML knows."""
        match = _HEADER.fullmatch(line)
        name = "" if match is None else ".".join(plain_key(part) for part in match[2].split("."))
        if match is None or not name or not BARE_KEY.fullmatch(name):
            self.refuse(
                f"The line {shown(line)} begins like a table and is none. A table is one name in brackets: write "
                f"{as_header(line)}."
            )
        brackets = 2 if name in LISTS else 1
        start = self.at + match.start(1)
        words = f"{'[' * brackets}{name}{']' * brackets}"
        self.edit(start, self.at + match.end(3), words)
        self.tables += 1
        self.table = f"{name} {self.tables}" if name in LISTS else name
        if name not in LISTS:
            self.once(
                name, "", self.at, f"[{name}]", "put all its keys under the first one, and take this one out"
            )

    def once(self, table: str, key: str, at: int, words: str, mend: str) -> None:
        """Note where a key or a table stands. Raises DrumFileError when it stands already."""
        first = self.lines.setdefault((table, key), self.line_at(at))
        if first != self.line_at(at):
            self.refuse(
                f"{words} is here a second time, after line {first}. It can be there once: {mend}.", at
            )

    def pair(self, line: str) -> None:
        """One key = value."""
        match = _KEY.match(self.text, self.at, self.line_end())
        if match is None:
            self.refuse(no_pair(line))
        key = match["key"]
        if key[0] not in "\"'":
            plain = plain_key(key)
            if not BARE_KEY.fullmatch(plain):
                self.refuse(no_pair(line))
            self.edit(match.start("key"), match.end("key"), plain)
            key = plain
        where = f" in [{self.table.split(' ')[0]}]" if self.table else ""
        self.once(self.table, key, self.at, f"{key}{where}", "keep the one that is right")
        self.edit(match.start("mark"), match.end("mark"), "=")
        self.at = match.end("mark")
        self.blanks()
        self.value(key, ends="")

    def blanks(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in " \t\u00a0\u202f":
            self.at += 1

    def to_line_end(self) -> None:
        """Past the rest of a line, which holds nothing more than a comment."""
        end = self.line_end()
        rest = self.text[self.at : end]
        stray = rest.split("#")[0].strip()
        if stray in (",", ";", "."):
            at = self.text.index(stray, self.at)
            self.edit(at, at + 1, " ")
        elif stray:
            line = self.text[self.text.rfind("\n", 0, self.at) + 1 : end].strip()
            second = _SECOND_KEY.match(rest) or re.match(r"([A-Za-z_]{2,})\s*=", rest.strip())
            if second:
                self.refuse(
                    two_keys(line, line[: len(line) - len(rest.strip())].strip(), rest.strip(" ,;\t"))
                )
            self.refuse(
                f"The line {shown(line)} goes on after its value. A line holds one key and one value, and a # "
                f"before any comment: write {shown(line[: len(line) - len(rest.lstrip())].strip())} # {stray}."
            )
        self.at = end + 1

    def value(self, key: str, *, ends: str) -> None:
        """Past one value. `ends`: what may end it besides a line's end: of a list "," and "]"."""
        opener = self.text[self.at : self.at + 1]
        if self.text.startswith(('"""', "'''"), self.at):
            self.long_text()
        elif opener and opener in "[{":
            self.depth += 1
            if self.depth > DEEPEST:
                raise too_deep(self.text, self.path)
            self.items(key) if opener == "[" else self.braces()
            self.depth -= 1
        elif opener and (opener in "\"'" or opener in _CLOSING):
            self.string(key, opener, ends)
        else:
            self.bare(key, ends)

    def long_text(self) -> None:
        fence = self.text[self.at : self.at + 3]
        end = self.text.find(fence, self.at + 3)
        if end < 0:
            self.refuse(
                f"The text that begins with {fence} has no end. It ends as it began: write {fence} after it."
            )
        self.at = end + 3
        while self.text.startswith(fence[0], self.at) and self.at < end + 5:
            self.at += 1

    def string(self, key: str, opener: str, ends: str) -> None:
        """One text in quotes of any kind, whether or not they end it."""
        start, stop = self.at, self.line_end()
        closing = _CLOSING.get(opener, opener + ("”“" if opener == '"' else "’"))
        after = f"[ \\t\\r]*(?:$|#|[{re.escape(ends)}])" if ends else "[ \\t\\r]*[,;.]?[ \\t\\r]*(?:$|#)"
        body = self.text[start + 1 : stop]
        for match in re.finditer(f"[{re.escape(closing)}]", body):
            if opener == '"' and _escaped(body, match.start()):
                continue
            if re.match(after, body[match.end() :]):
                self.at = start + 1 + match.end()
                whole = self.text[start : self.at]
                if not _reads(whole):
                    self.edit(start, self.at, quoted(body[: match.start()]))
                return
        if any(mark in body for mark in closing):
            self.at = start + 1 + next(i for i, mark in enumerate(body) if mark in closing) + 1
            if self.text[start : self.at] and _reads(self.text[start : self.at]):
                return
        line = self.text[self.text.rfind("\n", 0, start) + 1 : stop].strip()
        content = re.split(r"\s#", body)[0].strip().strip("\"'”“’")
        self.refuse(
            f"The text in {shown(line)} has no end. A text ends with the quote it began with: write "
            f"{key} = {quoted(content)}.",
            start,
        )

    def bare(self, key: str, ends: str) -> None:
        """One value without quotes: handed on as it is if it is TOML, else as text, which lengths and names are."""
        start = self.at
        stop = next((at for at in range(start, self.line_end()) if self.text[at] in ends), self.line_end())
        body = self.text[start:stop]
        for match in re.finditer("#", body):
            sharp = re.fullmatch(r"\s*[A-Ga-g]", body[: match.start()]) and re.match(
                r"#-?\d", body[match.start() :]
            )
            if not sharp:
                body = body[: match.start()]
                break
        body = body.rstrip().rstrip(",;").rstrip() if not ends else body.rstrip()
        self.at = start + len(body)
        if not body:
            self.refuse(
                f"{key} has no value. A key stands before the value it has: write it after the =, or take the "
                "line out.",
                start,
            )
        if (
            _reads(body) or len(body) > LONGEST_VALUE
        ):  # a number of so many digits is refused where TOML is read
            return
        second = _SECOND_KEY.search(body)
        if second and not ends:
            self.refuse(
                two_keys(body, f"{key} = {body[: second.start()]}", body[second.start() :].strip(" ,;")),
                start,
            )
        self.edit(start, self.at, self.plain(key, body, start))

    def plain(self, key: str, body: str, start: int) -> str:
        """A bare value that is not TOML, as TOML."""
        if not _DECIMAL.fullmatch(body):
            return quoted(body)
        if re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", body):
            self.refuse(
                f"{key} is {body}: a comma before three digits, which may be {body.replace(',', '.')} or "
                f"{body.replace(',', '')}. Only one of them is meant: write it without the comma.",
                start,
            )
        number = body.replace(",", ".")
        return repr(float(number)) if "." in number else str(int(number))

    def items(self, key: str) -> None:
        """A list, over as many lines as it takes."""
        start = self.at
        self.at += 1
        while True:
            self.between()
            if self.at >= len(self.text) or re.match(r"[ \t]*\[?\w+\]?[ \t]*=[ \t]", self.text[self.at :]):
                self.refuse(
                    f"The list of {key} has no end. It begins with [ and ends with ]: write ] after it.",
                    start,
                )
            if self.text[self.at] == "]":
                self.at += 1
                return
            before = self.at
            self.value(key, ends=",]")
            if self.at == before:
                self.at += 1

    def braces(self) -> None:
        """A table in braces."""
        start = self.at
        self.at += 1
        while True:
            self.between()
            if self.at >= len(self.text):
                self.refuse(
                    "The table in braces has no end. It begins with { and ends with }: write } after it.",
                    start,
                )
            if self.text[self.at] == "}":
                self.at += 1
                return
            match = _KEY.match(self.text, self.at, self.line_end())
            if match is None:
                self.refuse(
                    "The table in braces cannot be read. It holds keys and values with commas between: write "
                    '{ note = "D3", row = 1 }.'
                )
            self.at = match.end()
            self.blanks()
            self.value(match["key"], ends=",}")

    def between(self) -> None:
        """Past blanks, line ends, commas and comments inside a list."""
        while self.at < len(self.text):
            char = self.text[self.at]
            if char == "#":
                self.at = self.line_end()
            elif char in " \t\r\n,":
                self.at += 1
            else:
                return


def _reads(value: str) -> bool:
    """Whether TOML takes this value as it stands."""
    try:
        tomllib.loads(f"k = {value}")
    except (ValueError, OverflowError, RecursionError):
        return False
    return "\n" not in value


def _escaped(body: str, at: int) -> bool:
    """Whether an odd number of backslashes stands before this place."""
    return (at - len(body[:at].rstrip("\\"))) % 2 == 1
