"""Looking for scores with a few words, as a player would say them.

Every word must fit, and there is no syntax to learn: what fits nothing finds nothing. Only
`parts=` without a number is a slip that can be told from a word.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from math import gcd

from companion.errors import RequestError
from companion.library.indexed_score import Index, IndexedScore

_RATIO = re.compile(r"(\d{1,4}):(\d{1,4})")
_PARTS = re.compile(r"parts=(\d{1,4})")

Fits = Callable[[IndexedScore], bool]


def search(index: Index, text: str) -> list[IndexedScore]:
    """The scores that every word fits, in order of title; all of them without a word.

    A word fits where it stands anywhere in the title, the composer, the path or the name of
    a part, in capitals or not, with accents or without. Words of the trade ask about the
    music instead: `mixed` (parts in different meters at once), `conflict`, a ratio such as
    `3:2`, and `parts=4`.
    """
    fits = [_fits(word) for word in folded(text).split()]
    return [entry for entry in index.scores if all(fit(entry) for fit in fits)]


def checked_query(text: str) -> str:
    """The same words. Raises RequestError for `parts=` without a number of parts."""
    for word in folded(text).split():
        if word.startswith("parts=") and not _PARTS.fullmatch(word):
            raise RequestError(
                f"“{word}” is not a number of parts", next="Write, for example, parts=4."
            )
    return text


def folded(text: str) -> str:
    """Text as it is compared: small letters without accents."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def _fits(word: str) -> Fits:
    if word == "mixed":
        return lambda entry: bool(entry.mixed)
    if word in {"conflict", "conflicts"}:
        return lambda entry: bool(entry.written or entry.sounding)
    if ratio := _RATIO.fullmatch(word):
        wanted = _lowest(int(ratio[1]), int(ratio[2]))
        return lambda entry: wanted in entry.ratios
    if parts := _PARTS.fullmatch(word):
        count = int(parts[1])
        return lambda entry: len(entry.parts) == count
    return lambda entry: word in _words(entry)


def _lowest(a: int, b: int) -> str:
    """The way ratios are kept: 2:3 and 6:4 are 3:2."""
    common = gcd(a, b) or 1
    return f"{max(a, b) // common}:{min(a, b) // common}"


@lru_cache(maxsize=20_000)
def _folded_entry(title: str, composer: str, path: str, parts: tuple[str, ...]) -> str:
    return folded("\n".join((title, composer, path, *parts)))


def _words(entry: IndexedScore) -> str:
    return _folded_entry(entry.title, entry.composer, entry.path, entry.parts)
