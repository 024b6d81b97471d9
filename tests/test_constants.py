"""A constant says why it is what it is: a reason, a source, or 'own judgement'."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[1] / "src" / "kerftone"
PLAIN = (ast.Tuple, ast.List, ast.BinOp, ast.UnaryOp, ast.Name, ast.Attribute)
"""What a number may be put together from; pens, styles and tables say themselves what they are."""


def unexplained(source: str) -> list[str]:
    """The names of a module's numbers without a word beside, above or below them."""
    lines, body = source.split("\n"), ast.parse(source).body
    found = []
    for node, after in zip(body, [*body[1:], None], strict=True):
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        target = node.targets[0] if isinstance(node, ast.Assign) else node.target
        names = [ast.unparse(one) for one in (target.elts if isinstance(target, ast.Tuple) else [target])]
        parts = [one for one in ast.walk(node.value) if not isinstance(one, ast.expr_context)]
        plain = all(isinstance(one, (*PLAIN, ast.Constant, ast.operator, ast.unaryop)) for one in parts)
        numbers = [one for one in parts if isinstance(one, ast.Constant) and type(one.value) in (int, float)]
        if not plain or not numbers or not all(re.fullmatch(r"_?[A-Z][A-Z0-9_]+", name) for name in names):
            continue
        below = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
        above = lines[node.lineno - 2].lstrip().startswith("#")
        if not (below or above or "#" in lines[(node.end_lineno or node.lineno) - 1]):
            found.append(names[0])
    return found


def test_every_constant_says_why_it_is_what_it_is() -> None:
    left = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in sorted(ROOT.rglob("*.py"))
        for name in unexplained(path.read_text("utf-8"))
    ]
    assert left == []


def test_a_constant_without_a_word_is_found() -> None:
    source = (
        'BARE = 3\nTOLD = 4\n"""Own judgement."""\nWORDS = "a"\n'
        "A_SIDE, B_SIDE = 1.5, 2.0\n# why\nABOVE = 5\nHERE = 6  # why\n"
    )
    assert unexplained(source) == ["BARE", "A_SIDE"]
