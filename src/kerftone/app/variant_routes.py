"""The addresses for a drum's variants, and for hearing it as something else: a variant, in another wood, thinner."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kerftone.app.drum_routes import MALLETS, done, drum_of, played_of
from kerftone.app.measured_boards import Boards
from kerftone.app.open_drum import OpenDrum
from kerftone.app.sent import body_of
from kerftone.app.variants import Variants, differences
from kerftone.app.wishes import changes_of
from kerftone.drum.board_file import read_board
from kerftone.drum.edit import edited
from kerftone.errors import KerftoneError
from kerftone.units import Units, parse_length


async def variants(request: Request) -> Response:
    """The variants there are, and in what each differs from the drum."""
    opened = await drum_of(request)
    return JSONResponse({"variants": await run_in_threadpool(_listed, opened)})


def _listed(opened: OpenDrum) -> list[dict[str, Any]]:
    kept = Variants(opened.path)
    listed: list[dict[str, Any]] = []
    for name in kept.names():
        try:
            variant = kept.get(name)
            told = [] if opened.drum is None else differences(variant.drum, opened.drum)
            same = variant.text == opened.text
            listed.append({"name": name, "differs": told, "same": same, "notes": len(variant.drum.tongues)})
        except KerftoneError as error:
            listed.append({"name": name, "trouble": str(error), "differs": [], "same": False})
    return listed


async def variant(request: Request) -> Response:
    """Keep the drum as a variant, take one in its place, drop one."""
    opened, sent = await drum_of(request), await body_of(request)
    answer = await run_in_threadpool(
        _do, opened, str(sent.get("do")), str(sent.get("name", "")), sent.get("text")
    )
    return JSONResponse(answer | {"variants": await run_in_threadpool(_listed, opened)})


def _do(opened: OpenDrum, what: str, name: str, text: Any) -> dict[str, Any]:
    kept = Variants(opened.path)
    if what == "keep":
        return {"kept": kept.keep(name, text if isinstance(text, str) else opened.text).name}
    if what == "take":
        opened.put(kept.get(name).text, f"variant {name} taken")
        return {"taken": name}
    if what == "drop":
        gone = kept.drop(name)
        return {"dropped": gone.name, "text": gone.text}
    raise HTTPException(400, "A variant is kept, taken or dropped.")


async def other(request: Request) -> Response:
    """The drum, or a variant of it, with another top or as it is: its numbers, and the phrase on it as a sound."""
    opened, sent = await drum_of(request), await body_of(request)
    if opened.drum is None and opened.broken is not None:
        raise opened.broken
    assert opened.drum is not None
    name = sent.get("variant")
    text, path, tongues = opened.text, str(opened.path), len(opened.drum.tongues)
    if isinstance(name, str) and name:
        kept = await run_in_threadpool(Variants(opened.path).get, name)
        text, path, tongues = kept.text, str(kept.path), len(kept.drum.tongues)
    if sent.get("board"):
        text = await run_in_threadpool(_with_board, request, opened, str(sent["board"]))
    wood = str(sent["wood"])[:100] if sent.get("wood") else None
    wishes = {
        "text": text,
        "path": path,
        "wood": wood,
        "thickness_mm": _thickness(sent),
        "refit": bool(sent.get("refit")),
        "mallet": sent.get("mallet") if sent.get("mallet") in MALLETS else MALLETS[1],
        "played": [blow for blow in played_of(sent.get("played") or []) if blow[1] < tongues],
    }
    task = await done(request, opened, "other", **wishes)
    told, sound = task.answer["told"], task.answer["wav"]
    task.answer = None
    file = f"compared {sum(1 for one in opened.papers if one.startswith('compared ')) % MOST_KEPT}.wav"
    opened.papers[file] = sound
    address = f"/api/drum/{quote(opened.name, safe='')}/paper/{quote(file)}?show={opened.revision}"
    return JSONResponse(told | {"sound": address, "revision": opened.revision})


def _with_board(request: Request, opened: OpenDrum, name: str) -> str:
    """The drum's text with its top from a measured board."""
    kept = Boards(request.app.state.desk.shelf, opened.path)
    file, cut = kept.from_drum(name), read_board(kept.file(name)).cut
    assert opened.drum is not None
    changes, _ = changes_of(opened.drum, [{"do": "board", "file": file, "cut": cut}])
    return edited(opened.text, changes)


MOST_KEPT = 12
"""So many compared sounds are held for a drum, a few megabytes each at most."""


def _thickness(sent: dict[str, Any]) -> float | None:
    """The thickness that was typed, in mm."""
    typed = sent.get("thickness")
    if typed is None or not str(typed).strip():
        return None
    unit: Units = "in" if sent.get("unit") == "in" else "mm"
    return parse_length(str(typed)[:40].replace(",", "."), unit)


VARIANT_ROUTES = [
    Route("/api/drum/{name}/variants", variants),
    Route("/api/drum/{name}/variant", variant, methods=["POST"]),
    Route("/api/drum/{name}/other", other, methods=["POST"]),
]
