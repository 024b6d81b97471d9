"""Changing single values of a drum file, leaving comments, order and spacing as the maker wrote them.

A change names a key by its path, such as ("tongues", 2, "length"), and gives the value as the file states it, in
the file's own units. What the new text means is compared with what it should mean before anyone writes it, so
that a file written in a way this module cannot follow is refused, not spoilt.

Whether the new drum makes sense is not judged here: see `file.py` and `check.py`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Comment, InlineTable, Table, Whitespace

from kerftone.drum.lines import KeyPath
from kerftone.errors import DrumFileError


@dataclass(frozen=True, kw_only=True)
class Change:
    """One key and its new value; None takes the key, the table or the list's item out.

    A value that is a dictionary is a whole table. A list's item one past its end is added.
    """

    at: KeyPath
    value: object


def edited(text: str, changes: Sequence[Change]) -> str:
    """The file's text with these changes, one after the other.

    `text` must be TOML that has been read without error. Raises DrumFileError when the text is written in a way in
    which they cannot be made without touching something else. Held by tests/drum/test_edit.py.
    """
    wanted = tomllib.loads(text)
    try:
        document = tomlkit.parse(text)
        for change in changes:
            _set_plain(wanted, change)
            _set(document, change)
        new = tomlkit.dumps(document)
        if "\r\n" in text:
            new = new.replace("\r\n", "\n").replace("\n", "\r\n")
        same = tomllib.loads(new) == wanted
    except (
        TOMLKitError,
        tomllib.TOMLDecodeError,
        LookupError,
        TypeError,
        AttributeError,
        ValueError,
    ) as error:
        raise _refusal() from error
    if not same:
        raise _refusal()
    return new


def _refusal() -> DrumFileError:
    return DrumFileError(
        "this cannot be changed here without touching something else in the file. The file is left as it is: write "
        "each table under its own header, or make the change in an editor."
    )


def _set_plain(whole: Any, change: Change) -> None:
    """The change on the plain values: what the new text must mean."""
    *way, last = change.at
    place = whole
    for part in way:
        place = place.setdefault(part, {}) if isinstance(place, dict) else place[part]
    if isinstance(place, list) and last == len(place):
        place.append(change.value)
    elif change.value is not None:
        place[last] = change.value
    elif isinstance(place, list):
        del place[int(last)]
    else:
        place.pop(last, None)


def _set(document: Any, change: Change) -> None:
    """The change on the text."""
    *way, last = change.at
    place = document
    for part in way:
        if isinstance(place, dict) and part not in place:
            place[part] = tomlkit.table()
        place = place[part]
    if isinstance(place, AoT):
        _set_item(place, int(last), change.value)
    elif isinstance(place, Array) and last == len(place):
        place.append(_table(change.value, inline=True))
    elif change.value is not None:
        place[last] = _item(change.value)
    elif isinstance(place, Array):
        del place[int(last)]
    elif last in place:
        _take_out(place, str(last))


def _set_item(items: AoT, number: int, value: object) -> None:
    """One [[...]] table put in, exchanged or taken out; the remarks after its last key stay where they were."""
    kept = _remarks_after(items[min(number, len(items) - 1)])
    if number == len(items):
        items.append(_table(value))
    elif value is None:
        del items[number]
        number -= 1
    else:
        items[number] = _table(value)
    body = items[max(0, min(number, len(items) - 1))].value.body
    body.extend((None, one) for one in kept)


def _remarks_after(table: Any) -> list[Whitespace | Comment]:
    """The empty lines and whole-line remarks that end a table, taken off it: they belong to what comes next."""
    body = table.value.body
    kept: list[Whitespace | Comment] = []
    while body and body[-1][0] is None and isinstance(body[-1][1], Whitespace | Comment):
        kept.insert(0, body.pop()[1])
    return kept


def _take_out(place: Any, key: str) -> None:
    kept = _remarks_after(place[key]) if isinstance(place[key], Table) else []
    place.remove(key)
    for one in kept:
        place.add(one)


def _item(value: object) -> Any:
    """A value as it is written: tables under their own headers, also where there are several."""
    if isinstance(value, dict):
        return _table(value)
    if isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        several = tomlkit.aot()
        for one in value:
            several.append(_table(one))
        return several
    return value


def _table(value: Any, *, inline: bool = False) -> Table | InlineTable:
    made = tomlkit.inline_table() if inline else tomlkit.table()
    for key, one in value.items():
        made[key] = one
    if not inline:
        made.add(tomlkit.nl())
    return made
