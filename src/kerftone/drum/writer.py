"""Lines of a drum file as they are written: a key, its value, and a word beside it for someone new to it."""

from __future__ import annotations

from kerftone.units import Units, from_mm, inch_fraction

_COLUMN = 34
"""Where comments begin: most pairs are shorter."""
_WIDEST = 110
"""A line longer than this has its comment above it."""
ON_THE_RULE = 1e-6
"""A length this near to a 64th of an inch, in 64ths, is one."""


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
        """A length in the file's own units: in inches as it stands on a rule, where it does."""
        if self.units == "mm":
            return number(mm)
        inches = from_mm(mm, "in")
        if abs(inches * 64.0 - round(inches * 64.0)) > ON_THE_RULE:
            return number(round(inches, 4))
        fraction = inch_fraction(mm)
        return text(fraction) if "/" in fraction else fraction


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
