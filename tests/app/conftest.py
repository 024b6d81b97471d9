"""A site over a folder of drums, with the solving process's work stubbed at its edge."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kerftone.app.drum_folders import Shelf
from kerftone.app.site import site
from kerftone.app.solver import Solver

from ..drums import REED, WREN
from .browsing import chromium, served

HOST = "127.0.0.1:9"
STUB = "tests.app.stub_tasks"


class Forked(Solver):
    """A solving process that is split off from one in which all it needs is loaded, for nearly every test here starts
    one. The tests of the solver and that of the whole page start it as the program does."""

    STARTING = multiprocessing.get_context("forkserver" if os.name == "posix" else "spawn")

    def start(self) -> None:
        """Load once, in the process that the others are split off from."""
        multiprocessing.set_forkserver_preload([STUB, "kerftone.app.worker"])
        super().start()


@pytest.fixture
def drums(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with two drums in it."""
    monkeypatch.syspath_prepend(str(Path(__file__).parents[2]))
    root = tmp_path / "my drums"
    for name, text in (("Wren", WREN), ("Reed 2", REED)):
        (root / name).mkdir(parents=True)
        (root / name / "drum.toml").write_text(text, "utf-8")
    return root


@pytest.fixture
def client(drums: Path) -> Iterator[TestClient]:
    """A browser's requests to the site, from its own pages."""
    made = site(Shelf.at(drums), hosts=frozenset({HOST}), solver=Forked(STUB))
    headers = {"origin": f"http://{HOST}"}
    with TestClient(made, base_url=f"http://{HOST}", headers=headers) as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Debian's Chromium, for the tests of one file: its driver keeps an event loop running while it is open."""
    pytest.importorskip("playwright", reason="playwright is not installed (pip install playwright)")
    with chromium() as one:
        yield one


@pytest.fixture
def address(drums: Path) -> Iterator[str]:
    """The site with the solving process stubbed, for a browser."""
    with served(drums, Forked(STUB)) as one:
        yield one
