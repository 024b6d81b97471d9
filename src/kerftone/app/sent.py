"""What a page has sent, read into plain values."""

from __future__ import annotations

import json
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request


async def body_of(request: Request) -> dict[str, Any]:
    """What was sent, as a dictionary. Raises HTTPException 400 for anything else."""
    try:
        found = json.loads(await request.body() or b"{}")
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise HTTPException(400, "What was sent is not what this page sends.")
    return found


@asynccontextmanager
async def file_of(request: Request) -> AsyncIterator[Path]:
    """What was sent, written into a file piece by piece as it comes; gone when it has been read."""
    with tempfile.TemporaryDirectory(prefix="kerftone-") as folder:
        path = Path(folder) / "sent"
        with path.open("wb") as file:
            async for piece in request.stream():
                file.write(piece)
        yield path
