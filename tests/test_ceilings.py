"""No file, function, list of parameters or nesting grows past what one reads at a sitting (our own ceilings)."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "src" / "kerftone"
FILE_LINES, FUNCTION_LINES, PARAMETERS, NESTING = 400, 50, 6, 4
NESTS = (ast.If, ast.For, ast.While, ast.With, ast.Try, ast.Match)
Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(source: str) -> Iterator[tuple[str, Function]]:
    """Every function with its name, inner ones and methods too."""

    def visit(node: ast.AST, path: str) -> Iterator[tuple[str, Function]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, Function):
                yield f"{path}{child.name}", child
                yield from visit(child, f"{path}{child.name}.")
            elif isinstance(child, ast.ClassDef):
                yield from visit(child, f"{path}{child.name}.")
            else:
                yield from visit(child, path)

    return visit(ast.parse(source), "")


def lines(function: Function) -> int:
    """Its lines from `def` to its end, the docstring left out."""
    first = function.body[0]
    docstring = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    said = (first.end_lineno or 0) - first.lineno + 1 if docstring else 0
    return (function.end_lineno or 0) - function.lineno + 1 - said


def parameters(function: Function) -> int:
    """How many it takes, self and cls left out."""
    given = function.args
    every = [*given.posonlyargs, *given.args, *given.kwonlyargs]
    return len([one for one in every if one.arg not in ("self", "cls")])


def nesting(function: Function) -> int:
    """How deep its blocks lie in one another; inner functions count for themselves."""

    def depth(node: ast.AST) -> int:
        deepest = 0
        for child in ast.iter_child_nodes(node):
            if isinstance(child, Function | ast.ClassDef | ast.Lambda):
                continue
            chained = isinstance(node, ast.If) and isinstance(child, ast.If) and node.orelse == [child]
            deepest = max(deepest, depth(child) + (isinstance(child, NESTS) and not chained))
        return deepest

    return depth(function)


def over(source: str, name: str) -> dict[str, int]:
    """What in this source is over a ceiling, and how large it is."""
    found = {}
    length = len(source.splitlines())
    if length > FILE_LINES:
        found[f"{name}: lines"] = length
    for path, function in functions(source):
        sizes = {
            "lines": (lines(function), FUNCTION_LINES),
            "nesting": (nesting(function), NESTING),
            "parameters": (parameters(function), PARAMETERS),
        }
        found |= {f"{name}: {path}: {what}": size for what, (size, most) in sizes.items() if size > most}
    return found


def test_nothing_is_over_a_ceiling() -> None:
    found: dict[str, int] = {}
    for path in sorted(ROOT.rglob("*.py")):
        found |= over(path.read_text("utf-8"), path.relative_to(ROOT).as_posix())
    assert found == {}


@pytest.mark.parametrize(
    "source, what",
    [
        ("x = 1\n" * 401, "a.py: lines"),
        ("def f():\n" + "    x = 1\n" * 50, "a.py: f: lines"),
        ("def f(a, b, c, d, e, f, g): ...", "a.py: f: parameters"),
        ("class A:\n    def f(self, a, b, c, d, e, *, f, g): ...", "a.py: A.f: parameters"),
        (
            "def f():\n if a:\n  for b in c:\n   with d:\n    while e:\n     if g:\n      pass",
            "a.py: f: nesting",
        ),
    ],
)
def test_each_ceiling_is_held(source: str, what: str) -> None:
    assert list(over(source, "a.py")) == [what]


@pytest.mark.parametrize(
    "source",
    [
        "x = 1\n" * 400,
        "def f():\n" + "    x = 1\n" * 49,
        'def f():\n    """' + "words\n" * 60 + '    """\n    return 1',
        "def f(self, a, b, c, d, e, f): ...",
        "def f():\n if a:\n  pass\n elif b:\n  pass\n elif c:\n  pass\n elif d:\n  pass\n elif e:\n  pass",
    ],
)
def test_what_is_within_them_passes(source: str) -> None:
    assert over(source, "a.py") == {}
