"""A page in a real browser: Debian's Chromium, driven by Playwright, against a site in a thread of this process."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import uvicorn

from kerftone.app.drum_folders import Shelf
from kerftone.app.serve import listening_at
from kerftone.app.site import site
from kerftone.app.solver import Solver

SIZES = {"phone": (390, 844), "laptop": (1280, 800), "desk": (1920, 1080)}


@contextmanager
def served(folder: Path, solver: Solver) -> Iterator[str]:
    """The site of this folder on a free port, its numbers worked out by this solver; its address."""
    with listening_at(0) as listening:
        port = listening.getsockname()[1]
        made = site(Shelf.at(folder), hosts=frozenset({f"127.0.0.1:{port}"}), solver=solver)
        server = uvicorn.Server(
            uvicorn.Config(made, log_level="error", lifespan="on", timeout_graceful_shutdown=1)
        )
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        while not server.started:
            time.sleep(0.01)
        try:
            yield f"http://127.0.0.1:{port}"
        finally:
            server.should_exit = True
            thread.join()


@contextmanager
def chromium() -> Iterator[Any]:
    """A browser without a window; sound without a device."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        yield_to = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=[
                "--no-sandbox",
                "--autoplay-policy=no-user-gesture-required",
                "--enable-unsafe-swiftshader",
                "--use-fake-ui-for-media-stream",
                "--use-fake-device-for-media-stream",
            ],
        )
        try:
            yield yield_to
        finally:
            yield_to.close()


@contextmanager
def tab(browser: Any, size: str = "laptop", **options: Any) -> Iterator[Any]:
    """A page that fails the test on any error of its own and on anything it asks of another host."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, **options)
    context.set_default_timeout(20_000)
    page = context.new_page()
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(f"error: {error}"))
    page.on(
        "console", lambda said: troubles.append(f"console: {said.text}") if "Security" in said.text else None
    )
    page.on("request", lambda asked: "127.0.0.1" in asked.url or troubles.append(f"asked of {asked.url}"))
    try:
        yield page
    finally:
        context.close()
    assert troubles == []


def until(wanted: Any, seconds: float = 10.0) -> None:
    """Wait until this holds."""
    deadline = time.monotonic() + seconds
    while not wanted():
        assert time.monotonic() < deadline
        time.sleep(0.03)
