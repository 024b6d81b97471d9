"""The trade's other words for what a drum file lets one choose from: box joint for finger, rebate for rabbet.

A choice is compared without case, blanks and hyphens. A word that is not known goes through as it is, and is refused
with the choices where the file is judged. All of these are common practice, no source.
"""

from __future__ import annotations

import re
from typing import Any

_MEANT: dict[str, dict[str, str]] = {
    "cut": {
        "flatsawn": "flatsawn flat plainsawn plain tangential slab slabsawn flatgrain",
        "quartersawn": "quartersawn quarter radial quartered verticalgrain edgegrain",
    },
    "side": {"left": "left l lefthand", "right": "right r righthand"},
    "joint": {
        "mitre": "mitre miter mitred mitered mitrejoint miterjoint plainmitre plainmiter 45",
        "mitre with keys": "mitrewithkeys miterwithkeys keyedmitre keyedmiter splinedmitre splinedmiter keyed "
        "mitrewithsplines miterwithsplines mitrekeys miterkeys splined mitrekeyed miterkeyed",
        "butt": "butt buttjoint butted",
        "finger": "finger fingers fingerjoint fingerjoints box boxjoint boxjoints comb combjoint",
        "rabbet": "rabbet rebate rabbetjoint rebatejoint rabbeted rebated rabbit lap",
    },
    "mount": {
        "on walls": "onwalls walls onthewalls ontop",
        "in ledge": "inledge ledge onledge onaledge letin",
        "on a lip": "onalip onlip lip lipped",
    },
    "fit": {
        "under": "under underneath below",
        "let in": "letin inset rabbet rebate",
        "on a lip": "onalip onlip lip lipped",
    },
    "glued": {
        "lip": "lip onlip",
        "ledge": "ledge onledge ledgeonly",
        "ledge and edges": "ledgeandedges ledgeedges all allround",
    },
    "stands": {"held": "held clamped fixed", "free": "free loose onfeet feet soft"},
    "units": {
        "mm": "mm millimetre millimetres millimeter millimeters metric",
        "in": 'in inch inches imperial "',
    },
    "paper": {"a4": "a4 dina4", "letter": "letter usletter"},
    "ball": {
        "soft rubber": "softrubber soft",
        "hard rubber": "hardrubber hard rubber",
        "wood": "wood wooden",
    },
    "tongue_end": {
        "square": "square straight",
        "round": "round rounded",
        "slant": "slant slanted",
        "curve": "curve curved",
    },
    "end": {
        "square": "square straight",
        "round": "round rounded",
        "slant": "slant slanted",
        "curve": "curve curved",
    },
    "when": {"before glue-up": "beforeglueup beforegluing", "after glue-up": "afterglueup aftergluing"},
    "bored": {"before glue-up": "beforeglueup beforegluing", "after glue-up": "afterglueup aftergluing"},
    "temperament": {"equal": "equal equaltemperament et 12tet", "just": "just justintonation pure"},
}
"""Of each key: what the program calls it, and how else it may be written, small and without blanks or hyphens."""

_WHOLE = frozenset({"row", "count", "coats", "fraction"})


def in_our_words(raw: dict[str, Any]) -> dict[str, Any]:
    """The same tables with every choice in the program's own word, where it is known what is meant.

    >>> in_our_words({"box": {"joint": "Box joint"}, "tongues": [{"side": "L", "row": 1.0}]})
    {'box': {'joint': 'finger'}, 'tongues': [{'side': 'left', 'row': 1}]}
    """
    return {key: _one(key, value) for key, value in raw.items()}


def _one(key: str, value: Any) -> Any:
    if isinstance(value, dict):
        return in_our_words(value)
    if isinstance(value, list) and key not in _MEANT:
        return [_one("", item) for item in value]
    if key == "name" and isinstance(value, int | float):
        return str(value)
    if key in _WHOLE:
        return _whole(value)
    return our_word(key, value) if isinstance(value, str) else value


def our_word(key: str, typed: str) -> str:
    """What the program calls this choice of `key`; as typed where it is not known."""
    bare = re.sub(r"[\s_-]+", "", typed.casefold())
    return next((word for word, others in _MEANT.get(key, {}).items() if bare in others.split()), typed)


def _whole(value: Any) -> Any:
    """A whole number, also where it is written as text or with a point."""
    if isinstance(value, str) and re.fullmatch(r"\s*\d{1,4}\s*", value, re.ASCII):
        return int(value)
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e6 else value
