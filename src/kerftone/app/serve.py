"""Serving the page: on this computer's own address, until Ctrl-C.

The only way in from the command line. Listens on 127.0.0.1, on a free port unless one is named, opens the browser,
and ends within a second of Ctrl-C: the drums are written, the solving process is gone.
"""

from __future__ import annotations

import asyncio
import contextlib
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import uvicorn

from kerftone.app.drum_folders import Shelf
from kerftone.app.site import site
from kerftone.errors import KerftoneError
from kerftone.jobs.paths import make_folder

ADDRESS = "127.0.0.1"
USUAL_FOLDER = "Kerftone"


@dataclass(frozen=True, kw_only=True)
class ServeRequest:
    """Which folder (None: Kerftone in the maker's home), which port (0: a free one), whether to open the browser."""

    folder: Path | None = None
    port: int = 0
    browser: bool = True


def serve(request: ServeRequest, tell: Callable[[str], None]) -> None:
    """Serve the page until Ctrl-C. `tell` is given the page's address. Raises WriteError, KerftoneError."""
    folder = Path.home() / USUAL_FOLDER if request.folder is None else request.folder
    if folder.name == "drum.toml" and folder.is_file():
        folder = folder.parent
    make_folder(folder)
    shelf = Shelf.at(folder)
    listening = listening_at(request.port)
    port = listening.getsockname()[1]
    hosts = frozenset({f"{ADDRESS}:{port}", f"localhost:{port}"})
    where = f"http://{ADDRESS}:{port}/" + ("" if shelf.only is None else f"drum/{quote(shelf.only, safe='')}")
    server = uvicorn.Server(
        uvicorn.Config(
            site(shelf, hosts=hosts),
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=1,
            timeout_keep_alive=30,
            lifespan="on",
        )
    )
    tell(where)
    if request.browser:
        threading.Thread(target=webbrowser.open, args=(where,), daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):  # uvicorn raises it again once all is closed
        asyncio.run(server.serve(sockets=[listening]))


def listening_at(port: int) -> socket.socket:
    """A socket on this computer's own address."""
    # The protocol is named, for only then asyncio sends small answers at once: else one in pieces waits 40 ms.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((ADDRESS, port))
        listening.listen()  # whoever comes before the server is ready waits for it
    except OSError as error:
        listening.close()
        raise KerftoneError(
            f"Port {port} cannot be listened on: {error.strerror}. Ports are free or taken: leave the port out to "
            "have a free one chosen.",
            given=port,
        ) from error
    return listening
