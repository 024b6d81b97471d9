"""What lies open: the drums on the page, and what the solver is asked of each.

After every change the tables are asked at once, and when the maker pauses the whole drum is solved again, so that
what the page shows is confirmed without being asked for. Runs in the server's loop; what reads or writes a file is
handed to a thread.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool

from kerftone.app.drum_folders import Shelf
from kerftone.app.drum_view import view_of
from kerftone.app.open_drum import OpenDrum
from kerftone.app.remedies import offer
from kerftone.app.solver import Solver, Task
from kerftone.app.wishes import changes_of, lengths_changes
from kerftone.drum.edit import Change
from kerftone.errors import KerftoneError, NeedsFitError

PAUSE_S = 1.2
"""So long after the last change the whole drum is solved again. Own judgement."""


class Desk:
    """The open drums of one shelf."""

    def __init__(self, shelf: Shelf, solver: Solver) -> None:
        """Nothing is open yet."""
        self.shelf, self.solver = shelf, solver
        self.open: dict[str, OpenDrum] = {}
        self._pauses: dict[str, asyncio.TimerHandle] = {}
        self._seen: dict[str, int] = {}
        self._opening = asyncio.Lock()

    async def drum(self, name: str) -> OpenDrum:
        """The open drum of this name, opened where it was not. Raises NoSuchDrum, DrumFileError."""
        async with self._opening:
            opened = self.open.get(name)
            if opened is None:
                path = await run_in_threadpool(self.shelf.file, name)
                opened = await run_in_threadpool(OpenDrum, path, name)
                self.open[name] = opened
        await run_in_threadpool(opened.look)
        await self._follow(opened)
        return opened

    def at_hand(self, name: str) -> OpenDrum | None:
        """The drum of this name as it was last looked at, for what is asked many times a second."""
        return self.open.get(name)

    async def _follow(self, opened: OpenDrum) -> None:
        """Ask the solver about a text that it has not been asked about."""
        if self._seen.get(opened.name) == opened.revision:
            return
        self._seen[opened.name] = opened.revision
        asyncio.get_running_loop().create_task(self._ask_sound(opened))
        self._plan_look(opened)

    async def sound(
        self, opened: OpenDrum, *, lengths_mm: tuple[float, ...] | None = None, slopes: bool = False
    ) -> dict[str, Any] | None:
        """What the tables say of this drum, with other lengths where they are given; None where they cannot."""
        drum = opened.drum
        if drum is None:
            return None
        asked = drum if lengths_mm is None else drum.with_lengths(lengths_mm)
        wishes = {"key": opened.name, "drum": asked, "slopes": slopes}
        said: dict[str, Any] | None = await self.solver.ask("sound", wishes)
        return said

    async def _ask_sound(self, opened: OpenDrum) -> None:
        revision = opened.revision
        said = await self.sound(opened, slopes=True)
        known = (
            opened.sound is not None and opened.sound["revision"] == revision
        )  # the full solve was quicker
        if said is not None and opened.revision == revision and not known:
            opened.sound = said | {"revision": revision}

    def _plan_look(self, opened: OpenDrum) -> None:
        pause = self._pauses.pop(opened.name, None)
        if pause is not None:
            pause.cancel()
        loop = asyncio.get_running_loop()
        self._pauses[opened.name] = loop.call_later(PAUSE_S, self._look_if_needed, opened)

    def _look_if_needed(self, opened: OpenDrum) -> None:
        said = opened.sound
        if said is not None and said["revision"] == opened.revision and said["by"] == "full solve":
            return
        busy = any(task.open and task.kind == "lengths" for task in self.solver.of(opened.name))
        if opened.drum is not None and fitted(opened) and not busy:
            self.look(opened)

    def look(self, opened: OpenDrum) -> Task:
        """Have the whole drum solved as it is drawn."""
        revision = opened.revision

        def told(task: Task) -> None:
            if opened.revision == revision:
                opened.sound = task.answer | {"revision": revision}

        return self.solver.do("look", opened.name, self._wishes(opened), told)

    def find_lengths(self, opened: OpenDrum) -> Task:
        """Have the lengths found; they are one step of the drum's history."""
        revision = opened.revision

        def told(task: Task) -> None:
            found = task.answer
            drum = opened.drum
            if drum is None or opened.revision != revision:
                task.answer = {
                    "words": ["The drum was changed meanwhile and is left as it is: find the lengths again."]
                }
                return
            before = [tongue.length_mm for tongue in drum.tongues]
            opened.change(lengths_changes(drum, found["tongues"]), "lengths found")
            self._seen[opened.name] = opened.revision
            opened.sound = found["sound"] | {"revision": opened.revision}
            moved = [
                {"note": one["note"], "from_mm": was, "to_mm": one["length_mm"]}
                for one, was in zip(found["tongues"], before, strict=True)
            ]
            offer = found.get("offer")
            task.answer = {"words": found["words"], "moved": moved, "fit": found["fit"], "offer": offer}

        return self.solver.do("lengths", opened.name, self._wishes(opened), told)

    def need_lengths(self, opened: OpenDrum) -> None:
        """Refuse what needs every tongue's length and place."""
        if opened.drum is None or not fitted(opened):
            raise NeedsFitError(
                "Tongues have no length or no place yet. Nothing can be sounded or drawn without."
            )

    async def change(self, opened: OpenDrum, wishes: Any) -> None:
        """Make the page's changes as one step."""
        if opened.drum is None:
            raise opened.broken or KerftoneError("The drum's file cannot be read.")
        changes, what = changes_of(opened.drum, wishes)
        await self.make(opened, changes, what)

    async def make(self, opened: OpenDrum, changes: Sequence[Change], what: str) -> None:
        """Make changes as one step."""
        await run_in_threadpool(opened.change, changes, what)
        await self._follow(opened)

    async def step(self, opened: OpenDrum, by: int) -> None:
        """Undo or redo one step."""
        await run_in_threadpool(opened.step, by)
        await self._follow(opened)

    def state(self, opened: OpenDrum, *, seen: int | None) -> dict[str, Any]:
        """What the page polls: the drum if it has changed since `seen`, its sound, and what is being done."""
        whole = view_of(opened) if seen != opened.revision else {"revision": opened.revision}
        tasks = [self.document(task) for task in self.solver.of(opened.name)[-6:]]
        return whole | {"sound": opened.sound, "tasks": tasks}

    def document(self, task: Task) -> dict[str, Any]:
        """A task as JSON, with its answer where that is plain."""
        told = task.document()
        if task.refusal is not None:
            remedies = [offer(name) for name in task.refusal.get("remedies", ())]
            told["error"] = task.refusal | {"remedies": remedies}
        plain = task.state == "done" and task.kind in ("lengths", "begin")
        return told | ({"answer": task.answer} if plain else {})

    def _wishes(self, opened: OpenDrum) -> dict[str, Any]:
        return {"key": opened.name, "text": opened.text, "path": str(opened.path)}

    async def wishes(self, opened: OpenDrum, **more: Any) -> dict[str, Any]:
        """What the solver needs to know of this drum for any task."""
        return self._wishes(opened) | more

    def close(self) -> None:
        """Write every drum, and end the solver."""
        for pause in self._pauses.values():
            pause.cancel()
        for opened in self.open.values():
            opened.close()
        self.solver.close()


def fitted(opened: OpenDrum) -> bool:
    """Whether every tongue has its place and length."""
    drum = opened.drum
    return drum is not None and all(None not in (t.row, t.side, t.length_mm) for t in drum.tongues)
