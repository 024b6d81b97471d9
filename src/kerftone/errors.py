"""Everything that can go wrong in a way a maker can mend.

One root, `KerftoneError`; the command line and the page catch it, show its text and stop with exit
code 2. A text has three beats: what was given, which limit it crosses, the nearest that works. The
numbers behind the text are attributes, so that a page can show them its own way.

Anything that is not a `KerftoneError` is a fault of the program, not of the maker.
"""

from __future__ import annotations


class KerftoneError(Exception):
    """What a maker should hear when something cannot be done as asked.

    `given`, `limit` and `nearest` are the value that was given, the limit it crosses and the nearest
    that works, in the unit of the text; None where there is no single value.
    """

    def __init__(
        self, message: str, *, given: object = None, limit: object = None, nearest: object = None
    ) -> None:
        """Keep the text and the numbers behind it."""
        super().__init__(message)
        self.message = message
        self.given = given
        self.limit = limit
        self.nearest = nearest


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
    """The drum as drawn cannot be sawn, or would not hold together."""


class NeedsFitError(OutlineError):
    """Tongues have no length or no place yet; `kerftone fit` gives them one."""


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
        given: object = None,
        limit: object = None,
        nearest: object = None,
    ) -> None:
        """Keep the text, the numbers and the place; the place goes before the text."""
        where = ", ".join(
            part for part in (path, f"line {line}" if line is not None else None) if part is not None
        )
        super().__init__(message, given=given, limit=limit, nearest=nearest)
        self.args = (f"{where}: {message}" if where else message,)
        self.path = path
        self.line = line


class RecordingError(KerftoneError):
    """A recording could not be heard: which, why, and the mend. `path` is the file as given."""

    def __init__(
        self,
        message: str,
        *,
        path: str,
        given: object = None,
        limit: object = None,
        nearest: object = None,
    ) -> None:
        """Keep the text, the numbers and the file; the file's name goes before the text."""
        super().__init__(message, given=given, limit=limit, nearest=nearest)
        self.args = (f"{path}: {message}",)
        self.path = path


class MicrophoneError(KerftoneError):
    """There is no microphone to listen to, or no library to reach it."""
