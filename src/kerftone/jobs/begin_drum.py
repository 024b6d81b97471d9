"""A first drum.toml, with a board in which the notes fit, or with the board in hand.

The size is worked out by `kerftone.tune.begin`. Before anything is written, the new text is read back as any
drum file is, so that what this job writes is never refused by the next.
"""

from __future__ import annotations

import math
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.draw.labels import on_rule
from kerftone.drum.design import Drum, Top
from kerftone.drum.file import check_drum_text, read_drum
from kerftone.drum.file_keys import bounds
from kerftone.drum.template import drum_text
from kerftone.errors import KerftoneError, NoteError, WriteError
from kerftone.jobs.drum_wishes import (
    Board,
    LengthsTyped,
    check_one_choice,
    check_one_thickness,
    read_board,
    read_box_height,
    read_cut,
    read_knots,
    read_mount,
    read_notes,
    read_scale,
    read_thickness,
    read_tongue_width,
    read_units,
    read_wood,
    taken_as,
)
from kerftone.jobs.paths import DRUM_FILE, check_folder, new_drum_path, write_results
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.wood_facts import of_boards
from kerftone.modal.shelf import shelf_beside
from kerftone.stopping import check_stopped
from kerftone.units import Units, format_length

if TYPE_CHECKING:
    from kerftone.tune.choose import Chosen

LONGEST_NAME = 60
"""Of a drum made from its folder's; own judgement."""
CLEAR = 0.9
"""From here on a note is called clear: as in `tune/arrange.py`."""


@dataclass(frozen=True, kw_only=True)
class NewDrumRequest:
    """Where to put the drum, and what the maker asked for, as typed; None where it was not.

    `where` is a folder, which gets a drum.toml, or a file ending in .toml. Without `units` they are those of the
    lengths typed; without a name the drum is called as its folder or file.
    """

    where: Path
    notes: str | None = None
    scale: str | None = None
    count: str | None = None
    first: str | None = None
    wood: str | None = None
    cut: str = "flatsawn"
    mount: str = "on walls"
    lengths: LengthsTyped = field(default_factory=LengthsTyped)
    units: str | None = None
    name: str | None = None


@dataclass(frozen=True, kw_only=True)
class DrumBegun:
    """The file, the drum in it, and how what was typed has been understood where it might mean something else."""

    written: Path
    drum: Drum
    remarks: tuple[str, ...]
    units_guessed: bool
    """Whether inches were taken only because a length was typed in them."""
    cut_at_mm: tuple[float, float] = (0.0, 0.0)
    """How far the top's corner lies from the board's left end and front edge, where knots made it so."""

    def document(self) -> dict[str, Any]:
        """As JSON."""
        top = self.drum.top
        return {
            "written": [str(self.written)],
            "notes": [tongue.note for tongue in self.drum.tongues],
            "wood": top.wood,
            "units": self.drum.units,
            "board": {
                "length_mm": round(top.length_mm, 4),
                "width_mm": round(top.width_mm, 4),
                "thickness_mm": round(top.thickness_mm, 4),
            },
            "cut_at_mm": [round(mm, 4) for mm in self.cut_at_mm],
            "remarks": list(self.remarks),
        }

    @property
    def board_words(self) -> str:
        """The board's sizes in the drum's units."""
        top, units = self.drum.top, self.drum.units
        sizes = (top.length_mm, top.width_mm, top.thickness_mm)
        return " x ".join(on_rule(mm, units, with_unit=False) for mm in sizes) + f" {units}"


@job
def begin_drum(request: NewDrumRequest, progress: Progress) -> DrumBegun:
    """Write a first drum file, or refuse; nothing is made on a refusal."""
    target = new_drum_path(request.where)
    if os.path.lexists(target):
        raise WriteError(
            f"{target} is already there. A drum file is never overwritten: choose another name, or move "
            "that file away first.",
            given=str(target),
        )
    check_folder(target.parent)
    lengths = request.lengths
    units = lengths.units() if request.units is None else read_units(request.units)
    board = None if lengths.board is None else read_board(lengths.board, units)
    chosen = _chosen(request, units, board, progress)
    drum = chosen.drum
    text = drum_text(drum)
    check_drum_text(text)
    check_stopped()
    write_results(target.parent, {target.name: text.encode("utf-8")})
    _keep(chosen, target)
    guessed = request.units is None and drum.units == "in"
    remarks = (*_remarks(request, drum, board, guessed=guessed), why(chosen), *knots_why(chosen, board))
    return DrumBegun(
        written=target, drum=drum, remarks=remarks, units_guessed=guessed, cut_at_mm=cut_corner(chosen)
    )


def _keep(chosen: Chosen, target: Path) -> None:
    """Keep the last look at the drum beside its file, for the drum as that file has it: its lengths are found so."""
    if chosen.look is not None:
        from kerftone.tune.look_kept import keep_look

        keep_look(read_drum(target), chosen.look, shelf_beside(target))


def _remarks(request: NewDrumRequest, drum: Drum, board: Board | None, *, guessed: bool) -> list[str]:
    """How what was typed has been understood, where it might have meant something else."""
    remarks = [taken_as(request.wood or "", drum.top.wood)]
    if guessed:
        remarks.append("Units: inches, for a length is given in them.")
    if board is not None and board.turned:
        sizes = [on_rule(mm, drum.units) for mm in board.sizes_mm]
        remarks.append(f"Board: taken as {sizes[0]} long, {sizes[1]} wide and {sizes[2]} thick.")
    return [remark for remark in remarks if remark is not None]


def _chosen(request: NewDrumRequest, units: Units, board: Board | None, progress: Progress) -> Chosen:
    """The drum that is asked for, with the sizes that are left to the program chosen on the model."""
    from kerftone.tune.begin import Wishes
    from kerftone.tune.instead import Asked, chosen_or_instead

    lengths = request.lengths
    thickness = None if lengths.thickness is None else read_thickness(lengths.thickness, units)
    check_one_thickness(board, thickness, units)
    wishes = Wishes(
        thickness_mm=thickness,
        board_mm=None if board is None else board.sizes_mm,
        tongue_width_mm=None
        if lengths.tongue_width is None
        else read_tongue_width(lengths.tongue_width, units),
        box_height_mm=None if lengths.box_height is None else read_box_height(lengths.box_height, units),
        cut=read_cut(request.cut),
        mount=read_mount(request.mount),
        knots=read_knots(lengths.knots, board, units),
    )
    asked = Asked(
        name=_name(new_drum_path(request.where), request.name),
        notes=_notes(request),
        wood=read_wood(request.wood),
        wishes=wishes,
        units=units,
    )
    # What no sizes can mend is refused before any are tried.
    for plain in asked.drums()[:1]:
        _check_width(plain)
        check_drum_text(drum_text(plain))
    return chosen_or_instead(asked, progress)


def why(chosen: Chosen) -> str:
    """Why the drum has the sizes it has."""
    from kerftone.tune.choose import MOST_ON_MODEL

    drum = chosen.drum
    box = drum.box
    sizes = f"walls {on_rule(box.wall_mm, drum.units)}"
    if box.root_bar_mm:
        bar = " x ".join(on_rule(mm, drum.units) for mm in (box.root_bar_mm, box.root_bar_height_mm))
        sizes += f", root bars {bar}"
    if not chosen.trials:
        return (
            f"Sizes: {sizes}, not tried on the model, which takes up to {MOST_ON_MODEL} notes. Of so many notes some "
            "will hardly come out clear: think of two drums."
        )
    best, tried = chosen.trial.best, len(chosen.trials)
    how = "the first tried" if tried == 1 else f"the best of {tried} tried"
    if not best.fits or best.least < CLEAR:
        return (
            f"Sizes: {sizes}, {how} on the model. With none of them does every note come out clear: fit will say "
            "which does not, and what would help."
        )
    return (
        f"Sizes: {sizes}, {how} on the model. Every note comes out clear, {best.least:.2f} at the least, and can be "
        f"made so on {of_boards(best.sure)} such as yours may be. {breathing_why(drum, best.safe)}"
    ).strip()


def cut_corner(chosen: Chosen) -> tuple[float, float]:
    """Where the corner of the top lies on the board in hand, in mm from its left end and front edge."""
    return chosen.trial.corner_mm if chosen.trials else (0.0, 0.0)


def knots_why(chosen: Chosen, board: Board | None) -> list[str]:
    """Where the top is to be cut from its board, and how far the knots then are from its tongues; empty without."""
    from kerftone.tune.off_knots import nearest_knot

    drum, said = chosen.drum, list[str]()
    if board is not None and (drum.top.length_mm, drum.top.width_mm) != board.sizes_mm[:2]:
        x, y = (on_rule(mm, drum.units) for mm in cut_corner(chosen))
        size = " x ".join(on_rule(mm, drum.units) for mm in (drum.top.length_mm, drum.top.width_mm))
        said.append(
            f"Cut the top {size} out of the board, its left end {x} from the board's left end and its front edge {y} "
            "from the board's front edge: so the knots fall beside its tongues."
        )
    if drum.top.knots_mm and chosen.look is not None:
        number, note, away = nearest_knot(drum, chosen.look.tried[0])
        knot = on_rule(drum.top.knots_mm[number].diameter_mm, drum.units)
        said.append(
            f"Knots: none lies in a tongue. The nearest, {knot} wide, is {on_rule(away, drum.units)} from {note}. "
            "A tapped board gets other lengths: see whether that is still so then."
        )
    return said


def breathing_why(drum: Drum, safe: float) -> str:
    """How the box keeps off its notes with its breathing, or that it cannot; empty for a box open below."""
    if drum.bottom is None:
        return ""
    high = on_rule(drum.box.height_mm, drum.units)
    if safe >= CLEAR:
        return f"Walls {high} high keep the breathing of the box off every note that pushes air."
    return (
        f"With walls {high} high every note that pushes air is 8 % off the breathing of the box on "
        f"{of_boards(safe)}: notes so near each other leave it no more room. Fewer notes would, or ones "
        "further apart."
    )


def _notes(request: NewDrumRequest) -> tuple[str, ...]:
    check_one_choice(request.notes, request.scale, count=request.count, first=request.first)
    if request.scale is not None:
        return read_scale(request.scale, count=request.count, first=request.first)
    return read_notes(request.notes or "")


def _check_width(drum: Drum) -> None:
    """Refuse more notes than the widest board has room for, two to a row."""
    widest = bounds(Top, "width").high
    if drum.top.width_mm <= widest:
        return
    rows = math.ceil(len(drum.tongues) / 2)
    margins = 2.0 * drum.slots.side_margin_mm
    most = 2 * int((widest - margins) / (drum.top.width_mm - margins) * rows)
    raise NoteError(
        f"{len(drum.tongues)} notes need a board {format_length(drum.top.width_mm, drum.units)} wide. The widest "
        f"there can be is {format_length(widest, drum.units)}: give {most} notes at most.",
        given=len(drum.tongues),
        limit=most,
        nearest=most,
    )


def _name(target: Path, given: str | None) -> str:
    """The drum's name: as given, or that of its file or, for a drum.toml, of the folder it is in; with a capital."""
    whole = Path(os.path.abspath(target))  # noqa: PTH100 - keep links
    own = whole.parent.name if whole.name == DRUM_FILE else whole.stem
    words = own if given is None else given
    words = " ".join(words.replace("_", " ").split())[:LONGEST_NAME] if given is None else words.strip()
    words = words.encode("utf-8", "replace").decode("utf-8")  # what a file of text can hold
    if not words:
        if given is not None:
            raise KerftoneError(
                "The name is empty. A drum is called something, such as Brook, or as its folder.", given=given
            )
        return "Drum"
    return words[0].upper() + words[1:] if given is None else words
