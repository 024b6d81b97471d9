"""The rooms keep their order: every import is read, also those inside functions and for types only."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "src" / "kerftone"
GROUND = "ground"
GROUND_MODULES = ("errors", "units", "pitch", "scales", "files", "stopping")
LEVELS = (GROUND, "wood", "drum", "modal", "air", "ear", "sound", "tune", "bench")

BELOW = {room: set(LEVELS[:at]) for at, room in enumerate(LEVELS)}
ALLOWED: dict[str, set[str]] = {
    **BELOW,
    "ear": {GROUND},  # knows recordings, not drums: it meets the model in `tune` only
    "sound": BELOW["sound"] - {"ear"},
    "shop": BELOW["modal"],
    "draw": BELOW["modal"] | {"shop"},  # shapes and words, no physics
    "jobs": {*LEVELS, "shop", "draw"},
    "app": {*LEVELS, "shop", "draw", "jobs"},
    "cli": {*LEVELS, "shop", "draw", "jobs", "app"},  # one command starts the page
}
"""Which rooms each may import from, besides itself: the picture of docs/README.md."""

SOLVER = ("ngsolve", "netgen", "pyngcore")
SOLVER_ROOM = "modal"


def room_of(module: str) -> str:
    """The room of a module: "kerftone.drum.file" is in "drum", "kerftone.pitch" on the ground."""
    parts = module.split(".")
    if len(parts) == 1:
        return GROUND  # the package's own __init__: a version and no more
    if parts[1] == "__main__":
        return "cli"
    return GROUND if parts[1] in GROUND_MODULES else parts[1]


def imports(source: str, module: str, known: Iterable[str], *, package: bool = False) -> set[str]:
    """Every module that this source imports, wherever in it that stands; `known` tells modules from names."""
    found: set[str] = set()
    home = module if package else module.rpartition(".")[0]
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                up = home.rsplit(".", node.level - 1)[0] if node.level > 1 else home
                base = f"{up}.{base}".rstrip(".")
            inside = [f"{base}.{alias.name}" for alias in node.names]
            found.update(name if name in known else base for name in inside)
    return found


def tree() -> dict[str, tuple[str, bool]]:
    """The source of every module of the package, by name, and whether it is a package's __init__."""
    found = {}
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT.parent).with_suffix("").parts
        package = parts[-1] == "__init__"
        found[".".join(parts[:-1] if package else parts)] = (path.read_text("utf-8"), package)
    return found


def graph(modules: Mapping[str, tuple[str, bool]]) -> dict[str, set[str]]:
    """What each module imports."""
    return {
        name: imports(source, name, modules, package=package) for name, (source, package) in modules.items()
    }


def upward(arrows: Mapping[str, set[str]]) -> list[str]:
    """Imports that the order of the rooms does not allow."""
    wrong = []
    for module, used in arrows.items():
        room = room_of(module)
        for other in sorted(used):
            if other != "kerftone" and not other.startswith("kerftone."):
                continue
            target = room_of(other)
            if target not in {room, GROUND, *ALLOWED.get(room, set())} and other != "kerftone":
                wrong.append(f"{module} imports {other}: {room} may not know {target}")
    return wrong


def cycles(arrows: Mapping[str, set[str]]) -> list[str]:
    """Chains of modules that come back to where they began."""
    done: set[str] = set()
    found: list[str] = []

    def visit(module: str, trail: tuple[str, ...]) -> None:
        if module in trail:
            found.append(" > ".join((*trail[trail.index(module) :], module)))
        elif module not in done:
            for other in sorted(arrows.get(module, set()) & arrows.keys()):
                visit(other, (*trail, module))
            done.add(module)

    for module in sorted(arrows):
        visit(module, ())
    return found


def strays(arrows: Mapping[str, set[str]]) -> list[str]:
    """Modules outside the model's room that know the finite-element library."""
    return [
        f"{module} imports {other}"
        for module, used in arrows.items()
        for other in sorted(used)
        if other.split(".")[0] in SOLVER and room_of(module) != SOLVER_ROOM
    ]


@pytest.fixture(scope="module")
def arrows() -> dict[str, set[str]]:
    return graph(tree())


def test_no_room_knows_one_above_it(arrows: dict[str, set[str]]) -> None:
    assert upward(arrows) == []


def test_no_import_goes_in_a_circle(arrows: dict[str, set[str]]) -> None:
    assert cycles(arrows) == []


def test_only_the_model_knows_the_finite_element_library(arrows: dict[str, set[str]]) -> None:
    assert strays(arrows) == []
    assert any(other.startswith("ngsolve") for used in arrows.values() for other in used)


def test_every_module_is_in_a_room_that_has_a_place_in_the_order(arrows: dict[str, set[str]]) -> None:
    assert len(arrows) > 50
    assert {room_of(module) for module in arrows} <= ALLOWED.keys()


def test_no_drawer_for_odds_and_ends(arrows: dict[str, set[str]]) -> None:
    drawers = {"utils", "util", "helpers", "common", "core", "misc"}
    assert not [module for module in arrows if drawers & set(module.split("."))]


NAMED = re.compile(r"`kerftone [a-z]|(?<![-\\w])--[a-z]")
"""How a command or an option of the command line is written in words for a maker."""


def commands_named(source: str) -> list[str]:
    """The strings of a source, its docstrings left out, that name a command or an option."""
    whole = ast.parse(source)
    docstrings = {
        id(node.value)
        for node in ast.walk(whole)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    return [
        node.value
        for node in ast.walk(whole)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in docstrings
        and NAMED.search(node.value)
    ]


def test_no_room_below_the_command_line_names_a_command_or_an_option() -> None:
    """Each face says in its own words what can be done (`kerftone.errors.Remedy`)."""
    named = {
        module: found
        for module, (source, _) in tree().items()
        if room_of(module) not in ("cli", "app")
        if (found := commands_named(source))
    }
    assert named == {}


@pytest.mark.parametrize(
    "source, count",
    [
        ("words = 'add --sure.'", 1),
        ("words = f'run `kerftone fit` on {drum}'", 1),
        ('def f():\n    "A docstring of `kerftone fit`."', 0),
        ("words = 'a well-known note -- and `kerftone.errors`'", 0),
    ],
)
def test_a_command_in_a_message_is_found(source: str, count: int) -> None:
    assert len(commands_named(source)) == count


def spoiled(**sources: str) -> dict[str, set[str]]:
    """The arrows of invented modules; "drum__file" stands for kerftone.drum.file."""
    modules = {f"kerftone.{name.replace('__', '.')}": (source, False) for name, source in sources.items()}
    return graph(modules)


@pytest.mark.parametrize(
    "source",
    [
        "from kerftone.modal.solve import solve",
        "import kerftone.modal",
        "def late():\n    from kerftone.tune import fit",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from kerftone.sound.render import Preview",
        "from ..cli import app",
        "from .. import cli",
        "class Odd:\n    import kerftone.draw.svg as svg",
    ],
)
def test_an_arrow_that_points_up_is_caught_wherever_it_stands(source: str) -> None:
    arrows = spoiled(drum__file=source, cli="", modal="", tune__fit="")
    assert len(upward(arrows)) == 1


@pytest.mark.parametrize(
    "module, source",
    [
        ("sound__render", "from kerftone.ear.strikes import strikes"),
        ("modal__solve", "from kerftone.ear.strikes import strikes"),
        ("ear__strikes", "from kerftone.drum.design import Drum"),
        ("draw__svg", "from kerftone.modal.result import Modes"),
        ("shop__parts", "from kerftone.draw.svg import svg_file"),
        ("tune__fit", "from kerftone.draw.svg import svg_file"),
        ("units", "from kerftone.wood import species"),
        ("draw__svg", "from kerftone.jobs.draw_layout import layout_bytes"),
        ("jobs__draw_layout", "from kerftone.cli.screen import say"),
        ("app__serve", "from kerftone.cli.screen import say"),
    ],
)
def test_rooms_side_by_side_keep_apart(module: str, source: str) -> None:
    assert len(upward(spoiled(**{module: source}))) == 1


def test_what_the_order_allows_is_let_through() -> None:
    arrows = spoiled(
        tune__fit="from kerftone.ear.strikes import strikes\nfrom kerftone.modal.solve import solve",
        draw__svg="from kerftone.shop.parts import parts\nfrom kerftone.units import Units",
        cli__plan="from kerftone.draw.svg import svg_file\nimport kerftone.bench",
    )
    assert upward(arrows) == []


def test_a_circle_is_caught_even_inside_functions() -> None:
    arrows = spoiled(
        drum__one="from kerftone.drum import two",
        drum__two="def late():\n    from kerftone.drum.three import x",
        drum__three="from kerftone.drum.one import y",
    )
    assert cycles(arrows) == [
        "kerftone.drum.one > kerftone.drum.two > kerftone.drum.three > kerftone.drum.one"
    ]


@pytest.mark.parametrize("source", ["import ngsolve as ng", "def f():\n    from netgen.occ import Box"])
def test_the_solver_outside_its_room_is_caught(source: str) -> None:
    assert len(strays(spoiled(tune__fit=source))) == 1
    assert strays(spoiled(modal__solve=source)) == []


def test_the_name_of_a_file_is_in_one_room_only() -> None:
    """So that it says by itself what is in the file."""
    names = [path.name for path in ROOT.rglob("*.py") if path.name != "__init__.py"]
    assert sorted(name for name in set(names) if names.count(name) > 1) == []
