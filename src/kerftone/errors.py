"""Everything that can go wrong in a way a maker can mend.

One root, `KerftoneError`; the command line and the page catch it, show its text and stop with exit
code 2. A text has three beats: what was given, which limit it crosses, the nearest that works. The
numbers behind the text are attributes, so that a page can show them its own way.

Anything that is not a `KerftoneError` is a fault of the program, not of the maker.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TypedDict, Unpack


class Remedy(StrEnum):
    """What a maker can do about a refusal with this program. Each face says it in its own words.

    A command line names a command or an option, a page shows a button.
    """

    BE_SURE = "be sure"
    """Say that it is so, however unlikely."""
    NEW_DRUM = "new drum"
    GIVE_NOTES = "give notes"
    """Notes one by one, or a scale."""
    LIST_SCALES = "list scales"
    LIST_WOODS = "list woods"
    FIND_LENGTHS = "find lengths"
    NEW_BOARD = "new board"
    TAP_BOARD = "tap board"
    FIT_BOARD = "fit board"
    START_LOG = "start log"
    RECORD_TAP = "record tap"
    SEE_LOG = "see log"
    VOID_ENTRY = "void entry"
    NAME_DRUM = "name drum"
    """Say of which drum the tongue is."""
    NAME_TONGUE = "name tongue"
    """Say which tongue was tapped."""
    SAY_HEARD = "say heard"
    """Say what was heard: a pitch, or a recording."""
    HEAR_PART = "hear part"
    """Hear what is there of a recording that breaks off."""


class Behind(TypedDict, total=False):
    """What stands behind a refusal's text: see `KerftoneError`."""

    given: object
    limit: object
    nearest: object
    remedy: Remedy | tuple[Remedy, ...]


class KerftoneError(Exception):
    """What a maker should hear when something cannot be done as asked.

    `given`, `limit` and `nearest` are the value that was given, the limit it crosses and the nearest
    that works, in the unit of the text; None where there is no single value. `remedies` are what this program
    offers against it, the likeliest first; the text does not speak of them.
    """

    def __init__(
        self,
        message: str,
        *,
        given: object = None,
        limit: object = None,
        nearest: object = None,
        remedy: Remedy | tuple[Remedy, ...] = (),
    ) -> None:
        """Keep the text and the numbers behind it."""
        super().__init__(message)
        self.message = message
        self.given = given
        self.limit = limit
        self.nearest = nearest
        self.remedies = (remedy,) if isinstance(remedy, Remedy) else remedy


class LengthError(KerftoneError):
    """A length is written in a way that cannot be read."""


class NoteError(KerftoneError):
    """A note's name cannot be read, or the note cannot be sounded."""


class ScaleError(KerftoneError):
    """A scale's name cannot be read, or it has no note as asked; `nearest` holds names or notes that it has."""


class SpeciesError(KerftoneError):
    """A species is not in the table; `nearest` is a tuple of names that are."""


class ElasticError(KerftoneError):
    """Elastic constants that no solid can have."""


class OutlineError(KerftoneError):
    """The drum as drawn cannot be sawn, or would not hold together.

    `at` is the key of the drum file that the nearest that works is for, such as ("tongues", 2, "length"); empty
    where no single key would mend it.
    """

    def __init__(self, message: str, *, at: tuple[str | int, ...] = (), **behind: Unpack[Behind]) -> None:
        """Keep the text, the numbers and the key."""
        super().__init__(message, **behind)
        self.at = at


class NeedsFitError(OutlineError):
    """Tongues have no length or no place yet."""


class ShopError(KerftoneError):
    """The drum as written cannot be made: parts that do not fit, or an order of work that traps the maker."""


class BoardError(KerftoneError):
    """A measured board cannot be as given, or its tones cannot be those of such a board."""


class MoistureError(KerftoneError):
    """A humidity, temperature or moisture at which the laws of drift do not hold."""


class WriteError(KerftoneError):
    """A file could not be written; whatever was there before is untouched."""


class BenchError(KerftoneError):
    """The log of a drum at the bench is missing, busy, damaged or newer than this program."""


class EntryError(BenchError):
    """What was to be written into the log cannot have happened, or is doubtful."""


class DrumFileError(KerftoneError):
    """Something in a drum file cannot be used: where it is, and the mend.

    `path` is the file as given (None for text that came from no file), `line` counts from 1 (None where
    the trouble is not in one line, such as a missing file). `message` is the text without the place.
    """

    def __init__(
        self,
        message: str,
        *,
        path: str | None = None,
        line: int | None = None,
        **behind: Unpack[Behind],
    ) -> None:
        """Keep the text, the numbers and the place; the place goes before the text."""
        where = ", ".join(
            part for part in (path, f"line {line}" if line is not None else None) if part is not None
        )
        super().__init__(message, **behind)
        self.args = (f"{where}: {message}" if where else message,)
        self.path = path
        self.line = line

    @classmethod
    def because(
        cls, cause: KerftoneError | None, message: str, *, path: str | None, line: int | None
    ) -> DrumFileError:
        """The refusal of a file for this cause: its numbers and remedies, the file's own words and place.

        Parameters
        ----------
        cause : KerftoneError | None
            Whose numbers and remedies are kept; None where there is none.
        message : str
            In the file's own words.
        path : str | None
            The file; None where the drum is in none yet.
        line : int | None
            Where in it, from 1; None where it is in no one line.
        """
        known = cause or KerftoneError(message)
        return cls(
            message,
            path=path,
            line=line,
            given=known.given,
            limit=known.limit,
            nearest=known.nearest,
            remedy=known.remedies,
        )


class RecordingError(KerftoneError):
    """A recording could not be heard: which, why, and the mend. `path` is the file as given."""

    def __init__(
        self,
        message: str,
        *,
        path: str,
        **behind: Unpack[Behind],
    ) -> None:
        """Keep the text, the numbers and the file; the file's name goes before the text."""
        super().__init__(message, **behind)
        self.args = (f"{path}: {message}",)
        self.path = path


class MicrophoneError(KerftoneError):
    """There is no microphone to listen to, or no library to reach it."""
