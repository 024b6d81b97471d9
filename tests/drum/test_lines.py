"""Every key of a file is found in its own line."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from kerftone.drum.lines import KeyPath, index_lines

NASTY = '''\
# [not.a.table] = 100
top = 101
"quoted key" . 'x'   = 102
dotted.a.b = 103

[tuning]   # with [a] comment
ref = 104
text = """
[slots]
fake = 1 \\"""
""" # end
quotes = """two at the end"""""
more = 105
raw = \'\'\'
[[tongues]]\'\'\'
after = 106

[[tongues]]
note = "x # not a comment"
length = 107

[tongues.inner]
deep = 108

[[tongues]]
length = 109
[["tongues"]]
list = [
  110, [111, 112],  # ] in a comment
  { a = 113, b.c = 114 },
  """],
  {""",
  115,
]
inline = { x = 116, y = { z = 117 } }
[a.b]
c = 118
[a]
d = 119'''


def leaves(value: Any, path: KeyPath = ()) -> dict[KeyPath, Any]:
    """All values that are not tables or lists, by path."""
    if isinstance(value, dict):
        pairs: list[tuple[str | int, Any]] = list(value.items())
    elif isinstance(value, list):
        pairs = list(enumerate(value))
    else:
        return {path: value}
    return {at: leaf for key, item in pairs for at, leaf in leaves(item, (*path, key)).items()}


def assert_numbers_are_in_their_lines(text: str) -> int:
    """Each whole number from 100 stands once in the text: its key must be said to be in that line."""
    index, lines, seen = index_lines(text), text.split("\n"), 0
    for path, value in leaves(tomllib.loads(text)).items():
        if isinstance(value, int) and value >= 100:
            line = index.of(path)
            assert line is not None and str(value) in lines[line - 1], (path, line)
            start, end = index.spans[path]
            assert text[start:end] == str(value)
            seen += 1
    return seen


def test_a_file_with_every_trick_of_the_format_keeps_its_lines() -> None:
    assert assert_numbers_are_in_their_lines(NASTY) == 19


def test_windows_line_ends_keep_their_lines() -> None:
    assert assert_numbers_are_in_their_lines(NASTY.replace("\n", "\r\n")) == 19


def test_a_key_that_is_not_there_points_to_its_table() -> None:
    text = "a = 1\n\n[slots]\nkerf = 3\n\n[[tongues]]\n[[tongues]]\nrow = 1\n"
    index = index_lines(text)
    assert index.of(("slots", "end_margin")) == 3
    assert index.of(("tongues", 1, "note")) == 7
    assert index.of(("box",)) is None


words = st.text(st.sampled_from("ab#[]{}=,'\n \\é"), max_size=8)


@given(
    st.lists(st.tuples(st.sampled_from(["k", "'k k'", '"k.k"', "p.q"]), words), min_size=1, max_size=6),
    st.sampled_from(["[t]", "[[t]]", "[t.'u v']"]),
)
def test_keys_among_awkward_texts_keep_their_lines(parts: list[tuple[str, str]], header: str) -> None:
    lines = [header]
    for number, (key, text) in enumerate(parts):
        escaped = text.replace("\\", "\\\\").replace("\n", "\\n")
        multi = text.replace("\\", "\\\\")
        lines += [f'text{number} = "{escaped}" # {escaped}', f"{key}.n{number} = {100 + number}"]
        lines += [f'multi{number} = """{multi}"""', f"l{number} = ['''{text.replace(chr(39), '')}''', 200, ]"]
    text = "\n".join(lines).replace(", 200, ]", ", ]")
    assert assert_numbers_are_in_their_lines(text) == len(parts)
