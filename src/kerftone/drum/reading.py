"""From a maker's file to the tables in it, or a refusal in words with its line.

What every kind of file shares: bytes to text, text to TOML, and of all that is wrong with the tables the
first, told in three beats. What the tables mean is for `file.py` (drums) and `board_file.py` (boards).
"""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from kerftone.drum.lines import KeyPath, LineIndex, index_lines, too_deep
from kerftone.drum.schema import DRUM_TABLE, TABLES
from kerftone.drum.trade_words import in_our_words
from kerftone.drum.values import BAD_VALUE, shown
from kerftone.drum.written import as_toml
from kerftone.errors import DrumFileError, Remedy

LARGEST_BYTES = 200_000
"""A drum of 64 tongues and hundreds of bores is a tenth of this; more is some other file."""

_LONG_NUMBER = re.compile(r"[0-9_]{1000,}")
_AT_LINE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


def read_text(path: str | os.PathLike[str]) -> str:
    """The text of a drum file, or a DrumFileError when it is missing, too large or not text."""
    name = os.fspath(path)
    try:
        if Path(path).is_dir():
            inside = "drum.toml" if (Path(path) / "drum.toml").is_file() else "its drum.toml"
            raise DrumFileError(
                f"this is a folder. A drum is described by a file: give {Path(path) / inside}."
                if inside == "drum.toml"
                else "this is a folder, and there is no drum.toml in it. A drum is described by a file: give "
                "the file's name, or make a new drum.",
                path=name,
                remedy=() if inside == "drum.toml" else Remedy.NEW_DRUM,
            )
        if Path(path).exists() and not Path(path).is_file():
            raise DrumFileError("this is not a plain file. Give the name of a drum.toml.", path=name)
        with Path(path).open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError as error:
        raise DrumFileError(
            "there is no such file. Check the name, or make a new drum.",
            path=name,
            remedy=Remedy.NEW_DRUM,
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise DrumFileError(
            f"the file cannot be read: {reason}. Check its name and its permissions.", path=name
        ) from error
    if len(data) > LARGEST_BYTES:
        raise DrumFileError(
            f"the file is larger than {LARGEST_BYTES // 1000} kB. A drum file is a few kB of text: give the "
            "name of a drum.toml.",
            path=name,
            limit=LARGEST_BYTES,
        )
    return _decode(data, name)


def _decode(data: bytes, name: str | None) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DrumFileError(
            f"the byte {data[error.start]:#04x} is not UTF-8 text. Drum files are saved as UTF-8: open it "
            "in a text editor and save it again as UTF-8.",
            path=name,
            line=data.count(b"\n", 0, error.start) + 1,
        ) from error


def load(text: str, path: str | None) -> tuple[dict[str, Any], LineIndex]:
    """What this text of a drum's or a board's file says, and where each key of it stands.

    The one place where a maker's text becomes tables: what is written as makers write is put into TOML, line for
    line (`written.py`), and the trade's other words into ours (`trade_words.py`). Raises DrumFileError at the line
    where it stops making sense.
    """
    toml = as_toml(text, path).text
    raw = in_our_words(_tables(toml, path))
    try:
        return raw, index_lines(toml)
    except RecursionError:
        raise too_deep(text, path) from None


def _tables(text: str, path: str | None) -> dict[str, Any]:
    """The TOML in this text."""
    if not text.strip():
        raise DrumFileError(
            "the file is empty. Make a new drum, or restore the file from a copy.",
            path=path,
            remedy=Remedy.NEW_DRUM,
        )
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise too_deep(text, path) from None
    except (ValueError, OverflowError) as error:
        digits = max(_LONG_NUMBER.finditer(text), key=lambda run: len(run[0]), default=None)
        if not isinstance(error, tomllib.TOMLDecodeError) and digits:
            raise DrumFileError(
                f"a number here has {len(digits[0])} digits. No size needs more than ten: write a shorter "
                "one.",
                path=path,
                line=text.count("\n", 0, digits.start()) + 1,
            ) from None
        found = _AT_LINE.search(str(error))
        line = int(found[1]) if found and found[1] else text.rstrip().count("\n") + 1
        words = text.split("\n")[line - 1].strip()
        raise DrumFileError(
            f"the line `{words[:60]}` cannot be read. Each line is a [table], a key = value or a # comment: mend it, "
            "or restore the file from a copy.",
            path=path,
            line=line,
        ) from None


def first_refusal(
    error: ValidationError,
    raw: dict[str, Any],
    index: LineIndex,
    path: str | None,
    whole: type[BaseModel] = DRUM_TABLE,
) -> DrumFileError:
    """Of all that is wrong in the tables, the first in the file, in words. `whole`: the model of the file.

    Parameters
    ----------
    error : ValidationError
        What pydantic found wrong.
    raw : dict[str, Any]
        The tables as they were read.
    index : LineIndex
        Where each key stands.
    path : str | None
        The file, to name it; None for a text alone.
    whole : type[BaseModel], optional
        The model of the whole file.
    """
    details = error.errors(include_url=False)
    misspelt = {_location(detail)[:-1] for detail in details if detail["type"] == "extra_forbidden"}
    details = [  # a misspelt key is why its table lacks one: tell of the spelling
        detail for detail in details if detail["type"] != "missing" or _location(detail)[:-1] not in misspelt
    ]
    placed = [(index.of(_location(detail)), detail) for detail in details]
    line, detail = min(placed, key=lambda pair: pair[0] if pair[0] is not None else 0)
    context = detail.get("ctx", {})
    return DrumFileError(
        _in_words(detail, whole),
        path=path,
        line=line,
        given=context.get("given"),
        limit=context.get("limit"),
        nearest=context.get("nearest"),
    )


def _location(detail: ErrorDetails) -> KeyPath:
    return tuple(detail["loc"])


def label(at: KeyPath) -> str:
    """A key in words: "kerf in [slots]", "length of tongue 3", "e_l in [top.elastic]"."""
    key, tables = at[-1], at[:-1]
    if not tables:
        return str(key)
    if tables[0] in ("tongues", "bores", "sound_holes") and len(tables) > 1 and isinstance(tables[1], int):
        return f"{key} of {str(tables[0])[:-1].replace('_', ' ')} {tables[1] + 1}"
    if isinstance(key, int):
        return f"item {key + 1} of {'.'.join(map(str, tables))}"
    return f"{key} in [{'.'.join(map(str, tables))}]"


def _in_words(detail: ErrorDetails, whole: type[BaseModel]) -> str:
    """One thing that is wrong, in three beats."""
    at = _location(detail)
    name, kind = label(at), detail["type"]
    context = detail.get("ctx", {})
    if kind == BAD_VALUE:
        return f"{name} {context['text']}"
    if kind == "extra_forbidden":
        return _unknown_key(at, whole)
    if kind == "missing":
        return _missing(at)
    given = shown(detail["input"])
    if kind == "literal_error":
        choices = str(context["expected"]).replace("'", '"')
        near = difflib.get_close_matches(str(detail["input"]), re.findall(r'"([^"]+)"', choices), 1, 0.5)
        mend = f'did you mean "{near[0]}"?' if near else "write one of these."
        return f"{name} is {given}. It must be {choices}: {mend}"
    wanted = {
        "string_type": 'text in quotes, such as "D3"',
        "int_type": "a whole number, such as 1",
        "int_from_float": "a whole number, such as 1",
        "list_type": f"a list of tables, each under its own [[{at[-1]}]]",
        "model_type": f"a table, [{'.'.join(str(part) for part in at if isinstance(part, str))}]",
    }.get(kind, "of another kind")
    return f"{name} is {given}. It must be {wanted}."


def _unknown_key(at: KeyPath, whole: type[BaseModel]) -> str:
    key, tables = str(at[-1]), [part for part in at[:-1] if isinstance(part, str)]
    model = TABLES.get(tables[-1], whole) if tables else whole
    known = list(model.model_fields)
    where = f" in [{'.'.join(tables)}]" if tables else ""
    near = difflib.get_close_matches(key, known, 1, 0.5)
    elsewhere = [name for name, table in TABLES.items() if key in table.model_fields and model is not table]
    if near:
        mend = f"the nearest key is {near[0]}"
    elif elsewhere:
        mend = f"that key belongs in [{elsewhere[0]}]"
    else:
        mend = f"the keys here are {', '.join(known)}"
    return (
        f"The key {shown(key)}{where} is not known. "
        f"Only known keys are read, so that a slip is not lost: {mend}."
    )


_EXAMPLES = {
    "name": 'name = "Brook"',
    "note": 'note = "D3"',
    "top": "[top] with wood, length, width and thickness",
    "slots": "[slots] with kerf, end_margin and side_margin",
    "tongues": '[[tongues]] with note = "D3"',
    "box": "[box] with wood, wall and height",
}


def _missing(at: KeyPath) -> str:
    key = str(at[-1])
    tables = [part for part in at[:-1] if isinstance(part, str)]
    where = f"[{'.'.join(tables)}]" if tables else "The file"
    if len(at) > 2 and isinstance(at[1], int):
        where = f"{'Tongue' if at[0] == 'tongues' else 'Bore'} {at[1] + 1}"
    return f"{where} lacks {key}. It cannot be guessed: add {_EXAMPLES.get(key, f'{key} = (a length)')}."
