"""A part is found by its instrument's names, in the languages that scores are printed in.

The names and abbreviations are those of music21's tables (`languageExcerpts.instrumentLookup`);
numbering by order where the page has no numbers: common practice, no source.
"""

from __future__ import annotations

import pytest
from music21.languageExcerpts import instrumentLookup as lookup

from companion.errors import RequestError
from companion.score.bar_numbers import find_part
from companion.score.part_names import distinct_names, named_alike
from tests.score.written import score_of

CLASSES = ("Violin", "Viola", "Violoncello", "Contrabass")
TABLES = (
    lookup.englishToClassName,
    lookup.germanToClassName,
    lookup.frenchToClassName,
    lookup.italianToClassName,
    lookup.spanishToClassName,
    lookup.abbreviationToClassName,
)
NOT_TAKEN = {"alto", "altos", "viole", "vio", "vlon"}
"""The first two are voices too; `viole` are viols as often as violas, `vio` begins violin and
viola alike, `vlon` violone."""
NAMED = sorted(
    {
        (name, kind)
        for table in TABLES
        for name, kind in table.items()
        if kind in CLASSES and name not in NOT_TAKEN
    }
)
QUARTET = ("Violin I", "Violin II", "Viola", "Violoncello")
UNNUMBERED = ("Violin", "Violin", "Viola", "Violoncello")


@pytest.mark.parametrize(("name", "kind"), NAMED, ids=[name for name, _ in NAMED])
def test_every_name_of_a_string_instrument_finds_it(name: str, kind: str) -> None:
    names = ("Violin", "Viola", "Violoncello", "Double Bass", "Flute", "Alto", "Bass")
    assert named_alike(names, name) == [CLASSES.index(kind)]


@pytest.mark.parametrize(
    ("text", "index"),
    [
        ("violin 2", 1),
        ("Violin 2", 1),
        ("second violin", 1),
        ("Violino secondo", 1),
        ("2. Violine", 1),
        ("1st violin", 0),
        ("vn1", 0),
        ("Vl. II", 1),
        ("cello", 3),
        ("Vc.", 3),
        ("va", 2),
    ],
)
@pytest.mark.parametrize("names", [QUARTET, UNNUMBERED], ids=["numbered", "by order"])
def test_the_number_in_the_section_is_heard(names: tuple[str, ...], text: str, index: int) -> None:
    assert named_alike(names, text) == [index]


@pytest.mark.parametrize(
    "text", ["", "2", "ii", "violin 5", "violin 1 2", "flute", "bass", "cello 2", "solo cello"]
)
def test_what_means_no_part_finds_none(text: str) -> None:
    assert named_alike(QUARTET, text) == []


def test_an_instrument_that_several_play_is_asked_back() -> None:
    score = score_of({name: "2/4 h" for name in QUARTET})
    assert find_part(score, "cello") == 3
    with pytest.raises(RequestError, match="could be 1 Violin I, 2 Violin II"):
        find_part(score, "vn")


def test_parts_of_one_name_are_told_apart_by_their_places() -> None:
    assert distinct_names(["Violin", "Violin", "", "Cello"]) == [
        *("Violin (1)", "Violin (2)", "(3)", "Cello")
    ]
