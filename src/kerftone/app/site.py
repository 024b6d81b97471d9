"""The site: every address, and what is answered there.

Plain pages for the list of drums and for beginning one; one page for a drum, whose parts the browser draws from what
it polls. What changes anything is sent by POST as JSON. A refusal is JSON too, with its remedies worded for a page.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.templating import Jinja2Templates

from kerftone.app.begin_routes import BEGIN_ROUTES
from kerftone.app.board_routes import BOARD_ROUTES
from kerftone.app.desk import Desk
from kerftone.app.drum_folders import NoSuchDrum, Shelf
from kerftone.app.drum_routes import DRUM_ROUTES
from kerftone.app.remedies import refusal_of
from kerftone.app.request_guard import Guard
from kerftone.app.solver import Solver
from kerftone.app.variant_routes import VARIANT_ROUTES
from kerftone.drum.file import read_drum
from kerftone.errors import KerftoneError

HERE = Path(__file__).parent


async def drums(request: Request) -> Response:
    """The drums there are."""
    desk: Desk = request.app.state.desk
    if desk.shelf.only is not None:
        return RedirectResponse(f"/drum/{quote(desk.shelf.only, safe='')}")
    cards = await run_in_threadpool(_cards, desk.shelf)
    return _page(request, "drums.html", {"cards": cards, "folder": _told(desk.shelf.root)})


def _told(folder: Path) -> str:
    """A folder as its owner calls it: from their home on."""
    with suppress(ValueError, RuntimeError):
        return str(Path("~") / folder.relative_to(Path.home()))
    return str(folder)


def _cards(shelf: Shelf) -> list[dict[str, Any]]:
    cards = []
    for name in shelf.names():
        card: dict[str, Any] = {"name": name, "address": f"/drum/{quote(name, safe='')}"}
        try:
            drum = read_drum(shelf.file(name))
            card |= {
                "title": drum.name,
                "notes": " ".join(tongue.note for tongue in drum.tongues),
                "wood": drum.top.wood,
            }
        except KerftoneError as error:
            card |= {"title": name, "trouble": str(error)}
        cards.append(card)
    return cards


async def begin_page(request: Request) -> Response:
    """Beginning a drum."""
    desk: Desk = request.app.state.desk
    return _page(request, "begin.html", {"folder": _told(desk.shelf.root), "only": desk.shelf.only})


async def drum_page(request: Request) -> Response:
    """One drum: a page that the browser fills."""
    desk: Desk = request.app.state.desk
    name = request.path_params["name"]
    await run_in_threadpool(desk.shelf.file, name)
    address = f"/api/drum/{quote(name, safe='')}"
    return _page(
        request, "drum.html", {"name": name, "address": address, "alone": desk.shelf.only is not None}
    )


def _page(request: Request, template: str, context: dict[str, Any]) -> Response:
    templates: Jinja2Templates = request.app.state.templates
    return templates.TemplateResponse(request, template, context)


async def refused(request: Request, error: Exception) -> Response:
    """A refusal: as JSON, or as a page where a page was asked for."""
    assert isinstance(error, KerftoneError)
    status = 404 if isinstance(error, NoSuchDrum) else 422
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": refusal_of(error)}, status_code=status)
    page = _page(request, "trouble.html", {"words": str(error)})
    page.status_code = status
    return page


async def strayed(request: Request, error: Exception) -> Response:
    """An address that there is not, or a request that cannot be taken."""
    assert isinstance(error, HTTPException)
    headers = dict(error.headers or {})
    if request.url.path.startswith("/api/") or error.status_code == 413:
        body = {"error": {"message": str(error.detail)}}
        return JSONResponse(body, status_code=error.status_code, headers=headers)
    words = "There is no such page here." if error.status_code == 404 else str(error.detail)
    page = _page(request, "trouble.html", {"words": words})
    page.status_code = error.status_code
    return page


class Parts(StaticFiles):
    """The page's own files: always asked for anew, for a newer program may have come in between."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        """The file, to be checked at every use."""
        answer = super().file_response(*args, **kwargs)
        answer.headers["cache-control"] = "no-cache"
        return answer


def site(shelf: Shelf, *, hosts: frozenset[str], solver: Solver | None = None) -> Guard:
    """The whole site for the drums of this shelf; the guard stands before it."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        worker = solver or Solver()
        worker.start()
        app.state.desk = Desk(shelf, worker)
        try:
            yield
        finally:
            app.state.desk.close()

    app = Starlette(
        routes=[
            Route("/", drums),
            Route("/begin", begin_page),
            Route("/drum/{name}", drum_page),
            *BEGIN_ROUTES,
            *DRUM_ROUTES,
            *BOARD_ROUTES,
            *VARIANT_ROUTES,
            Mount("/static", Parts(directory=HERE / "static"), name="static"),
        ],
        exception_handlers={KerftoneError: refused, HTTPException: strayed},
        lifespan=life,
    )
    app.state.templates = Jinja2Templates(directory=HERE / "templates")
    return Guard(app, hosts=hosts)
