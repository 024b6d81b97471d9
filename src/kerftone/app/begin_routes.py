"""The addresses for beginning a drum, and those of any task: what can be chosen, a scale's notes, the work itself."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kerftone.app.desk import Desk
from kerftone.app.sent import body_of
from kerftone.app.solver import Task
from kerftone.errors import KerftoneError
from kerftone.jobs.compare_wood import known_to_cents
from kerftone.jobs.drum_wishes import read_notes, read_scale
from kerftone.jobs.list_scales import ScalesRequest, list_scales
from kerftone.jobs.list_woods import WoodsRequest, list_woods
from kerftone.pitch import equal_hz, note_number

SENT = ("notes", "scale", "count", "first", "wood", "cut", "mount", "units", "name")
LENGTHS = ("board", "thickness", "tongue_width", "box_height")
BEGINNING = "beginning a drum"
LONGEST = 400
"""Signs of one word that a maker types, more than any list of notes needs; what is longer is cut. Own judgement."""


async def choices(request: Request) -> Response:
    """The woods and the scales."""
    return JSONResponse(await run_in_threadpool(_choices))


def _choices() -> dict[str, Any]:
    listed = list_woods(WoodsRequest())
    told = zip(listed.woods, listed.document()["woods"], strict=True)
    scales = list_scales(ScalesRequest()).document()["scales"]
    return {
        "woods": [
            {
                "name": one["name"],
                "also": one["also_called"],
                "density_kg_m3": one["density_kg_m3"],
                "e_l_gpa": one["e_l_gpa"],
                "plus_minus_cents": round(known_to_cents(wood), 1),
                "moves": one["c_t_per_percent"],
            }
            for wood, one in told
        ],
        "scales": [{"name": one["name"], "also": one["also_called"]} for one in scales],
    }


async def notes(request: Request) -> Response:
    """The notes that were typed, or of the scale that was chosen, each with its pitch."""
    sent = await body_of(request)
    if sent.get("scale"):
        found = read_scale(_word(sent, "scale") or "", count=_word(sent, "count"), first=_word(sent, "first"))
    else:
        found = read_notes(_word(sent, "notes") or "")
    return JSONResponse({"notes": [{"note": note, "hz": equal_hz(note_number(note))} for note in found]})


async def begin(request: Request) -> Response:
    """Have a new drum made."""
    desk: Desk = request.app.state.desk
    if desk.shelf.only is not None:
        raise KerftoneError(
            "This page was opened for one drum. A new one needs a folder for many: open the page without naming "
            "a drum."
        )
    sent = await body_of(request)
    wishes: dict[str, Any] = {key: _word(sent, key) for key in SENT}
    wishes["cut"] = wishes["cut"] or "flatsawn"
    wishes["mount"] = wishes["mount"] or "on walls"
    knots = _word(sent, "knots")
    wishes["lengths"] = {key: _word(sent, key) for key in LENGTHS} | {"knots": (knots,) if knots else ()}
    named = wishes["name"] or wishes["scale"] or wishes["notes"] or "Drum"
    wishes["name"] = wishes["name"] or None
    wishes["folder"] = str(await run_in_threadpool(desk.shelf.free_folder, named))
    task = desk.solver.do("begin", BEGINNING, wishes)
    return JSONResponse({"task": desk.document(task)}, status_code=202)


def _word(sent: dict[str, Any], key: str) -> str | None:
    """A word that was sent; None where it is missing or empty."""
    value = sent.get(key)
    if value is not None and not isinstance(value, str | int | float):
        raise HTTPException(400, "What was sent is not what this page sends.")
    words = "" if value is None else str(value).strip()[:LONGEST]
    return words or None


def _task(request: Request) -> Task:
    desk: Desk = request.app.state.desk
    number = request.path_params["number"]
    task = desk.solver.tasks.get(number)
    if task is None:
        raise HTTPException(404, "That has ended, and is no longer remembered.")
    return task


async def task_state(request: Request) -> Response:
    """How far a task is."""
    desk: Desk = request.app.state.desk
    return JSONResponse({"task": desk.document(_task(request))})


async def task_stop(request: Request) -> Response:
    """Stop a task."""
    desk: Desk = request.app.state.desk
    task = _task(request)
    desk.solver.stop(task)
    return JSONResponse({"task": desk.document(task)})


BEGIN_ROUTES = [
    Route("/api/choices", choices),
    Route("/api/notes", notes, methods=["POST"]),
    Route("/api/begin", begin, methods=["POST"]),
    Route("/api/task/{number:int}", task_state),
    Route("/api/task/{number:int}/stop", task_stop, methods=["POST"]),
]
