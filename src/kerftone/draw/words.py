"""Words set beside a drawing: a heading over it, paragraphs under it.

Everything in the drawing's own millimetres, y up; heights are those of capitals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kerftone.draw.legend import wrapped
from kerftone.draw.sheet import Text

LINE = 1.7
"""From line to line, in heights of capitals."""


@dataclass(frozen=True, kw_only=True)
class Words:
    """Lines of words, and how far they reach down and up."""

    texts: tuple[Text, ...]
    low: float
    high: float


def notes_under(
    notes: Sequence[str], *, left: float, top: float, wide: float, height_mm: float, gap: float = 0.0
) -> Words:
    """Paragraphs downwards from `top`, each on a line of its own, `gap` heights of capitals between them.

    Parameters
    ----------
    notes : Sequence[str]
        A paragraph each.
    left : float
        Where they begin, in mm.
    top : float
        Of the first line, in mm.
    wide : float
        Of the column, in mm.
    height_mm : float
        Of the capitals, in mm.
    gap : float, optional
        Between paragraphs, in heights of capitals.
    """
    y, texts = top, []
    for number, note in enumerate(notes):
        y -= gap * height_mm if number else 0.0
        for line in wrapped(note, width_mm=wide, height_mm=height_mm):
            y -= LINE * height_mm
            texts.append(Text(at=(left, y), words=line, height_mm=height_mm))
    return Words(texts=tuple(texts), low=y - LINE * height_mm, high=top)


def heading_over(title: str, *, left: float, low: float, wide: float, height_mm: float) -> Words:
    """A title in bold, upwards from `low`.

    Parameters
    ----------
    title : str
        The words.
    left : float
        Where they begin, in mm.
    low : float
        Of the last line's foot, in mm.
    wide : float
        Of the column, in mm.
    height_mm : float
        Of the capitals, in mm.
    """
    lines = wrapped(title, width_mm=wide, height_mm=height_mm)
    texts = tuple(
        Text(at=(left, low + LINE * height_mm * i), words=line, height_mm=height_mm, bold=True)
        for i, line in enumerate(reversed(lines))
    )
    return Words(texts=texts, low=low, high=low + LINE * height_mm * len(lines))
