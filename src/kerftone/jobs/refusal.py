"""A refusal as a script or a page reads it: the words, and the numbers behind them where there are any."""

from __future__ import annotations

import math

from kerftone.errors import DrumFileError, KerftoneError


def refusal_record(error: KerftoneError, message: str | None = None) -> dict[str, object]:
    """What is wrong, as JSON. `message`: the error's words as the face tells them, with its remedies."""
    numbers = {"given": error.given, "limit": error.limit, "nearest": error.nearest}
    place: dict[str, object] = {}
    if isinstance(error, DrumFileError):
        place = {"path": error.path, "line": error.line}
    return {
        "kind": type(error).__name__,
        "message": str(error) if message is None else message,
        **place,
        **{key: _plain(value) for key, value in numbers.items()},
    }


def _plain(value: object) -> object:
    """A value as JSON can carry it; a number that is not finite becomes nothing."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    try:
        number = float(value)  # type: ignore[arg-type]  # numpy's numbers are numbers too
    except (TypeError, ValueError):
        return str(value)
    return number if math.isfinite(number) else None
