"""Lines of a drum file as they are written: a key, its value, and a word beside it for someone new to it."""

from __future__ import annotations

from kerftone.units import Units, written_length

_COLUMN = 34
"""Where comments begin: most pairs are shorter."""
_WIDEST = 110
"""A line longer than this has its comment above it."""
DIGITS_IN = 4
"""Decimals of an inch, where a length is on no mark of a rule: nearer than anyone saws."""


class Writer:
    """Collects lines; knows how a length is written in the file's units."""

    def __init__(self, units: Units) -> None:
        self.units: Units = units
        self.lines: list[str] = []

    def line(self, text: str) -> None:
        """A line as it stands."""
        self.lines.append(text)

    def table(self, header: str, about: str) -> None:
        """An empty line and the head of a table."""
        self.line("")
        self.line(f"{header:<{_COLUMN}}# {about}" if about else header)

    def pair(self, key: str, value: str, about: str = "") -> None:
        """A key, its value and a word about it.

        Parameters
        ----------
        key : str
            Its name.
        value : str
            As TOML writes it.
        about : str, optional
            The comment; empty for none.
        """
        text = f"{key} = {value}"
        beside = f"{text:<{_COLUMN}}# {about}" if about else text
        if len(beside) > _WIDEST:
            self.line(f"# {about}")
            beside = text
        self.line(beside)

    def length(self, mm: float) -> str:
        """A length in the file's own units: in inches as it stands on a rule."""
        if self.units == "mm":
            return number(mm)
        stated = written_length(mm, "in", digits=DIGITS_IN)
        return text(stated) if isinstance(stated, str) else str(stated)


def number(value: float) -> str:
    """A float as TOML writes it; repr keeps every digit."""
    return repr(float(value))


_ESCAPES = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}


def text(value: str) -> str:
    """A TOML basic string."""
    safe = "".join(
        _ESCAPES.get(char, char if char >= " " and char != "\x7f" else f"\\u{ord(char):04x}")
        for char in value
    )
    return f'"{safe}"'
