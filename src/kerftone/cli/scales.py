"""`kerftone scales`: which scales there are, and which notes they have."""

from __future__ import annotations

from kerftone.cli.screen import Column, emit, say, show, show_table
from kerftone.errors import ScaleError
from kerftone.scales import Key, Scale, find_scale, read_key, scale_notes, scale_table

COLUMNS = (Column(head="Scale"), Column(head="On D"), Column(head="Also called"))


def run(typed: str | None, *, as_json: bool) -> None:
    """Show all scales, those whose name has this word, or one scale on its tonic. Raises ScaleError."""
    if typed is None:
        return _show_all(tuple(scale_table().values()), as_json=as_json)
    wanted = typed.casefold().strip()
    found = tuple(
        scale
        for scale in scale_table().values()
        if wanted and any(wanted in name for name in (scale.name, *scale.also))
    )
    if found:
        return _show_all(found, as_json=as_json)
    try:
        key = read_key(typed)
    except ScaleError:
        return _show_all((find_scale(typed),), as_json=as_json)
    return _show_key(key, as_json=as_json)


def _show_all(scales: tuple[Scale, ...], *, as_json: bool) -> None:
    on_d = [Key(tonic="D", scale=scale) for scale in scales]
    if as_json:
        emit({"scales": [document(key) for key in on_d]})
        return
    show_table(COLUMNS, [(key.scale.name, " ".join(key.notes), ", ".join(key.scale.also)) for key in on_d])
    say("")
    say(
        "Shown on D; any note will do. A drum in one of them:\n"
        "  kerftone new mydrum --scale 'D minor pentatonic' --count 6 --wood walnut"
    )


def _show_key(key: Key, *, as_json: bool) -> None:
    if as_json:
        emit({"scales": [document(key)]})
        return
    show(f"{key.name}: {' '.join(key.notes)}")
    first = " ".join(scale_notes(key.name, count=len(key.notes) + 1))
    show(f"From {key.tonic}3 up: {first}")


def document(key: Key) -> dict[str, object]:
    """One scale for a script."""
    return {
        "name": key.scale.name,
        "also_called": list(key.scale.also),
        "tonic": key.tonic,
        "notes": list(key.notes),
        "semitones": list(key.scale.semitones),
        "degrees": list(key.scale.degrees),
        "known": key.scale.known,
    }
