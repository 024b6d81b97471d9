"""What a wood is called: at a timber yard, by a botanist, and in the species table.

`names.csv` pairs the names of the trade with rows of the species table, each with how it is known. A name may
mean several woods ("maple"); whoever asks is then given all of them. Names are compared without case, accents,
commas and order of words. Only words are compared here; what a species is like stands in `species.py`.
"""

from __future__ import annotations

import csv
import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

_FILLER = frozenset({"wood", "lumber", "timber", "spp.", "spp"})


@dataclass(frozen=True, kw_only=True)
class TradeName:
    """One name at the yard and the species it means; `known` and `shown` as the head of names.csv says."""

    name: str
    species: str
    known: str
    shown: bool


@cache
def trade_names() -> tuple[TradeName, ...]:
    """All the names of the trade, in the file's order."""
    text = (resources.files("kerftone.wood") / "names.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#"))
    return tuple(
        TradeName(name=row["name"], species=row["species"], known=row["known"], shown=row["shown"] == "yes")
        for row in rows
    )


def names_of(species: str) -> tuple[str, ...]:
    """The names of the trade that mean this species, alone or among others."""
    return tuple(trade.name for trade in trade_names() if trade.species == species)


def with_yard_name(species: str) -> str:
    """The table's name, and in brackets the one a timber yard uses where that is quite another.

    >>> with_yard_name("maple, sugar"), with_yard_name("teak")
    ('maple, sugar (hard maple)', 'teak')
    """
    shown = [trade.name for trade in trade_names() if trade.species == species and trade.shown]
    return f"{species} ({shown[0]})" if shown else species


def plain(name: str) -> str:
    """A name without case, accents, commas, hyphens, "wood" and order of words, for comparing."""
    return " ".join(sorted(" ".join(_words(name)).replace("-", " ").split()))


def _words(name: str) -> list[str]:
    """The words of a name without case and accents; a hyphened word is one ("spanish-cedar")."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(c))
    words = re.split(r"[\s,]+", bare.strip())
    kept = [word for word in words if word and word not in _FILLER]
    return kept or [word for word in words if word]


def species_called(name: str, botanical: Mapping[str, str]) -> tuple[str, ...]:
    """Which species are meant by this name; none when it is not known, several when it means several.

    `botanical` has the botanical name of each species by its name in the table. First the table's own names and the
    botanical ones, then the names of the trade as they stand, last any name that has all the words.
    """
    wanted = plain(name)
    if not wanted:
        return ()
    own = [species for species in botanical if wanted in (plain(species), plain(botanical[species]))]
    if own:
        return tuple(own)
    traded = [trade.species for trade in trade_names() if plain(trade.name) == wanted]
    if traded:
        return tuple(dict.fromkeys(traded))
    words = set(_words(name))
    return tuple(
        species
        for species in botanical
        if any(words <= set(_words(one)) for one in _all_names(species, botanical))
    )


def _all_names(species: str, botanical: Mapping[str, str]) -> Iterable[str]:
    yield species
    yield botanical[species]
    yield from names_of(species)


def nearest_names(name: str, botanical: Mapping[str, str], *, count: int) -> tuple[str, ...]:
    """Which species have a name most like this one: by spelling, by any word of it, by any of their names.

    Parameters
    ----------
    name : str
        As it was typed.
    botanical : Mapping[str, str]
        The botanical name of each species.
    count : int
        How many at most.
    """
    wanted, words = plain(name), [plain(word) for word in _words(name)]

    def likeness(species: str) -> float:
        return max(
            max(_like(wanted, plain(one)), 0.9 * _like_its_words(words, one))
            for one in _all_names(species, botanical)
        )

    scores = {species: likeness(species) for species in botanical}
    ranked = sorted(scores, key=lambda key: -scores[key])[:count]
    return tuple(key for key in ranked if scores[key] >= scores[ranked[0]] - 0.08)


def _like(wanted: str, other: str) -> float:
    return difflib.SequenceMatcher(None, wanted, other).ratio()


def _like_its_words(words: Sequence[str], other: str) -> float:
    """How well each word typed is found among a name's words; long words weigh more, and the last one double."""
    its = plain(other).split()
    weights = [len(word) * (1 + (at == len(words) - 1)) for at, word in enumerate(words)]
    if not its or not sum(weights):
        return 0.0
    best = [max(_like(word, one) for one in its) for word in words]
    return sum(weight * like for weight, like in zip(weights, best, strict=True)) / sum(weights)
