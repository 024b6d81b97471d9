"""The addresses for measured boards: listed, made, tapped, fitted, and the drum heard in one."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kerftone.app.desk import Desk
from kerftone.app.drum_routes import done, drum_of
from kerftone.app.measured_boards import MOTIONS, Boards
from kerftone.app.open_drum import OpenDrum
from kerftone.app.sent import body_of, file_of
from kerftone.draw.hold import hold_svg
from kerftone.drum.board_file import read_board


def _boards(request: Request, opened: OpenDrum) -> Boards:
    desk: Desk = request.app.state.desk
    return Boards(desk.shelf, opened.path)


async def boards(request: Request) -> Response:
    """The boards there are."""
    opened = await drum_of(request)
    found = await run_in_threadpool(_boards(request, opened).listed)
    return JSONResponse({"boards": found, "used": None if opened.drum is None else opened.drum.top.board})


async def board(request: Request) -> Response:
    """A new board, or tones of one; its constants are then found anew."""
    opened, sent = await drum_of(request), await body_of(request)
    kept, what = _boards(request, opened), sent.get("do")
    if what == "new":
        name = await run_in_threadpool(kept.new, sent)
    elif what == "tap":
        name = str(sent.get("name", ""))
        await run_in_threadpool(kept.tap, name, sent)
        await done(request, opened, "board", file=str(kept.file(name)))
        await run_in_threadpool(opened.read_again)
    else:
        raise HTTPException(400, "A board is made or tapped.")
    return JSONResponse({"name": name, "boards": await run_in_threadpool(kept.listed)})


async def heard(request: Request) -> Response:
    """A recording of taps of a board: its tones are kept, and the constants found anew."""
    opened = await drum_of(request)
    kept, name = _boards(request, opened), request.path_params["board"]
    motion = request.query_params.get("motion")
    async with file_of(request) as recording:
        wishes = {"file": str(kept.file(name)), "recording": str(recording)}
        await done(request, opened, "board", **wishes, motion=motion if motion in MOTIONS else "unknown")
    await run_in_threadpool(opened.read_again)
    return JSONResponse({"name": name, "boards": await run_in_threadpool(kept.listed)})


async def hold(request: Request) -> Response:
    """A drawing of where to hold a board and where to tap it."""
    opened = await drum_of(request)
    motion: Any = request.path_params["motion"]
    if motion not in MOTIONS:
        raise HTTPException(404, "There is no such motion.")
    file = _boards(request, opened).file(request.path_params["board"])
    found = await run_in_threadpool(read_board, file)
    drawn = hold_svg(found.length_mm, found.width_mm, motion)
    return Response(drawn, media_type="image/svg+xml", headers={"cache-control": "no-store"})


BOARD_ROUTES = [
    Route("/api/drum/{name}/boards", boards),
    Route("/api/drum/{name}/board", board, methods=["POST"]),
    Route("/api/drum/{name}/board/{board}/heard", heard, methods=["POST"]),
    Route("/api/drum/{name}/hold/{board}/{motion}", hold),
]
