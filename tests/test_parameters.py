"""A public function of three or more parameters says of each what it is and in which unit (numpydoc).

The faces are left out: their functions are declarations of options, which have their own help.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "src" / "kerftone"
FACES = ("cli", "app")
FROM = 3
HEAD = re.compile(r"^Parameters\n-{10}\n", re.MULTILINE)
Found = tuple[str, list[str], str]


def functions(source: str) -> Iterator[Found]:
    """Every public function of many parameters: its name, its parameters, its docstring."""

    def visit(node: ast.AST, path: str) -> Iterator[Found]:
        for child in ast.iter_child_nodes(node):
            name = f"{path}{getattr(child, 'name', '')}"
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef) and not child.name.startswith("_"):
                given = child.args
                names = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
                names = [one for one in names if one not in ("self", "cls")]
                if len(names) >= FROM and "override" not in map(ast.unparse, child.decorator_list):
                    yield name, names, ast.get_docstring(child) or ""
            elif isinstance(child, ast.ClassDef) and not child.name.startswith("_"):
                yield from visit(child, f"{name}.")

    return visit(ast.parse(source), "")


def lacking(names: list[str], docstring: str) -> list[str]:
    """The parameters that are not described, or not in their order; all of them where there is no such section."""
    head = HEAD.search(docstring)
    if head is None:
        return names
    said = re.findall(r"^(\w+) : .+\n {4}\S", docstring[head.end() :], re.MULTILINE)
    return [] if said[: len(names)] == names else [name for name in names if name not in said] or names


def all_files() -> dict[str, list[Found]]:
    paths = [path for path in sorted(ROOT.rglob("*.py")) if path.relative_to(ROOT).parts[0] not in FACES]
    return {path.relative_to(ROOT).as_posix(): list(functions(path.read_text("utf-8"))) for path in paths}


def test_a_function_that_describes_its_parameters_describes_all_of_them_in_their_order() -> None:
    wrong = {
        f"{file}: {name}": left
        for file, found in all_files().items()
        for name, names, docstring in found
        if HEAD.search(docstring) and (left := lacking(names, docstring))
    }
    assert wrong == {}


def test_every_function_of_many_parameters_describes_them() -> None:
    every = [(f"{file}: {one[0]}", *one[1:]) for file, found in all_files().items() for one in found]
    assert len(every) > 150
    assert [name for name, names, docstring in every if lacking(names, docstring)] == []


DESCRIBED = """
def f(a: int, b: float = 1.0, *, c: str):
    '''What it answers.

    Parameters
    ----------
    a : int
        How many.
    b : float, optional
        Of the bit, in mm.
    c : str
        Its name.
    '''
"""


@pytest.mark.parametrize(
    ("old", "new", "left"),
    [
        ("", "", []),
        ("    b : float, optional\n        Of the bit, in mm.\n", "", ["b"]),
        ("        Its name.\n", "", ["c"]),
        ("Parameters\n", "Arguments\n", ["a", "b", "c"]),
        ("a : int", "number : int", ["a"]),
    ],
)
def test_what_is_not_described_is_found(old: str, new: str, left: list[str]) -> None:
    ((_, names, docstring),) = functions(DESCRIBED.replace(old, new, 1))
    assert lacking(names, docstring) == left
