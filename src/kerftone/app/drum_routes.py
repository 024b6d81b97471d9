"""The addresses under which one open drum is asked for, changed and heard."""

from __future__ import annotations

import json
import math
import re
import struct
from typing import Any, get_args
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kerftone.app.desk import Desk
from kerftone.app.open_drum import OpenDrum
from kerftone.app.sent import body_of
from kerftone.app.solver import Task
from kerftone.drum.shop import On
from kerftone.jobs.print_papers import ShopLookRequest, look_at_shop

MALLETS = ("soft-rubber", "hard-rubber", "wood")
MOST_TONGUES = 100
"""A tongue's number above this is refused unseen; no drum file takes so many. Own judgement."""
PAPERS = ("booklet", "pdf", "svg", "dxf", "step", "all")
TYPES = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "png": "image/png",
    "csv": "text/csv; charset=utf-8",
    "zip": "application/zip",
    "wav": "audio/wav",
}


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


async def drum_of(request: Request) -> OpenDrum:
    """The open drum that an address names."""
    return await _desk(request).drum(request.path_params["name"])


async def state(request: Request) -> Response:
    """The drum, if it has changed since the revision that the page has seen; its sound; what is being done."""
    opened = await drum_of(request)
    seen = request.query_params.get("seen", "")
    number = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 12 else None
    return JSONResponse(await run_in_threadpool(_desk(request).state, opened, seen=number))


async def change(request: Request) -> Response:
    """Changes of the drum, as one step."""
    opened, sent = await drum_of(request), await body_of(request)
    await _desk(request).change(opened, sent.get("changes"))
    return await _now(request, opened)


async def _now(request: Request, opened: OpenDrum) -> Response:
    return JSONResponse(await run_in_threadpool(_desk(request).state, opened, seen=None))


async def undo(request: Request) -> Response:
    """One step back."""
    return await _step(request, -1)


async def redo(request: Request) -> Response:
    """One step forth."""
    return await _step(request, 1)


async def _step(request: Request, by: int) -> Response:
    opened = await drum_of(request)
    await _desk(request).step(opened, by)
    return await _now(request, opened)


async def pitch(request: Request) -> Response:
    """What the drum would sound with these lengths, by the tables; nothing is changed. Null where they cannot say."""
    opened = _desk(request).at_hand(request.path_params["name"]) or await drum_of(request)
    sent = await body_of(request)
    if opened.drum is None:
        return JSONResponse({"sound": None})
    lengths = lengths_of(sent.get("lengths_mm"), len(opened.drum.tongues))
    return JSONResponse({"sound": await _desk(request).sound(opened, lengths_mm=lengths)})


def lengths_of(given: Any, tongues: int) -> tuple[float, ...]:
    """A length in mm for each tongue."""
    numbers = isinstance(given, list) and all(
        type(one) in (int, float) and 0 < one < math.inf for one in given
    )
    if not numbers or len(given) != tongues:
        raise HTTPException(400, "The lengths are one for each tongue, in millimetres.")
    return tuple(float(one) for one in given)


async def look(request: Request) -> Response:
    """Have the whole drum solved."""
    opened = await drum_of(request)
    _desk(request).need_lengths(opened)
    return _begun(request, _desk(request).look(opened))


async def lengths(request: Request) -> Response:
    """Have the lengths found."""
    opened = await drum_of(request)
    if opened.drum is None and opened.broken is not None:
        raise opened.broken
    return _begun(request, _desk(request).find_lengths(opened))


def _begun(request: Request, task: Task) -> Response:
    return JSONResponse({"task": _desk(request).document(task)}, status_code=202)


async def strikes(request: Request) -> Response:
    """The sounds of every place: four bytes with the length of a head in JSON, the head, then the samples."""
    opened, sent = await drum_of(request), await body_of(request)
    _desk(request).need_lengths(opened)
    task = await done(request, opened, "strikes", **_struck(sent))
    return _packed(task, opened.revision, "samples")


async def motions(request: Request) -> Response:
    """The drum's surface and how each note moves it, packed as the sounds are."""
    opened = await drum_of(request)
    _desk(request).need_lengths(opened)
    return _packed(await done(request, opened, "motions"), opened.revision, "surface")


def _packed(task: Task, revision: int, data: str) -> Response:
    """Four bytes with the length of a head in JSON, the head, then what is long."""
    head = json.dumps(task.answer["head"] | {"revision": revision}).encode()
    head += b" " * (-len(head) % 4)
    body = struct.pack("<I", len(head)) + head + task.answer[data]
    task.answer = None
    return Response(body, media_type="application/octet-stream")


async def phrase(request: Request) -> Response:
    """What was played, as a WAV file."""
    _, task = await _played(request, "phrase")
    body, task.answer = task.answer["wav"], None
    return _file("phrase.wav", body)


async def recordings(request: Request) -> Response:
    """A phrase in front of the drum and through its pickup; both are then at `paper`."""
    opened, task = await _played(request, "recordings")
    made, task.answer = task.answer, None
    opened.papers |= {f"{name}.wav": sound for name, sound in made.items()}
    address = f"/api/drum/{quote(opened.name, safe='')}/paper"
    shown = {name: f"{address}/{name}.wav?show={task.number}" for name in made}
    return JSONResponse(shown | {"revision": opened.revision})


async def _played(request: Request, kind: str) -> tuple[OpenDrum, Task]:
    """The drum, and the sound of what was played on it with the mallet that was sent."""
    opened, sent = await drum_of(request), await body_of(request)
    _desk(request).need_lengths(opened)
    played = played_of(sent.get("played"), len(opened.drum.tongues) if opened.drum else 0)
    return opened, await done(request, opened, kind, **_struck(sent), played=played)


def _struck(sent: dict[str, Any]) -> dict[str, str]:
    """With which mallet, and what the drum is on: as sent, or as usual."""
    mallet, on = str(sent.get("mallet")), str(sent.get("on"))
    return {
        "mallet": mallet if mallet in MALLETS else MALLETS[1],
        "on": on if on in get_args(On) else "nothing",
    }


def played_of(given: Any, tongues: int = MOST_TONGUES) -> list[list[float]]:
    """The blows: seconds, tongue, speed; 500 at most, within five minutes."""
    if not isinstance(given, list) or len(given) > 500:
        raise HTTPException(400, "A phrase is a list of 500 blows at most.")
    for blow in given:
        good = isinstance(blow, list) and len(blow) == 3 and all(type(x) in (int, float) for x in blow)
        if not good or not 0 <= blow[0] <= 300 or blow[1] not in range(tongues) or not 0.05 <= blow[2] <= 4:
            raise HTTPException(400, "A blow is when, which tongue and how fast, each within its bounds.")
    return [[blow[0], int(blow[1]), blow[2]] for blow in given]


async def wood(request: Request) -> Response:
    """The drum in another wood; its sound is then at `paper`."""
    opened, sent = await drum_of(request), await body_of(request)
    name = str(sent.get("wood", ""))[:100]
    task = await done(request, opened, "wood", wood=name, refit=bool(sent.get("refit")))
    told, sound = task.answer["told"], task.answer["wav"]
    task.answer = None
    file = f"{told['wood']}{' refitted' if sent.get('refit') else ''}.wav"
    opened.papers[file] = sound
    address = f"/api/drum/{quote(opened.name, safe='')}/paper/{quote(file)}?show={opened.revision}"
    return JSONResponse(told | {"sound": address, "revision": opened.revision})


async def woods(request: Request) -> Response:
    """The drum estimated in every wood."""
    opened = await drum_of(request)
    _desk(request).need_lengths(opened)
    task = await done(request, opened, "woods")
    rows, task.answer = task.answer, None
    return JSONResponse({"woods": rows, "revision": opened.revision})


async def shop(request: Request) -> Response:
    """Parts, checks and steps."""
    opened = await drum_of(request)
    if opened.drum is None and opened.broken is not None:
        raise opened.broken
    assert opened.drum is not None
    found = await run_in_threadpool(look_at_shop, ShopLookRequest(drum=opened.drum))
    return JSONResponse(found.document())


async def papers(request: Request) -> Response:
    """Have papers made; their files are then at `paper`."""
    opened, sent = await drum_of(request), await body_of(request)
    _desk(request).need_lengths(opened)
    if sent.get("kind") not in PAPERS:
        raise HTTPException(400, "There are no such papers.")
    task = await done(request, opened, "papers", papers=sent["kind"])
    made = task.answer["files"]
    pages = {f"{sent['kind']}-{at}.png": picture for at, picture in enumerate(task.answer["pages"], start=1)}
    task.answer = None
    opened.papers |= made | pages
    address = f"/api/drum/{quote(opened.name, safe='')}/paper"
    files = [{"name": n, "bytes": len(data), "address": f"{address}/{quote(n)}"} for n, data in made.items()]
    shown = [f"{address}/{name}?show={opened.revision}" for name in pages]
    return JSONResponse({"files": files, "pages": shown, "revision": opened.revision})


async def paper(request: Request) -> Response:
    """One of the papers that were made."""
    opened = await drum_of(request)
    name = request.path_params["file"]
    if name not in opened.papers:
        raise HTTPException(404, "These papers have not been made yet.")
    return _file(name, opened.papers[name], inline="show" in request.query_params)


def _file(name: str, data: bytes, *, inline: bool = False) -> Response:
    plain = re.sub(r"[^A-Za-z0-9 ._-]", "_", name)
    how = "inline" if inline else "attachment"
    kind = TYPES.get(name.rsplit(".", 1)[-1], "application/octet-stream")
    headers = {"content-disposition": f'{how}; filename="{plain}"', "cache-control": "no-store"}
    return Response(data, media_type=kind, headers=headers)


async def done(request: Request, opened: OpenDrum, kind: str, **more: Any) -> Task:
    """A task, waited for to its end. Raises what it was refused for."""
    desk = _desk(request)
    task = desk.solver.do(kind, opened.name, (await desk.wishes(opened)) | more)
    await task.ended.wait()
    if task.state != "done":
        told = desk.document(task)
        message = (told["error"] or {}).get("message", "It was stopped.")
        raise HTTPException(409 if task.state == "stopped" else 422, message)
    return task


DRUM_ROUTES = [
    Route("/api/drum/{name}", state),
    *(
        Route(f"/api/drum/{{name}}/{one.__name__}", one, methods=["POST"])
        for one in (
            change,
            undo,
            redo,
            pitch,
            look,
            lengths,
            strikes,
            motions,
            phrase,
            recordings,
            wood,
            woods,
            papers,
        )
    ),
    Route("/api/drum/{name}/shop", shop),
    Route("/api/drum/{name}/paper/{file}", paper),
]
