"""Named variants of a drum: copies of its file beside it, to be laid side by side and heard against it.

A variant is a drum file like any other, `NAME.variant.toml` in the drum's folder, so that the commands read it too
and a board's file is found from it. It is looked up among the files there are, and a link is not followed.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kerftone.app.drum_folders import plain_name
from kerftone.drum.design import Drum
from kerftone.drum.file import check_drum_text, parse_drum
from kerftone.drum.reading import read_text
from kerftone.errors import KerftoneError
from kerftone.files import atomic_write, names_ending
from kerftone.units import format_length

ENDING = ".variant.toml"
MOST = 40
"""More of them no one tells apart: own judgement."""


@dataclass(frozen=True, kw_only=True)
class Variant:
    """One variant: its name, its file, what the file holds."""

    name: str
    path: Path
    text: str

    @property
    def drum(self) -> Drum:
        """What it means. Raises DrumFileError."""
        return parse_drum(self.text, str(self.path))


class Variants:
    """The variants beside one drum file."""

    def __init__(self, drum_file: Path) -> None:
        """Those in the folder of this drum file."""
        self.folder = drum_file.parent

    def names(self) -> list[str]:
        """What they are called, in order."""
        return names_ending(self.folder, ENDING)

    def get(self, name: str) -> Variant:
        """One of them. Raises KerftoneError where there is none of that name, DrumFileError."""
        if name not in self.names():
            raise KerftoneError(
                f"There is no variant called {name[:60]!r} beside this drum: choose one of those listed.",
                given=name,
            )
        path = self.folder / f"{name}{ENDING}"
        return Variant(name=name, path=path, text=read_text(path))

    def keep(self, name: str, text: str) -> Variant:
        """Keep this text of the drum under a name. Raises KerftoneError, DrumFileError and WriteError."""
        plain = plain_name(name, "variant")
        names = self.names()
        if plain.casefold() in (one.casefold() for one in names):
            raise KerftoneError(
                f"There is a variant called {plain} already. Each needs a name of its own: choose another, or drop "
                "that one first.",
                given=name,
            )
        if len(names) >= MOST:
            raise KerftoneError(
                f"There are {len(names)} variants beside this drum, and {MOST} are kept at most: drop one first.",
                given=len(names),
                limit=MOST,
            )
        path = self.folder / f"{plain}{ENDING}"
        check_drum_text(text, str(path))
        atomic_write(path, text.encode("utf-8"))
        return Variant(name=plain, path=path, text=text)

    def drop(self, name: str) -> Variant:
        """Take one away; what it was, so that it can be kept again."""
        gone = self.get(name)
        gone.path.unlink(missing_ok=True)
        return gone


def differences(one: Drum, other: Drum) -> list[str]:
    """In what `one` differs from `other`, each in a few words, in its own units."""
    mine, theirs = _told(one, one.units), _told(other, one.units)
    return [f"{what} {mine[what]}, not {theirs[what]}" for what in mine if mine[what] != theirs[what]]


def _told(drum: Drum, units: str) -> dict[str, str]:
    top, slots, box, bottom = drum.top, drum.slots, drum.box, drum.bottom
    lengths = {
        "length": top.length_mm,
        "width": top.width_mm,
        "thickness": top.thickness_mm,
        "saw cut": slots.kerf_mm,
        "end to root": slots.end_margin_mm,
        "walls' thickness": box.wall_mm,
        "walls' height": box.height_mm,
        "root bars": box.root_bar_mm,
        "bottom": 0.0 if bottom is None else bottom.thickness_mm,
    }
    return {
        "notes": " ".join(tongue.note for tongue in drum.tongues),
        "wood": top.wood,
        "walls": box.wood,
        "top sits": box.mount,
        "tips": slots.tongue_end if isinstance(slots.tongue_end, str) else "own points",
        **{what: format_length(mm, "in" if units == "in" else "mm") for what, mm in lengths.items()},
        "bores": str(len(drum.bores)),
        "tongues' lengths": " ".join(_length(tongue.length_mm, units) for tongue in drum.tongues),
    }


def _length(mm: float | None, units: str) -> str:
    return "–" if mm is None else format_length(mm, "in" if units == "in" else "mm").split(" ")[0]
