"""What the solving process can do: each a job of `kerftone.jobs`, with plain values in and out.

`DONE` are long, with progress; a drum comes as its text, so that the process never reads a file that the page is
about to write. `ASKED` are answered in milliseconds from the models that are held; a drum comes as the server has
read it, for reading it again would take longer than the answer.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from kerftone.app.offers import offer_of
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.save import stated_mm
from kerftone.errors import KerftoneError, NeedsFitError, Remedy
from kerftone.jobs.drum_wishes import LengthsTyped
from kerftone.jobs.live_pitch import LiveModel, LookRequest, look_at_drum, serves, sound_of, standing_on
from kerftone.jobs.progress import Progress
from kerftone.pitch import equal_hz, note_number
from kerftone.tune.instead import Asked, WorksInstead
from kerftone.tune.reach import OutOfReach

MOST_HELD = 3
"""How many drums' models are held: some 200 MB each."""
_held: OrderedDict[str, LiveModel] = OrderedDict()


class Offering(KerftoneError):
    """A refusal with what the page can do about it at one press: `offer`, changes as the page sends them."""

    def __init__(self, error: KerftoneError, offer: list[dict[str, Any]] | None) -> None:
        """The refusal's own words and numbers."""
        super().__init__(
            str(error), given=error.given, limit=error.limit, nearest=error.nearest, remedy=error.remedies
        )
        self.offer = offer


def warm() -> None:
    """Load what the first question would wait for."""
    import kerftone.modal.search
    import kerftone.tune.fit  # noqa: F401


def _hold(key: str, live: LiveModel) -> None:
    _held[key] = live
    _held.move_to_end(key)
    while len(_held) > MOST_HELD:
        _held.popitem(last=False)


def _drum(wishes: dict[str, Any]) -> Drum:
    return parse_drum(wishes["text"], wishes["path"])


def look(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Solve the drum as drawn."""
    drum = _drum(wishes)
    live = look_at_drum(LookRequest(drum=drum, before=_held.get(wishes["key"])), progress)
    _hold(wishes["key"], live)
    return live.document()


def lengths(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Find lengths, and places that are free."""
    from kerftone.jobs.suggest_lengths import SuggestRequest, suggest_lengths

    drum = _drum(wishes)

    def offer(works_with: Drum | None) -> list[dict[str, Any]] | None:
        return None if works_with is None else offer_of(drum, wishes["text"], wishes["path"], works_with)

    try:
        found = suggest_lengths(SuggestRequest(drum=drum), progress)
    except OutOfReach as error:
        raise Offering(error, offer(error.works_with)) from error
    # The file states lengths to a hundredth of a millimetre: the drum it will then hold is the one that was solved.
    units, tongues = found.live.drum.units, found.live.drum.tongues
    stated = tuple(stated_mm(tongue.length_mm or 0.0, units) for tongue in tongues)
    live = replace(found.live, drum=found.live.drum.with_lengths(stated))
    _hold(wishes["key"], live)
    return found.document() | {"sound": live.document(), "offer": offer(found.works_with)}


def begin_new(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Make a new drum and find its lengths."""
    from kerftone.jobs.begin_drum import NewDrumRequest, begin_drum
    from kerftone.jobs.find_lengths import LengthsRequest, find_lengths

    folder = Path(wishes.pop("folder"))
    request = NewDrumRequest(where=folder, lengths=LengthsTyped(**wishes.pop("lengths")), **wishes)
    try:
        begun = begin_drum(request, progress)
    except WorksInstead as error:
        raise Offering(error, [_instead(words, asked) for words, asked in error.works]) from error
    answer = {"drum": folder.name, "remarks": list(begun.remarks)}
    try:
        find_lengths(LengthsRequest(drum=begun.written), progress)
    except KerftoneError as error:
        return answer | {"without_lengths": str(error)}
    return answer


def _instead(words: str, asked: Asked) -> dict[str, Any]:
    """What could be asked for in place of what does not fit, as the page would ask for it."""
    board, thick = asked.wishes.board_mm, asked.wishes.thickness_mm
    wide, knots = asked.wishes.tongue_width_mm, asked.wishes.knots
    return {
        "words": words,
        "notes": list(asked.notes),
        "hz": [equal_hz(note_number(note)) for note in asked.notes],
        "board": None if board is None else " x ".join(f"{mm:.3f} mm" for mm in board),
        "thickness": None if thick is None or board is not None else f"{thick:.3f} mm",
        "tongue_width": None if wide is None else f"{wide:.3f} mm",
        "knots": "; ".join(" x ".join(f"{mm:.3f} mm" for mm in knot) for knot in knots),
    }


def board(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """A board's constants from its taps, those of a recording too, written into its file."""
    from kerftone.jobs.fit_board import BoardFitRequest, fit_board
    from kerftone.jobs.measure_board import BoardTapsRequest, tap_board

    if "recording" in wishes:
        recording = Path(wishes["recording"])
        request = BoardTapsRequest(file=Path(wishes["file"]), motion=wishes["motion"], recording=recording)
        tap_board(request, progress)
    return fit_board(BoardFitRequest(file=Path(wishes["file"])), progress).document()


def strikes(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """The sounds of every place of the drum."""
    from kerftone.jobs.strike_sounds import StrikesRequest, strike_sounds

    live = _standing(wishes, progress)
    made = strike_sounds(StrikesRequest(live=live, mallet=wishes["mallet"]), progress)
    return {"head": made.document() | {"on": wishes["on"]}, "samples": made.samples}


def motions(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """How each note moves the drum."""
    from kerftone.jobs.show_motions import MotionsRequest, show_motions

    found = show_motions(MotionsRequest(live=_solved(wishes, progress)), progress)
    return {"head": found.document(), "surface": found.data()}


def phrase(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """A phrase as a WAV file."""
    from kerftone.jobs.strike_sounds import PhraseRequest, sound_phrase

    request = PhraseRequest(live=_standing(wishes, progress), played=_blows(wishes), mallet=wishes["mallet"])
    return {"wav": sound_phrase(request, progress).wav}


def _blows(wishes: dict[str, Any]) -> tuple[tuple[float, int, float], ...]:
    return tuple((float(at), int(tongue), float(speed)) for at, tongue, speed in wishes["played"])


def recordings(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """A phrase in front of the drum and through its pickup, as two WAV files."""
    from kerftone.jobs.strike_sounds import PhraseRequest, sound_phrase

    live = _solved(wishes, progress)
    one = PhraseRequest(live=live, played=_blows(wishes), mallet=wishes["mallet"])
    both = {"room": one, "pickup": replace(one, through="pickup")}
    return {name: sound_phrase(request, progress).wav for name, request in both.items()}


def wood(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """The drum in another wood."""
    from kerftone.jobs.compare_wood import OtherWoodRequest, compare_wood

    drum = _drum(wishes)
    if not wishes["refit"]:
        need_lengths(drum)
    done = compare_wood(OtherWoodRequest(drum=drum, wood=wishes["wood"], refit=wishes["refit"]), progress)
    return {"told": done.document(), "wav": done.wav}


def woods(wishes: dict[str, Any], progress: Progress) -> list[dict[str, Any]]:
    """The drum estimated in every wood."""
    from kerftone.jobs.wood_rows import WoodRowsRequest, wood_rows

    found = wood_rows(WoodRowsRequest(live=_solved(wishes, progress)), progress)
    return [row.document() for row in found]


def other(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """The drum of this text with another top, or as it is, and a phrase on it."""
    from kerftone.jobs.compare_wood import OtherWoodRequest, compare_wood

    drum = _drum(wishes)
    if not wishes["refit"]:
        need_lengths(drum)
    played = tuple((float(at), int(tongue), float(speed)) for at, tongue, speed in wishes["played"])
    request = OtherWoodRequest(
        drum=drum,
        wood=wishes["wood"],
        thickness_mm=wishes["thickness_mm"],
        refit=wishes["refit"],
        played=played,
        mallet=wishes["mallet"],
    )
    done = compare_wood(request, progress)
    return {"told": done.document(), "wav": done.wav}


def _solved(wishes: dict[str, Any], progress: Progress) -> LiveModel:
    """The model of this very drum: the one held, or made now."""
    drum, live = _drum(wishes), _held.get(wishes["key"])
    if live is None or live.drum != drum:
        live = look_at_drum(LookRequest(drum=drum, before=live), progress)
        _hold(wishes["key"], live)
    return live


def _standing(wishes: dict[str, Any], progress: Progress) -> LiveModel:
    """The model of this drum on what it is said to be on: the one held, or made now."""
    live, on = _solved(wishes, progress), wishes["on"]
    if on == "nothing":
        return live
    name = f"{wishes['key']} on {on}"
    held = _held.get(name)
    if held is None or held.drum != live.drum:
        held = standing_on(live, on, progress)
    _hold(name, held)
    return held


def sound(wishes: dict[str, Any]) -> dict[str, Any] | None:
    """What the drum sounds by the tables that are held; None where they do not serve it."""
    drum, live = wishes["drum"], _held.get(wishes["key"])
    if live is None or any(None in (t.row, t.side, t.length_mm) for t in drum.tongues):
        return None
    if live.drum == drum:
        return live.document()
    return sound_of(live, drum, slopes=wishes.get("slopes", False)).document() if serves(live, drum) else None


def need_lengths(drum: Drum) -> None:
    """Refuse a drum that cannot be drawn yet."""
    if any(None in (t.row, t.side, t.length_mm) for t in drum.tongues):
        raise NeedsFitError(
            "Tongues have no length or no place yet. Nothing can be drawn without: have the lengths found first.",
            remedy=Remedy.FIND_LENGTHS,
        )


def papers(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """The papers of a drum, by file name: see `kerftone.jobs.print_papers`."""
    from kerftone.jobs.print_papers import PapersRequest, print_papers

    drum = _drum(wishes)
    need_lengths(drum)
    request = PapersRequest(drum=drum, text=wishes["text"], kind=wishes["papers"])
    made = print_papers(request, progress)
    return {"files": made.files, "pages": made.pages}


DONE: dict[str, Callable[[dict[str, Any], Progress], Any]] = {
    "look": look,
    "lengths": lengths,
    "begin": begin_new,
    "board": board,
    "strikes": strikes,
    "motions": motions,
    "phrase": phrase,
    "recordings": recordings,
    "wood": wood,
    "woods": woods,
    "other": other,
    "papers": papers,
}
ASKED: dict[str, Callable[[dict[str, Any]], Any]] = {"sound": sound}
