"""Which line of a drum file each key stands in.

The standard TOML reader gives values without places; this scanner gives places without values. It
walks a text that the TOML reader has already accepted, so it need not judge it, and notes for every
table, key and list item the line where it begins. Paths are tuples such as ("tongues", 2, "length"),
items counted from 0.

Only the shape of TOML matters here: headers, dotted and quoted keys, the four kinds of strings, lists,
inline tables and comments.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field

from kerftone.errors import DrumFileError

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True, kw_only=True)
class LineIndex:
    """The line, counted from 1, of each key path of one file, and where in the text its value stands.

    `spans` holds the first and one-past-last character of values; tables under a header have none.
    """

    lines: dict[KeyPath, int]
    spans: dict[KeyPath, tuple[int, int]]

    def of(self, path: KeyPath) -> int | None:
        """Which line to look at for this key: its own, or that of the nearest table around it."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None


@dataclass(kw_only=True)
class _Scanner:
    text: str
    at: int = 0
    line: int = 1
    prefix: KeyPath = ()
    found: dict[KeyPath, int] = field(default_factory=dict)
    counts: dict[KeyPath, int] = field(default_factory=dict)
    spans: dict[KeyPath, tuple[int, int]] = field(default_factory=dict)

    def peek(self, many: int = 1) -> str:
        return self.text[self.at : self.at + many]

    def advance(self, many: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + many)
        self.at += many

    def skip(self, blanks: str) -> None:
        """Past blanks; past comments too where line ends count as blanks."""
        while self.at < len(self.text):
            char = self.text[self.at]
            if char == "#":
                end = self.text.find("\n", self.at)
                self.advance((len(self.text) if end < 0 else end) - self.at)
            elif char in blanks:
                self.advance()
            else:
                return

    def string(self) -> str:
        """Past one quoted string; the string with its quotes."""
        start, quote = self.at, self.peek()
        fence = quote * 3 if self.peek(3) == quote * 3 else quote
        self.advance(len(fence))
        while self.at < len(self.text) and self.peek(len(fence)) != fence:
            self.advance(2 if quote == '"' and self.peek() == "\\" else 1)
        self.advance(len(fence))
        while len(fence) == 3 and self.peek() == quote:  # up to two quotes may stand before the fence
            self.advance()
        return self.text[start : self.at]

    def key(self, stop: str) -> KeyPath:
        """Past a dotted key up to `stop`; its parts."""
        parts: list[str] = []
        while self.at < len(self.text) and self.peek() != stop:
            if self.peek() in "\"'":
                quoted = self.string()
                parts.append(str(tomllib.loads(f"k = {quoted}")["k"]))
            elif self.peek() in ". \t":
                self.advance()
            else:
                start = self.at
                while self.at < len(self.text) and self.peek() not in f". \t{stop}":
                    self.advance()
                parts.append(self.text[start : self.at])
        return tuple(parts)

    def note(self, path: KeyPath, line: int) -> None:
        """Keep the first line seen for a path and for the tables that contain it."""
        for end in range(len(path), 0, -1):
            self.found.setdefault(path[:end], line)

    def value(self, path: KeyPath) -> None:
        """Past one value, noting where it stands and what is inside it."""
        opener, start = self.peek(), self.at
        if opener and opener in "\"'":
            self.string()
        elif opener == "[":
            self.items(path)
        elif opener == "{":
            self.inline(path)
        else:
            while self.at < len(self.text) and self.peek() not in ",]}#\n":
                self.advance()
        self.spans[path] = (start, start + len(self.text[start : self.at].rstrip()))

    def items(self, path: KeyPath) -> None:
        self.advance()
        index = 0
        self.skip(" \t\r\n,")
        while self.at < len(self.text) and self.peek() != "]":
            self.note((*path, index), self.line)
            self.value((*path, index))
            index += 1
            self.skip(" \t\r\n,")
        self.advance()

    def inline(self, path: KeyPath) -> None:
        self.advance()
        self.skip(" \t\r\n,")
        while self.at < len(self.text) and self.peek() != "}":
            line = self.line
            inner = (*path, *self.key("="))
            self.note(inner, line)
            self.advance()
            self.skip(" \t")
            self.value(inner)
            self.skip(" \t\r\n,")
        self.advance()

    def resolve(self, key: KeyPath) -> KeyPath:
        """A header's path with the number of the current item put in after each list of tables."""
        path: KeyPath = ()
        for part in key:
            path = (*path, part)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def header(self) -> None:
        line = self.line
        if self.peek(2) == "[[":
            self.advance(2)
            key = self.key("]")
            base = (*self.resolve(key[:-1]), key[-1])
            self.counts[base] = self.counts.get(base, 0) + 1
            self.prefix = (*base, self.counts[base] - 1)
        else:
            self.advance()
            self.prefix = self.resolve(self.key("]"))
        self.found[self.prefix] = line  # a table's own header beats the place where it was first implied
        self.note(self.prefix, line)
        while self.peek() == "]":
            self.advance()

    def run(self) -> None:
        while True:
            self.skip(" \t\r\n")
            if self.at >= len(self.text):
                return
            before = self.at
            if self.peek() == "[":
                self.header()
            else:
                line = self.line
                path = (*self.prefix, *self.key("="))
                self.note(path, line)
                self.advance()
                self.skip(" \t")
                self.value(path)
            if self.at == before:  # cannot happen in accepted TOML; never loop for ever
                return


def index_lines(text: str) -> LineIndex:
    """Where each key of this drum file stands. `text` must be TOML that has been read without error."""
    scanner = _Scanner(text=text)
    scanner.run()
    return LineIndex(lines=scanner.found, spans=scanner.spans)


def too_deep(text: str, path: str | None) -> DrumFileError:
    """The refusal of tables within tables within tables, at the line with the most brackets."""
    lines = text.split("\n")
    worst = max(range(len(lines)), key=lambda at: lines[at].count("[") + lines[at].count("{"))
    return DrumFileError(
        "lists or tables are nested too deeply. No key of a drum file needs more than two brackets: take the "
        "extra brackets out.",
        path=path,
        line=worst + 1,
    )
