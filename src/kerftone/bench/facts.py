"""What can be told to the log of a drum: each kind of fact, with its fields and units.

Tongues are counted from 1, as the maker counts them. Lengths in mm, pitches in Hz, masses in g, seen from above
with x along the top and y across it from the left front corner. A fact says what happened, never what follows
from it. None where something was not told.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import Any, ClassVar

from kerftone.tune.history import Bottom, bottom_told


@dataclass(frozen=True, kw_only=True)
class Start:
    """The drum as it was cut: the text of its file, word for word, and the file's name."""

    kind: ClassVar[str] = "start"
    file: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Tapped:
    """A tongue was struck and sounded so. `recording`: the name of the sound kept beside the log.

    bottom_on: whether it was glued. bottom: None in older entries, where `bottom_on` says whether it was glued or
    off.
    """

    kind: ClassVar[str] = "tap"
    tongue: int
    hz: float
    plus_minus_cents: float = 1.5
    bottom_on: bool = True
    top_glued: bool = True
    temperature_c: float | None = None
    humidity_pct: float | None = None
    recording: str | None = None
    bottom: Bottom | None = None

    @property
    def state(self) -> Bottom:
        """How the bottom was."""
        return self.bottom or bottom_told(self.bottom_on)


@dataclass(frozen=True, kw_only=True)
class BoreMade:
    """A pocket was bored. Depth as intended, and as measured where it was."""

    kind: ClassVar[str] = "bore"
    tongue: int
    x_mm: float
    y_mm: float
    bit_mm: float
    depth_mm: float
    measured_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class SlotsLengthened:
    """Both slots beside a tongue were sawn further at its root."""

    kind: ClassVar[str] = "lengthen"
    tongue: int
    by_mm: float


@dataclass(frozen=True, kw_only=True)
class TipTrimmed:
    """A tongue's tip was taken back."""

    kind: ClassVar[str] = "trim"
    tongue: int
    by_mm: float


@dataclass(frozen=True, kw_only=True)
class WeightFixed:
    """A mass was fixed under a tongue near its tip; negative when taken off again."""

    kind: ClassVar[str] = "weight"
    tongue: int
    grams: float


@dataclass(frozen=True, kw_only=True)
class Noted:
    """Anything else worth keeping, in words."""

    kind: ClassVar[str] = "note"
    words: str
    tongue: int | None = None


@dataclass(frozen=True, kw_only=True)
class Voided:
    """An earlier fact was a slip and no longer counts; it stays in the log."""

    kind: ClassVar[str] = "void"
    number: int
    reason: str


Fact = Start | Tapped | BoreMade | SlotsLengthened | TipTrimmed | WeightFixed | Noted | Voided
KINDS: dict[str, type[Fact]] = {
    cls.kind: cls
    for cls in (Start, Tapped, BoreMade, SlotsLengthened, TipTrimmed, WeightFixed, Noted, Voided)
}


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One fact in the log. Numbers count from 1 in the order of telling; `at` is UTC, as in 2026-05-04T10:20:30Z.

    `instead_of`: the number of the fact whose place this one takes, when it mends a slip.
    """

    number: int
    at: str
    fact: Fact
    instead_of: int | None = None


def body(fact: Fact) -> dict[str, Any]:
    """A fact's fields as plain values."""
    return asdict(fact)


def from_body(kind: str, values: dict[str, Any]) -> Fact:
    """The fact of this kind with these fields. Raises ValueError when they are not its fields.

    Held by tests/bench/test_log.py, which reads back every kind.
    """
    made = KINDS.get(kind)
    if made is None or not values.keys() <= {field.name for field in fields(made)}:
        raise ValueError(f"no fact of kind {kind} has these fields: {', '.join(values)}")
    try:
        return made(**values)
    except TypeError as error:
        raise ValueError(str(error)) from error
