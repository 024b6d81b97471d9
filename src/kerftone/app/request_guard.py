"""What is refused before any page is asked: wrong addresses, other sites' requests, bodies too large.

The server listens on the loopback address, but any site open in the same browser can send requests there. So a
request must name this server as its host (421 otherwise: a foreign name that resolves to this address is an attack),
what changes anything must come from this server's own pages (403), and no body is read past its limit, whether its
size is declared or not (413). Every answer carries a strict content policy.
"""

from __future__ import annotations

import json
from collections.abc import MutableMapping
from typing import Any

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY_BYTES = 256_000
"""A drum file is 200 000 bytes at most, and nothing else that a page sends is as long."""
MOST_SOUND_BYTES = 16_000_000
"""A recording of taps: a minute and a half of plain samples, far more of what phones write."""
SOUND_ADDRESS = "/heard"
"""What the address ends in to which a recording is sent."""
READING = ("GET", "HEAD")
POLICY = (
    "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'; object-src 'none'; "
    "require-trusted-types-for 'script'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), payment=(), usb=()",
}


class Guard:
    """The outermost layer of the site."""

    def __init__(self, app: ASGIApp, *, hosts: frozenset[str]) -> None:
        """`hosts`: what a request's Host may be, such as "127.0.0.1:8023"."""
        self.app = app
        self.hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        send = _with_headers(send)
        refused = self._refusal(scope)
        if refused is not None:
            await _refuse(send, *refused)
            return
        await self.app(scope, _limited(receive, most_bytes(scope)), send)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if host not in self.hosts:
            return 421, "This server answers only to its own address on this computer."
        if scope["method"] in READING:
            return None
        if scope["method"] != "POST":
            return 405, "Pages are read, or something is sent to them; nothing else."
        if headers.get("origin") != f"http://{host}":
            return 403, "Only this server's own pages may change anything."
        declared = headers.get("content-length", "0")
        most = most_bytes(scope)
        if not declared.isascii() or not declared.isdigit() or int(declared[:20]) > most:
            return 413, _too_large(most)
        return None


def most_bytes(scope: Scope) -> int:
    """How long a body sent to this address may be."""
    return MOST_SOUND_BYTES if str(scope["path"]).endswith(SOUND_ADDRESS) else MOST_BODY_BYTES


def _too_large(most: int) -> str:
    return f"That is longer than the {most} bytes that are read at most."


def _limited(receive: Receive, most: int) -> Receive:
    """The same, ending where a body grows past the limit, whatever was declared."""
    read = 0

    async def counted() -> Message:
        nonlocal read
        message = await receive()
        if message["type"] == "http.request":
            read += len(message.get("body", b""))
            if read > most:
                raise HTTPException(413, _too_large(most), headers={"connection": "close"})
        return message

    return counted


def _with_headers(send: Send) -> Send:
    async def sent(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message.get("headers", [])}
            added = [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in own]
            message["headers"] = [*message.get("headers", []), *added]
        await send(message)

    return sent


async def _refuse(send: Send, status: int, words: str) -> None:
    body = json.dumps({"error": {"message": words}}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    headers.append((b"connection", b"close"))  # what is left of a body is not read
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
