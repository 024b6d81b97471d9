"""Writing tongue lengths and places back into a drum file, leaving everything else as the maker wrote it.

Comments, order, spacing and the other numbers stay. Lengths are written in the file's own units, rounded to 0.01 mm
or 0.001 in, which moves no note by as much as half a cent; in inches with the mark of the maker's rule before the
exact length, where that is on none ("9 1/16 (9.068)"). Before anything is written, the new
text is read again and must mean the same drum; the file is then replaced whole (`kerftone.files`).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.file import parse_drum
from kerftone.drum.lines import KeyPath, index_lines
from kerftone.drum.reading import read_text
from kerftone.drum.shop import Face
from kerftone.drum.writer import text as quoted
from kerftone.drum.written import as_toml
from kerftone.errors import DrumFileError
from kerftone.files import atomic_write
from kerftone.units import Units, parse_length, written_length


def save_lengths(
    path: str | os.PathLike[str], drum: Drum, *, to: str | os.PathLike[str] | None = None
) -> Drum:
    """Write this drum's tongue lengths and places into its file; the drum as the file now has it.

    `to` is another file for the changed text, the drum's own then left as it is. The file must still hold the
    tongues of `drum`, in the same order; only their lengths, rows and sides are written. Raises DrumFileError when
    the file has changed meanwhile or cannot be read, WriteError when it cannot be written; the old file is then
    untouched.

    Parameters
    ----------
    path : str | os.PathLike[str]
        The drum's file.
    drum : Drum
        The drum with its lengths and places, in mm.
    to : str | os.PathLike[str] | None, optional
        Another file for the changed text; None for its own.
    """
    name = os.fspath(path)
    text = read_text(path)
    before = parse_drum(text, name)
    notes, wanted = [t.note for t in before.tongues], [t.note for t in drum.tongues]
    if notes != wanted:
        raise DrumFileError(
            f"the file has the tongues {' '.join(notes)}, but lengths were found for {' '.join(wanted)}. "
            "It was changed meanwhile and is left as it is: run the command again.",
            path=name,
        )
    pairs = zip(before.tongues, drum.tongues, strict=True)
    tongues = tuple(as_written(now, before.units, was) for was, now in pairs)
    new_text = _with_tongues(text, before, tongues)
    try:
        after = parse_drum(new_text, name)
    except DrumFileError as error:
        raise DrumFileError(
            f"the new lengths were not written, for the file would then be wrong: {error.message}",
            path=name,
            line=error.line,
        ) from error
    if not same_drum(after, replace(before, tongues=tongues)):
        raise DrumFileError(
            "the lengths cannot be put in without changing something else. The file is left as it is: write "
            "each tongue under its own [[tongues]] header.",
            path=name,
        )
    atomic_write(path if to is None else to, new_text.encode("utf-8"))
    return after


def save_pickup_place(path: str | os.PathLike[str], *, x_mm: float, y_mm: float, on: Face = "top") -> Drum:
    """Write the place of the pickup's disc into a drum file; the drum as the file now has it.

    Written in the
    file's own units, everything else left as it is. Raises DrumFileError when there is no [pickup] to write into or
    the file would then be wrong, WriteError when it cannot be written; the old file is then untouched.

    Parameters
    ----------
    path : str | os.PathLike[str]
        The drum file.
    x_mm : float
        Of the disc's middle from the left end, seen from above, in mm.
    y_mm : float
        From the front edge, in mm.
    on : Face, optional
        The part it is glued to.
    """
    name = os.fspath(path)
    text = read_text(path)
    before = parse_drum(text, name)
    pickup = before.making.pickup
    if pickup is None:
        raise DrumFileError(
            "there is no [pickup] in it, so there is no place to write. Add a line [pickup] at its end first.",
            path=name,
        )
    parts = before.shop.fraction
    values = {
        "x": _toml(written_length(x_mm, before.units, parts=parts)),
        "y": _toml(written_length(y_mm, before.units, parts=parts)),
    }
    if on != pickup.on:
        values["on"] = _toml(on)
    new_text = _with_place(text, values)
    try:
        after = parse_drum(new_text, name)
    except DrumFileError as error:
        raise DrumFileError(
            f"the place was not written, for the file would then be wrong: {error.message}",
            path=name,
            line=error.line,
        ) from error
    placed = after.making.pickup
    assert placed is not None
    moved = replace(pickup, x_mm=placed.x_mm, y_mm=placed.y_mm, on=on)
    if after != replace(before, making=replace(before.making, pickup=moved)):
        raise DrumFileError(
            "the place cannot be put in without changing something else. The file is left as it is: write x and y "
            "under [pickup] yourself.",
            path=name,
        )
    atomic_write(path, new_text.encode("utf-8"))
    return after


def _toml(value: float | int | str) -> str:
    """As TOML writes it."""
    return quoted(value) if isinstance(value, str) else str(value)


def _with_place(text: str, values: Mapping[str, str]) -> str:
    """The file's text with these keys of [pickup]: replaced where they stand, or added at the end of its table."""
    index = index_lines(text)
    at: KeyPath = ("pickup",)
    edits: list[tuple[int, int, str]] = []
    own = [span for key, span in index.spans.items() if key[:1] == at and len(key) == 2]
    for key, value in values.items():
        if (*at, key) in index.spans:
            edits.append((*index.spans[(*at, key)], value))
        elif own:
            last = max(end for _, end in own)
            edits.append(_insertion(text, last, f"{key} = {value}", inline=at in index.spans))
        else:
            head = len("".join(text.splitlines(keepends=True)[: index.lines[at] - 1])) + 1
            edits.append(_insertion(text, head, f"{key} = {value}", inline=False))
    edits.sort(key=lambda edit: edit[0])
    for start, end, words in reversed(edits):
        text = text[:start] + words + text[end:]
    return text


def stated_mm(mm: float, units: Units) -> float:
    """What a length is when a drum file in these units has stated it, mm: to 0.01 mm or 0.001 in.

    >>> stated_mm(230.333, "mm"), stated_mm(154.78, "in") == 6.09375 * 25.4
    (230.33, True)
    """
    return parse_length(written_length(mm, units), units)


def as_written(tongue: Tongue, units: Units, was: Tongue | None = None) -> Tongue:
    """This tongue as a drum file will state it; a length that the file (`was`) states already stays.

    Parameters
    ----------
    tongue : Tongue
        With its length in mm.
    units : Units
        Of the file.
    was : Tongue | None, optional
        The tongue as the file states it now.
    """
    if tongue.length_mm is None:
        return tongue
    now = stated_mm(tongue.length_mm, units)
    if was is not None and was.length_mm is not None and stated_mm(was.length_mm, units) == now:
        return replace(tongue, length_mm=was.length_mm)
    return replace(tongue, length_mm=now)


def same_drum(one: Drum, other: Drum) -> bool:
    """Equal but for the last bits of the lengths."""
    near = all(
        (a.length_mm is None) == (b.length_mm is None) and abs((a.length_mm or 0) - (b.length_mm or 0)) < 1e-9
        for a, b in zip(one.tongues, other.tongues, strict=True)
    )
    return near and replace(one, tongues=_no_lengths(one)) == replace(other, tongues=_no_lengths(other))


def _no_lengths(drum: Drum) -> tuple[Tongue, ...]:
    return tuple(replace(tongue, length_mm=None) for tongue in drum.tongues)


def _with_tongues(text: str, before: Drum, tongues: tuple[Tongue, ...]) -> str:
    """The file's text with these places and lengths in it: values that change replaced where they stand, or added."""
    was, units, parts = before.tongues, before.units, before.shop.fraction
    written = as_toml(text)
    spans = {path: written.of_maker(span) for path, span in index_lines(written.text).spans.items()}
    edits: list[tuple[int, int, str]] = []
    for number, tongue in enumerate(tongues):
        values = {
            "row": (was[number].row, tongue.row, str(tongue.row)),
            "side": (was[number].side, tongue.side, f'"{tongue.side}"'),
            "length": (
                was[number].length_mm,
                tongue.length_mm,
                _toml(written_length(tongue.length_mm or 0.0, units, parts=parts)),
            ),
        }
        at: KeyPath = ("tongues", number)
        after = spans[(*at, "note")]
        for key, (old, new, words) in values.items():
            if (*at, key) in spans:
                after = spans[(*at, key)]
                if new is not None and new != old:
                    edits.append((*after, words))
            elif new is not None:
                edits.append(_insertion(text, after[1], f"{key} = {words}", inline=at in spans))
    edits.sort(key=lambda edit: edit[0])  # stable: keys added at one spot keep their order
    for start, end, words in reversed(edits):
        text = text[:start] + words + text[end:]
    return text


def _insertion(text: str, at: int, words: str, *, inline: bool) -> tuple[int, int, str]:
    """Where and how a new key goes in after the value that ends at `at`: its own line, or in the braces."""
    if inline:
        return at, at, f", {words}"
    start = text.rfind("\n", 0, at) + 1
    indent = text[start : len(text) - len(text[start:].lstrip(" \t"))]
    end = text.find("\n", at)
    if end < 0:
        return len(text), len(text), f"\n{indent}{words}"
    ending = "\r\n" if text[end - 1] == "\r" else "\n"
    return end + 1, end + 1, f"{indent}{words}{ending}"
