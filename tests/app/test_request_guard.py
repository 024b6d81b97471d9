"""What is refused before any page is asked. Requests are made as an attacker or a slip would make them."""

from __future__ import annotations

import asyncio
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kerftone.app.request_guard import MOST_BODY_BYTES, Guard

from .conftest import HOST

CHANGE = {"changes": [{"do": "set", "at": ["top", "thickness"], "mm": 13.0}]}
ADDRESS = "/api/drum/Wren/change"


@pytest.mark.parametrize("host", ["evil.example", f"evil.example:{HOST[-1]}", "127.0.0.1", "127.0.0.1:8", ""])
def test_a_foreign_host_is_told_that_this_is_not_its_server(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 421
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:10", f"https://{HOST}", ""]
)
def test_nothing_is_changed_from_a_foreign_page(client: TestClient, drums: Path, origin: str) -> None:
    before = (drums / "Wren" / "drum.toml").read_bytes()
    answer = client.post(ADDRESS, json=CHANGE, headers={"origin": origin})
    assert answer.status_code == 403
    assert client.get("/api/drum/Wren").json()["undo"] is None
    assert (drums / "Wren" / "drum.toml").read_bytes() == before


def test_a_request_that_says_no_origin_at_all_changes_nothing(client: TestClient) -> None:
    del client.headers["origin"]
    assert client.post(ADDRESS, json=CHANGE).status_code == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS"])
def test_no_other_way_of_asking_is_taken(client: TestClient, method: str) -> None:
    assert client.request(method, "/").status_code == 405


def test_a_body_declared_too_large_is_not_read(client: TestClient) -> None:
    assert client.post(ADDRESS, content=b"x" * (MOST_BODY_BYTES + 1)).status_code == 413
    assert client.post(ADDRESS, content=b"x", headers={"content-length": "-5"}).status_code == 413


def test_a_body_that_grows_too_large_without_saying_so_is_cut_off(client: TestClient) -> None:
    sent = 0

    def pieces() -> Iterator[bytes]:
        nonlocal sent
        for _ in range(40):
            sent += 1
            yield b" " * 10_000

    assert client.post(ADDRESS, content=pieces()).status_code == 413
    assert client.post(ADDRESS, json=CHANGE).status_code == 200


def test_memory_stays_flat_while_a_body_without_end_comes_in() -> None:
    """A hundred megabytes in pieces: the guard lets through no more than its limit."""
    taken = 0

    async def app(scope: Any, receive: Any, send: Any) -> None:
        nonlocal taken
        while True:
            message = await receive()
            taken += len(message["body"])

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"x" * 65_536, "more_body": True}

    async def send(message: Any) -> None:
        pass

    headers = [(b"host", HOST.encode()), (b"origin", f"http://{HOST}".encode())]
    scope = {"type": "http", "method": "POST", "path": "/", "headers": headers}
    tracemalloc.start()
    with pytest.raises(Exception, match="413"):
        asyncio.run(Guard(app, hosts=frozenset({HOST}))(scope, receive, send))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert taken <= MOST_BODY_BYTES
    assert peak < 4_000_000


def test_every_answer_forbids_code_that_is_not_the_pages_own(client: TestClient) -> None:
    for address in ("/", "/begin", "/drum/Wren", "/api/drum/Wren", "/static/bench.css", "/no such page"):
        policy = client.get(address).headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy


def test_the_pages_have_no_code_and_no_style_in_them(client: TestClient) -> None:
    for address in ("/", "/begin", "/drum/Wren"):
        page = client.get(address).text
        assert "<script>" not in page and "<style" not in page
        assert "style=" not in page and "onclick=" not in page
        assert "http://" not in page.replace("http://www.w3.org", "") and "https://" not in page
