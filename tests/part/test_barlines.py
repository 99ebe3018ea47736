"""Repeats, endings and double barlines come over from the part that carries them."""

from companion.score.model import Signs
from tests.part.pages import page
from tests.part.schema import faults
from tests.part.taking import take

TOP = "4/4 [start] A4w | [first] [endfirst] [back] A4w | A4w [double] | A4w"


def test_the_top_parts_repeats_and_endings_reach_the_other_part() -> None:
    taken = take(page(Flute=TOP, Horn="4/4 C4w | C4w | C4w | C4w"), 2)
    assert [bar.signs for bar in taken.part.bars] == [
        Signs(repeat_starts=True),
        Signs(repeat_ends=2, ending=(1,)),
        Signs(closes=True),
        None,
    ]
    assert taken.added["repeats and endings"] == 4
    assert faults(taken.musicxml, "3.1") == []


def test_a_double_barline_is_brought_too() -> None:
    taken = take(page(Flute=TOP, Horn="4/4 C4w | C4w | C4w | C4w"), 2)
    assert taken.measures[2].findtext("barline/bar-style") == "light-light"


def test_what_the_part_has_itself_is_not_doubled() -> None:
    taken = take(page(Flute=TOP, Horn=TOP.replace("A4", "C4")), 2)
    assert "repeats and endings" not in taken.added
    assert len(taken.measures[1].findall("barline")) == 2


def test_a_repeat_joins_a_barline_that_is_there() -> None:
    taken = take(page(Flute="4/4 A4w [back] | A4w", Horn="4/4 C4w [double] | C4w"), 2)
    (line,) = taken.measures[0].findall("barline")
    assert [child.tag for child in line] == ["bar-style", "repeat"]


def test_repeats_are_brought_between_parts_in_different_meters() -> None:
    taken = take(page(Flute="6/8 [start] A4h. | A4h. [back]", Horn="2/4 C4h | C4h"), 2)
    assert [bar.signs for bar in taken.part.bars] == [
        Signs(repeat_starts=True),
        Signs(repeat_ends=2),
    ]


def test_an_ending_hidden_because_the_top_part_shows_it_is_shown() -> None:
    """`print-object="no"` on an ending "is often the case for many parts in a full score"
    (musicxml.xsd 3.1, ending)."""
    source = page(Flute=TOP, Horn=TOP.replace("A4", "C4"))
    hidden = source.replace(b'<ending number="1"', b'<ending print-object="no" number="1"')
    assert all(ending.get("print-object") is None for ending in take(hidden, 2).root.iter("ending"))
