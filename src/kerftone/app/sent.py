"""What a page has sent, read into plain values."""

from __future__ import annotations

import json
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
