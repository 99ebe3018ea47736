"""A few words find a score, as a player would say them."""

from __future__ import annotations

import os

import pytest

from companion.library.indexed_score import Index, IndexedScore, MixedBars
from companion.library.search import search


def entry(
    where: str, title: str, composer: str = "", *parts: str, ratios: str = ""
) -> IndexedScore:
    cut = tuple(ratios.split())
    return IndexedScore(
        os.fsencode(where), 1, 1, 1, "d", title, composer, parts, 8, (), 0, len(cut), cut
    )


QUARTET = entry(
    "evening/quartet.mxl",
    "Abendmusik für Straßenlaternen",
    "Zoë Ångström",
    *("Violín I", "Violín II", "Viola", "Cello"),
    ratios="3:2 4:3",
)
TRIO = entry("trio.xml", "Étude", "", "Flute", "Oboe", "Bassoon", ratios="5:4")
MIXED = IndexedScore(
    b"mixed.xml",
    1,
    1,
    1,
    "d",
    "Two meters",
    "",
    ("A", "B"),
    8,
    (MixedBars(2, 4, "2–4"),),
    1,
    0,
    ("3:2",),
)
PLAIN = entry("conflict/plain.xml", "Plain", "", "Voice")
TORN = IndexedScore(b"trio torn.xml", 1, 1, 1, "d", problem="It is torn.")
INDEX = Index(b"/shelf", (QUARTET, TRIO, MIXED, PLAIN, TORN))


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("", [QUARTET, TRIO, MIXED, PLAIN]),
        ("angstrom", [QUARTET]),
        ("ÅNGSTRÖM zoe", [QUARTET]),
        ("strassenlaternen", [QUARTET]),
        ("e\N{COMBINING ACUTE ACCENT}tude", [TRIO]),
        ("violin", [QUARTET]),
        ("violin flute", []),
        ("evening/", [QUARTET]),
        ("trio", [TRIO]),
        ("mixed", [MIXED]),
        ("conflict", [QUARTET, TRIO, MIXED]),
        ("Conflicts flute", [TRIO]),
        ("3:2", [QUARTET, MIXED]),
        ("2:3", [QUARTET, MIXED]),
        ("6:4 4:3", [QUARTET]),
        ("0:0", []),
        ("parts=3", [TRIO]),
        ("parts=4 3:2 viola", [QUARTET]),
        ("(.*", []),
    ],
)
def test_every_word_must_fit(words: str, found: list[IndexedScore]) -> None:
    assert search(INDEX, words) == found
