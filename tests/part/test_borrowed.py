"""Marks that are everybody's come over from the part that carries them.

Where a moment of 6/8 lies in 2/4 under beat = beat is arithmetic: the second dotted
quarter is the second quarter, the second eighth lies a third of a quarter after the first.
`sound tempo` counts quarters a minute whatever the meter (musicxml.xsd 3.1, sound).
"""

from fractions import Fraction

import pytest

from companion.part.player_entrances import Cues
from tests.part.pages import page
from tests.part.schema import faults
from tests.part.taking import Taken, take


def rehearsals(taken: Taken) -> dict[int, list[str | None]]:
    return {
        number: found
        for number, measure in enumerate(taken.measures, 1)
        if (found := [m.text for m in measure.iterfind("direction/direction-type/rehearsal")])
    }


def metronomes(taken: Taken) -> list[tuple[int, Fraction, Fraction, Fraction | None]]:
    """(bar, quarters after the barline, beat in quarters, a minute)."""
    return [
        (number, Fraction(mark.onset, taken.read.ticks), mark.beat, mark.per_minute)
        for number, bar in enumerate(taken.part.bars, 1)
        for mark in bar.tempos
        if mark.is_printed
    ]


def test_a_rehearsal_mark_over_the_top_part_reaches_every_part() -> None:
    duo = page(Flute="4/4 A4w | [reh B] A4w", Horn="4/4 C4w | C4w")
    taken = take(duo, 2)
    assert rehearsals(taken) == {2: ["B"]}
    assert taken.added["rehearsal marks"] == 1


def test_a_mark_that_is_there_already_is_not_printed_twice() -> None:
    duo = page(
        Flute="4/4 [reh A] [metro q 90] A4w | [words rit.] A4w",
        Horn="4/4 [reh A] [metro q 90] C4w | [words rit.] C4w",
    )
    taken = take(duo, 2)
    assert not taken.added
    assert rehearsals(taken) == {1: ["A"]}


def test_marks_of_a_lower_part_are_brought_as_well_but_each_only_once() -> None:
    trio = page(
        Flute="4/4 A4w | A4w", Horn="4/4 [reh A] C4w | C4w", Bassoon="4/4 [reh A] C3w | C3w"
    )
    assert rehearsals(take(trio, 1)) == {1: ["A"]}


def test_a_tempo_in_the_middle_of_a_bar_lands_on_the_note_that_sounds_then() -> None:
    duo = page(Flute="4/4 A4h [metro q 60] A4h", Horn="4/4 C4q C4q C4q C4q")
    assert metronomes(take(duo, 2)) == [(1, Fraction(2), Fraction(1), Fraction(60))]


def test_a_tempo_under_a_long_note_keeps_its_place_by_an_offset() -> None:
    duo = page(Flute="4/4 A4h. [metro q 60] A4q", Horn="4/4 C4w")
    taken = take(duo, 2)
    direction = taken.measures[0].find("direction")
    assert direction is not None and direction.findtext("offset") == "72"
    assert faults(taken.musicxml, "3.1") == []


def test_a_dotted_quarter_in_six_eight_is_a_quarter_for_the_player_in_two_four() -> None:
    duo = page(Flute="6/8 A4q. [metro q. 80] A4q.", Horn="2/4 C4q C4q")
    assert metronomes(take(duo, 2)) == [(1, Fraction(1), Fraction(1), Fraction(80))]


def test_and_the_other_way_round() -> None:
    duo = page(Flute="2/4 A4q [metro q 80] A4q", Horn="6/8 C4q. C4q.")
    assert metronomes(take(duo, 2)) == [(1, Fraction(3, 2), Fraction(3, 2), Fraction(80))]


def test_a_beat_that_is_no_note_value_here_is_counted_in_the_players_own() -> None:
    duo = page(Flute="6/8 [metro e 240] A4q. A4q.", Horn="2/4 C4q C4q")
    assert metronomes(take(duo, 2)) == [(1, Fraction(0), Fraction(1), Fraction(80))]


def test_a_tempo_for_a_device_counts_the_players_own_quarters() -> None:
    duo = page(Flute="6/8 A4q. [sound 120] A4q.", Horn="2/4 C4q C4q")
    taken = take(duo, 2)
    sound = taken.measures[0].find("sound")
    assert sound is not None and sound.get("tempo") == "80"
    (mark,) = taken.part.bars[0].tempos
    assert Fraction(mark.onset, taken.read.ticks) == 1


def test_a_relation_between_note_values_stays_with_the_part_whose_meter_changes() -> None:
    duo = page(Flute="6/8 A4h. | 2/4 [same q. q] A4h", Horn="6/8 C4h. | 6/8 C4h.")
    assert metronomes(take(duo, 2)) == []


def test_a_relation_is_brought_where_both_write_the_same() -> None:
    duo = page(Flute="6/8 A4h. | 2/4 [same q. q] A4h", Horn="6/8 C4h. | 2/4 C4h")
    assert metronomes(take(duo, 2)) == [(2, Fraction(0), Fraction(3, 2), None)]


def test_a_place_that_divisions_cannot_count_becomes_the_barline() -> None:
    duo = page(Flute="6/8 A4e [sound 120] A4e A4e A4q.", Horn="2/4 C4h")
    coarse = duo.replace(
        b'<part id="P2"><measure number="1"><attributes><divisions>24</divisions>',
        b'<part id="P2"><measure number="1"><attributes><divisions>1</divisions>',
    ).replace(b"<duration>48</duration>", b"<duration>2</duration>")
    (mark,) = take(coarse, 2).part.bars[0].tempos
    assert mark.onset == 0


@pytest.mark.parametrize(
    ("words", "is_everybodys"),
    [
        ("[words Allegro]", True),
        ("[words poco rit.]", True),
        ("[words a tempo]", True),
        ("[words più mosso]", True),
        ("[bold Trio]", True),
        ("[words Trio]", True),
        ("[words Duetto]", False),
        ("[bold Solo]", False),
        ("[words dolce]", False),
        ("[words espressivo]", False),
        ("[below Allegro]", False),
        ("[words In tempo of a walk] [metro q 60]", True),
        ("[words dolce] [metro q 60]", False),
    ],
)
def test_words_over_the_top_part_are_everybodys_if_they_speak_of_tempo(
    words: str, is_everybodys: bool
) -> None:
    """Common practice, no source."""
    duo = page(Flute=f"4/4 {words} A4w", Horn="4/4 C4w")
    assert bool(take(duo, 2).words(1)) is is_everybodys


@pytest.mark.parametrize("own", ["[words Allegro]", "[below Allegro]", "[words allegro.]"])
@pytest.mark.parametrize("other", ["[words Allegro]", "[words Allegro] [metro q 90]"])
def test_a_tempo_text_that_two_parts_have_is_printed_once(own: str, other: str) -> None:
    duo = page(Flute=f"4/4 {other} A4w", Horn=f"4/4 {own} C4w")
    assert len(take(duo, 2).words(1)) == 1
    duo = page(Flute=f"4/4 {own} A4w", Horn=f"4/4 {other} C4w")
    assert len(take(duo, 1).words(1)) == len(take(duo, 2).words(1)) == 1


def test_words_of_another_part_than_the_top_one_are_its_own_business() -> None:
    trio = page(Flute="4/4 A4w", Horn="4/4 [words Allegro] C4w", Bassoon="4/4 C3w")
    assert take(trio, 3).words(1) == []


def test_segno_fine_and_da_capo_are_brought_with_what_they_do() -> None:
    duo = page(Flute="4/4 [segno] A4w | A4w [fine] | A4w [dc]", Horn="4/4 C4w | C4w | C4w")
    taken = take(duo, 2)
    kinds = [{mark.kind for mark in bar.marks} - {"words"} for bar in taken.part.bars]
    assert kinds == [{"segno"}, {"fine"}, {"dacapo"}]
    assert taken.added["signs"] == 3


def test_da_capo_stays_at_the_right_barline_when_the_meters_differ() -> None:
    duo = page(Flute="6/8 A4h. | A4h. [dc]", Horn="2/4 C4h | C4h")
    taken = take(duo, 2)
    (jump,) = [mark for mark in taken.part.bars[1].marks if mark.kind == "dacapo"]
    assert Fraction(jump.onset, taken.read.ticks) == 2


def test_a_part_on_two_staves_gets_the_mark_over_the_upper_one() -> None:
    duo = page(Flute="4/4 [reh A] A4w", Harp="4/4 C4w")
    two = duo.replace(
        b'<part id="P2"><measure number="1"><attributes><divisions>24</divisions>'
        b"<time><beats>4</beats><beat-type>4</beat-type></time>",
        b'<part id="P2"><measure number="1"><attributes><divisions>24</divisions>'
        b"<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>",
    )
    taken = take(two, 2, Cues.NONE)
    assert [d.findtext("staff") for d in taken.measures[0].iterfind("direction")] == ["1"]
    assert faults(taken.musicxml, "3.1") == []


def test_the_others_place_on_the_page_is_left_behind() -> None:
    duo = page(Flute="4/4 [reh A] A4w", Horn="4/4 C4w").replace(
        b"<rehearsal>", b'<rehearsal default-y="40" relative-x="-3" font-size="14">'
    )
    (mark,) = take(duo, 2).root.iter("rehearsal")
    assert list(mark.attrib) == ["font-size"]


def test_a_boxed_letter_is_a_rehearsal_mark_by_another_name() -> None:
    duo = page(Flute="4/4 A4w | [words B] A4w", Horn="4/4 C4w | C4w")
    boxed = duo.replace(b"<words>", b'<words enclosure="rectangle">')
    taken = take(boxed, 2)
    assert taken.words(2) == ["B"]
    assert taken.added["rehearsal marks"] == 1


def test_where_barlines_travel_apart_a_mark_lands_at_the_same_moment() -> None:
    """Two bars of 3/4 are three bars of 2/4."""
    duo = page(
        Flute="3/4 A4h. | A4h. | [reh B] A4h. | A4q [metro q 50] A4h",
        Horn="2/4 C4h | C4h | C4h | C4h | C4q C4q | C4h",
    )
    taken = take(duo, 2)
    assert rehearsals(taken) == {4: ["B"]}
    assert metronomes(taken) == [(6, Fraction(0), Fraction(1), Fraction(50))]


def test_a_mark_printed_away_from_its_note_is_brought_from_where_it_holds() -> None:
    """An offset moves what is seen; what is heard stays unless it says so (musicxml.xsd 3.1,
    offset)."""
    duo = page(Flute="4/4 A4h [metro q 60] A4h", Horn="4/4 C4q C4q C4q C4q")
    for sound, onset in (("", 2), (' sound="yes"', 3)):
        moved = duo.replace(
            b"</metronome></direction-type>",
            f"</metronome></direction-type><offset{sound}>24</offset>".encode(),
        )
        assert metronomes(take(moved, 2))[0][1] == onset
