"""A small drum that is solved in seconds, and the commands run on it once for all tests that look at them."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from kerftone.cli.app import app
from kerftone.modal.shelf import FOLDER

from ..drums import WREN

WITHOUT_LENGTHS = "\n".join(
    line for line in WREN.splitlines() if line not in ("length = 140.0", "length = 105.0")
)


@dataclass(frozen=True)
class Ran:
    """What a command did: its exit code, what went to stdout and to stderr, and a fault if there was one."""

    code: int
    out: str
    err: str
    fault: BaseException | None

    @property
    def document(self) -> dict[str, Any]:
        """The one JSON document on stdout; anything beside it fails."""
        return dict(json.loads(self.out, parse_constant=_not_finite))


def _not_finite(name: str) -> None:
    raise AssertionError(f"{name} in JSON")


def kerftone(*args: object) -> Ran:
    """Run a command in this process."""
    result = CliRunner().invoke(app, [str(arg) for arg in args])
    fault = None if isinstance(result.exception, SystemExit) else result.exception
    return Ran(result.exit_code, result.stdout, result.stderr, fault)


@pytest.fixture(scope="session")
def run() -> Callable[..., Ran]:
    return kerftone


@pytest.fixture
def wren(tmp_path: Path) -> Path:
    """The drum's file in a folder whose name has a space."""
    return _written(tmp_path / "my drums", WREN)


@pytest.fixture
def unfitted(tmp_path: Path) -> Path:
    """The same without lengths."""
    return _written(tmp_path / "my drums", WITHOUT_LENGTHS)


def _written(folder: Path, text: str) -> Path:
    folder.mkdir()
    file = folder / "drum.toml"
    file.write_text(text)
    return file


@pytest.fixture(scope="session")
def planned_as_it_is(tmp_path_factory: pytest.TempPathFactory) -> tuple[Ran, Path, Path]:
    """`kerftone plan --json` on the small drum with its lengths: what it said, the drum file, the results' folder."""
    place = tmp_path_factory.mktemp("as it is")
    file = _written(place / "my drums", WREN)
    return kerftone("plan", file, "-o", place / "out", "--json"), file, place / "out"


@pytest.fixture
def answered(wren: Path, planned_as_it_is: tuple[Ran, Path, Path]) -> Path:
    """The drum's file with what was solved for that plan beside it, so that the same need not be solved again."""
    kept = planned_as_it_is[1].with_name(FOLDER)
    shutil.copytree(kept, wren.with_name(FOLDER))
    return wren


@pytest.fixture(scope="session")
def planned(
    tmp_path_factory: pytest.TempPathFactory, planned_as_it_is: tuple[Ran, Path, Path]
) -> tuple[Ran, Path, Path]:
    """The same in words, its answers lent: what it said, the drum file, the folder of results."""
    place = tmp_path_factory.mktemp("planned")
    file = _written(place / "my drums", WREN)
    shutil.copytree(planned_as_it_is[1].with_name(FOLDER), file.with_name(FOLDER))
    folder = place / "all of it" / "wren"
    return kerftone("plan", file.parent, "-o", folder), file, folder
