"""A player reads in her own part what the others are counting.

6/8 against 2/4: two beats each, so the beats agree. 6/8 against 3/4: equal eighths. Both
are common practice, no source. The corpus score's bars are counted from its own XML.
"""

from tests.part.pages import page
from tests.part.taking import corpus, take


def test_two_against_six_is_told_where_it_begins_and_where_it_ends() -> None:
    trio = page(
        Flute="6/8 A4h. | 2/4 A4h | A4h | 6/8 A4h.",
        Oboe="6/8 A4h. | 2/4 A4h | A4h | 6/8 A4h.",
        Horn="6/8 C4h. | C4h. | C4h. | C4h.",
    )
    taken = take(trio, 3)
    assert [taken.words(bar) for bar in range(1, 5)] == [
        [],
        ["others in 2/4, beat = beat"],
        [],
        ["all in 6/8"],
    ]
    assert taken.added["meter notes"] == 2


def test_parts_are_named_where_only_some_differ() -> None:
    trio = page(Flute="6/8 A4h.", Oboe="3/4 A4h.", Horn="6/8 C4h.")
    assert take(trio, 1).words(1) == ["Obo. in 3/4, note = note"]
    assert take(trio, 2).words(1) == ["others in 6/8, note = note"]


def test_parts_are_named_where_they_differ_among_themselves() -> None:
    trio = page(Flute="6/8 A4h.", Oboe="2/4 A4h", Horn="3/4 C4h.")
    assert take(trio, 1).words(1) == ["Obo. in 2/4, beat = beat; Hor. in 3/4, note = note"]


def test_an_abbreviation_that_is_only_a_letter_gives_way_to_the_name() -> None:
    trio = page(Flute="6/8 A4h.", Oboe="3/4 A4h.", Horn="6/8 C4h.")
    taken = take(trio.replace(b">Obo.<", b">II<"), 1)
    assert taken.words(1) == ["Oboe in 3/4, note = note"]


def test_nothing_is_told_where_the_meters_agree() -> None:
    taken = take(page(Flute="6/8 A4h. | 2/4 A4h", Horn="6/8 C4h. | 2/4 C4h"), 2)
    assert taken.words(1) == taken.words(2) == []


def test_words_stand_above_the_staff() -> None:
    taken = take(page(Flute="6/8 A4h.", Horn="2/4 C4h"), 2)
    (direction,) = taken.measures[0].findall("direction")
    assert direction.get("placement") == "above"


def test_barlines_that_travel_apart_are_told_by_the_note_that_stays() -> None:
    duo = page(Flute="3/4 A4h. | A4h. | A4h. | A4h.", Horn="2/4 C4h | C4h | C4h | C4h | C4h | C4h")
    assert take(duo, 2).words(1) == ["others in 3/4, note = note"]


def test_a_fourteenth_century_piece_is_told_stretch_by_stretch() -> None:
    """Two upper parts in 2/2 in bars 33–40, 61–63, 138–141 and in 3/4 in 77–86, the lower two
    in 6/8, counted from the corpus file's own XML; from 87 on all are in 3/4."""
    taken = take(corpus("trecento/PMFC_24_6-Gloria_Spiritus_et_alme.xml"), 1)
    told = {
        bar: words
        for bar in range(1, 164)
        if (words := [text for text in taken.words(bar) if " in " in text])
    }
    assert told[33] == told[61] == ["Ct, Tenor in 6/8, beat = beat"]
    assert told[41] == told[64] == ["all in 6/8"]
    assert told[77] == ["Ct, Tenor in 6/8, note = note"]
    assert told[87] == ["all in 3/4"]
    assert list(told) == [33, 41, 61, 64, 77, 87, 138, 142]
