"""What does the drum sound with these lengths, at once, while a tongue is being dragged?

The whole drum is solved once (`look_at_drum`); its frame and the tables of its tongues then answer for any lengths
and any exchange of places in some milliseconds (`sound_of`). Each note is moved by what the full solve
said otherwise than the tables, so that at the lengths that were solved both agree. Lengths in mm, pitches in Hz.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from kerftone.drum.design import Drum, Side
from kerftone.drum.shop import On
from kerftone.jobs.air_asked import AirAsked
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.progress import Progress, job
from kerftone.pitch import cents, sharpened

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

    from kerftone.modal.search import SearchModel
    from kerftone.modal.solve import Solution

FAR_CENTS = 60.0
"""Tables and full solve further apart than this have two different motions for the note: own judgement."""
NUDGE = 0.004
"""By how much of its length a tongue is changed to see how the notes follow."""


@dataclass(frozen=True, kw_only=True)
class LookRequest:
    """A drum with all places and lengths, and what was known of it before, if anything."""

    drum: Drum
    before: LiveModel | None = None


@dataclass(frozen=True, kw_only=True)
class LiveModel:
    """A drum's full solve, and the tables that answer for other lengths.

    shift_cents (t,): what the full solve sounds above the tables, for each tongue.
    """

    drum: Drum
    prediction: Prediction
    tables: SearchModel
    shift_cents: tuple[float, ...]

    @property
    def solution(self) -> Solution:
        """The whole drum, solved."""
        return _live(self.prediction)

    @cached_property
    def slopes(self) -> tuple[tuple[float, ...], ...]:
        """How each note follows each length, by the tables: see LiveSound."""
        rows = sound_of(self, self.drum, slopes=True).slopes
        assert rows is not None
        return rows

    def document(self) -> dict[str, Any]:
        """The notes as the full solve has them, as JSON; the slopes are the tables'."""
        notes = [one.heard for one in self.prediction.tongues]
        return {
            "by": "full solve",
            "hz": [round(note.hz, 4) for note in notes],
            "clarity": [round(note.clarity, 3) for note in notes],
            "shared_with": [list(note.shared_with) for note in notes],
            "plus_minus_cents": [round(one.plus_minus_cents, 1) for one in self.prediction.tongues],
            "slopes": _rounded(self.slopes),
        }


@dataclass(frozen=True, kw_only=True)
class LiveSound:
    """What each tongue sounds by the tables. slopes (t, t): cents that a note (row) moves when the
    natural logarithm of a length (column) grows by one; None where they were not asked for."""

    hz: tuple[float, ...]
    clarity: tuple[float, ...]
    shared_with: tuple[tuple[str, ...], ...]
    slopes: tuple[tuple[float, ...], ...] | None = None

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "by": "tables",
            "hz": [round(hz, 4) for hz in self.hz],
            "clarity": [round(one, 3) for one in self.clarity],
            "shared_with": [list(one) for one in self.shared_with],
            "slopes": None if self.slopes is None else _rounded(self.slopes),
        }


def _rounded(slopes: tuple[tuple[float, ...], ...]) -> list[list[float]]:
    return [[round(one, 2) for one in row] for row in slopes]


def frame_name(drum: Drum) -> str:
    """A text that is the same for drums whose tables serve each other: all but the lengths and who stands where.

    The rest of a row with one tongue belongs to the frame, so there the length counts too.
    """
    rows = [tongue.row for tongue in drum.tongues]
    alone = [replace(t, note="") for t in drum.tongues if rows.count(t.row) == 1]
    places = sorted((t.row or 0, t.side or "", repr(drum.end_of(t))) for t in drum.tongues)
    parts = (drum.top, drum.slots, drum.box, drum.bottom, drum.bores)
    marks = sorted((t.lengthened_mm, t.weight_g) for t in drum.tongues)
    return f"{parts!r} {places} {alone} {marks}"


@job
def look_at_drum(request: LookRequest, progress: Progress) -> LiveModel:
    """Solve a drum as drawn and make its tables, those it had before where its frame is the same.

    Raises OutlineError (or NeedsFitError) and KerftoneError.
    """
    from kerftone.modal.search import search_model
    from kerftone.tune.before_search import aims_hz, reach_mm

    drum, before = request.drum, request.before
    progress("Solving the whole drum as it is drawn.", 0.05)
    prediction = predict(drum)
    if before is not None and frame_name(before.drum) == frame_name(drum):
        tables = before.tables
    else:
        progress("Making the tables that answer while you drag.", 0.6)
        low, high = reach_mm(drum, aims_hz(drum))
        lengths = [tongue.length_mm or low for tongue in drum.tongues]
        tables = search_model(_live(prediction), (min(low, *lengths), max(high, *lengths)))
    progress("Comparing both.", 0.95)
    return with_tables(drum, prediction, tables)


def standing_on(live: LiveModel, on: On, progress: Progress) -> LiveModel:
    """The same drum on its feet, a table or a lap, solved anew; its tables stay those of the drum on nothing.

    Raises AirError for feet that there are not.

    Parameters
    ----------
    live : LiveModel
        Of the drum on nothing.
    on : On
        What it is on.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    progress("Solving the drum as it stands.", 0.1)
    return replace(live, prediction=predict(live.drum, air=AirAsked(on=on)))


def _live(prediction: Prediction) -> Solution:
    """The solved model of a prediction that was not kept from an earlier solve."""
    assert prediction.live is not None, "predicted without a shelf"
    return prediction.live


def with_tables(drum: Drum, prediction: Prediction, tables: SearchModel) -> LiveModel:
    """A full solve and tables of the same frame, put together.

    Parameters
    ----------
    drum : Drum
        As it is now.
    prediction : Prediction
        Of a full solve of it.
    tables : SearchModel
        Of the tongues on the same frame.
    """
    plain = LiveModel(drum=drum, prediction=prediction, tables=tables, shift_cents=(0.0,) * len(drum.tongues))
    parts = sound_of(plain, drum)
    apart = [cents(one.heard.hz, hz) for one, hz in zip(prediction.tongues, parts.hz, strict=True)]
    return replace(plain, shift_cents=tuple(0.0 if abs(one) > FAR_CENTS else one for one in apart))


def serves(model: LiveModel, drum: Drum) -> bool:
    """Whether this model's tables can answer for that drum."""
    if frame_name(model.drum) != frame_name(drum):
        return False
    reaches = [model.tables.reach_mm(place) for place in _places(drum)]
    lengths = [tongue.length_mm or 0.0 for tongue in drum.tongues]
    return all(low <= mm <= high for (low, high), mm in zip(reaches, lengths, strict=True))


def sound_of(model: LiveModel, drum: Drum, *, slopes: bool = False) -> LiveSound:
    """What this drum sounds by the tables of `model`, which must serve it.

    Parameters
    ----------
    model : LiveModel
        A full solve and the tables.
    drum : Drum
        As it is now, on the same frame.
    slopes : bool, optional
        Whether to tell too how each pitch moves with each length.
    """
    from kerftone.modal.notes import HEARD_TO, read_notes

    places, lengths = _places(drum), [tongue.length_mm or 0.0 for tongue in drum.tongues]
    top_hz = HEARD_TO * max(drum.targets_hz)
    with _algebra().limit(limits=1):  # threads that wait for each other would cost more than they bring
        notes = read_notes(drum, model.tables.read(model.tables.fitted(places, lengths), top_hz))
        hz = [note.hz for note in notes]
        rows = _slopes(model, places, lengths, top_hz) if slopes else None
    return LiveSound(
        hz=tuple(sharpened(one, shift) for one, shift in zip(hz, model.shift_cents, strict=True)),
        clarity=tuple(note.clarity for note in notes),
        shared_with=tuple(note.shared_with for note in notes),
        slopes=rows,
    )


@lru_cache(maxsize=1)
def _algebra() -> ThreadpoolController:
    """The libraries of linear algebra in this process: to find them anew takes longer than what they are asked."""
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def _slopes(
    model: LiveModel, places: list[tuple[int, Side]], lengths: Sequence[float], top_hz: float
) -> tuple[tuple[float, ...], ...]:
    from kerftone.modal.notes import notes_moved

    tables = model.tables
    still = tables.read(tables.fitted(places, lengths), top_hz)
    columns = []
    for number in range(len(lengths)):
        _, high = tables.reach_mm(places[number])
        step = NUDGE if lengths[number] * (1.0 + NUDGE) <= high else -NUDGE
        moved = [mm * (1.0 + step) if at == number else mm for at, mm in enumerate(lengths)]
        after = tables.read(tables.fitted(places, moved), top_hz)
        columns.append([float(one) / step for one in notes_moved(still, after)])
    return tuple(zip(*columns, strict=True))


def _places(drum: Drum) -> list[tuple[int, Side]]:
    return [(t.row, t.side) for t in drum.tongues if t.row is not None and t.side is not None]
