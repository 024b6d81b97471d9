"""What is said of a line of a drum file that cannot be read: the line as it stands, and as it should be."""

from __future__ import annotations

import re

from kerftone.drum.schema import TABLES

LISTS = frozenset({"tongues", "bores", "sound_holes", "stock", "order", "taps"})
"""Tables of which there are several, each under its own [[header]]."""

BARE_KEY = re.compile(r"[A-Za-z0-9_.-]+")


def plain_key(key: str) -> str:
    """A key as the file knows it: small letters, _ for blanks and hyphens."""
    return re.sub(r"[\s-]+", "_", key.strip().casefold())


def shown(line: str) -> str:
    """A line as a message quotes it, cut short when long."""
    line = line.strip()
    return f"`{line if len(line) <= 60 else line[:57] + '...'}`"


def as_header(line: str) -> str:
    """The header that was meant by this line."""
    words = plain_key(re.sub(r"[\[\]]", " ", line.split("#")[0]))
    name = re.sub(r"[^a-z0-9_.]", "", words).strip("_") or "top"
    return f"[[{name}]]" if name in LISTS else f"[{name}]"


def no_pair(line: str) -> str:
    """What is wrong with a line that is no key = value, and how it should be."""
    words = line.split("#")[0].split()
    name = plain_key(line.split("#")[0].strip(" \t\r[]"))
    if (
        len(words) > 1
        and BARE_KEY.fullmatch(words[0])
        and (words[1][0] in "\"'=“.-+" or words[1][0].isdigit())
    ):
        mend = f"write {words[0]} = {' '.join(words[1:]).lstrip('= ')}"
    elif name in LISTS or name.split(".")[-1] in TABLES:
        mend = f"write {as_header(line)}"
    else:
        mend = "put # before it if it is a comment, or take it out"
    return f"The line {shown(line)} has no key and value. A line is a [table], a key = value or a # comment: {mend}."


def two_keys(line: str, first: str, second: str) -> str:
    """Two keys in one line, and how they should stand.

    Parameters
    ----------
    line : str
        As the maker wrote it.
    first : str
        The first key and its value.
    second : str
        The second.
    """
    where = f"write {first}, and {second} below it"
    return f"The line {shown(line)} has two keys. Each stands in a line of its own: {where}."
