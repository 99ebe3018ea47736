"""Bars on the shared clock. What a beat is: common practice, no source."""

from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.conflicts import conflicts_of
from companion.rhythm.tempo_relation import Same
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Mark, Note, Part, PartBar, Score, TempoMark
from tests.score.written import TICKS, score, score_of


def starts(clock: Clock) -> list[str]:
    return [str(bar.start) for bar in clock.bars]


def told(clock: Clock) -> list[tuple[int, str, str, str]]:
    return [(a.bar, a.what, a.value, a.because) for a in clock.assumptions]


def test_bars_are_counted_in_felt_beats() -> None:
    clock = lay(score(V="6/8 q. q. | q. q. | q. q."))
    assert starts(clock) == ["0", "2", "4"]
    assert clock.end == 6


def test_two_four_beside_six_eight_stays_together_to_the_end() -> None:
    clock = lay(score(V="6/8 q. q. | q. q. | q. q. | q. q.", C="2/4 q q | q q | h | q q"))
    assert starts(clock) == ["0", "2", "4", "6"]
    assert [place.start for place in clock.places[0]] == [p.start for p in clock.places[1]]
    assert clock.places[0][0].pace == Fraction(2, 3)
    assert clock.places[1][0].pace == 1
    second = clock.score.parts[1].bars[3].notes[1]
    assert clock.onset(1, 3, second) == 7
    later = clock.score.parts[0].bars[3].notes[1]
    assert clock.onset(0, 3, later) == 7
    assert [place.end for place in clock.places[0]] == [2, 4, 6, 8] == [b.end for b in clock.bars]


def test_each_part_has_its_meter_in_every_bar_of_the_score() -> None:
    clock = lay(score(V="6/8 q. q. | 2/4 q q | q q", C="2/4 q q | q q", K="-"))
    meters = [[str(clock.meter_at(part, bar)) for bar in clock.bars] for part in range(3)]
    assert meters == [["6/8", "2/4", "2/4"], ["2/4", "2/4", "None"], ["None"] * 3]
    bars = [PartBar("1", "2/4", 4, (Note(0, 4, "A4"),))]
    nothing = lay(Score("x", "", 2, (Part("P1", "V", tuple(bars)), Part("P2", "C", ()))))
    assert nothing.meter_at(1, nothing.bars[0]) is None


def test_a_part_with_barlines_of_its_own_is_read_at_the_bar_that_sounds() -> None:
    clock = lay(score(free=frozenset({"C"}), V="3/4 h. | h. | h.", C="2/4 q q | h | 5/4 q q q q q"))
    assert [str(clock.meter_at(1, bar)) for bar in clock.bars] == ["2/4", "2/4", "5/4"]
    assert [clock.own_bar_at(1, Fraction(time)) for time in range(11)] == [
        *(0, 0, 1, 1, 2, 2, 2, 2, 2, 2),
        2,  # after the end, the last one
    ]
    assert clock.own_bar_at(1, Fraction(-1)) == 0


def test_a_part_that_keeps_its_meter_keeps_its_bars_length() -> None:
    clock = lay(score(V="6/8 q. q. | 2/2 h h | 6/8 q. q.", C="6/8 q. q. | q. q. | q. q."))
    assert starts(clock) == ["0", "2", "4"]
    assert told(clock) == [
        (2, "tempo relation", "beat = beat", "custom"),
        (3, "tempo relation", "beat = beat", "custom"),
    ]
    assert clock.assumptions[0].parts == ("P1",)


def test_a_part_that_changes_alone_gets_into_its_bar_whatever_it_has_there() -> None:
    clock = lay(score(V="6/8 q. q. | 9/8 q. q. q.", C="6/8 q. q. | q. q."))
    assert starts(clock) == ["0", "2"] and clock.end == 4
    assert told(clock) == [(2, "tempo relation", "bar = bar", "barlines")]


def test_three_four_beside_six_eight_keeps_the_eighth() -> None:
    clock = lay(score(V="6/8 q. q. | 3/4 q q q", C="6/8 q. q. | q. q."))
    assert clock.bars[1].length == 2
    assert clock.places[0][1].pace == clock.places[1][1].pace
    assert told(clock) == [(2, "tempo relation", "note = note", "custom")]


def test_note_equals_note_shows_in_the_length_of_the_bar() -> None:
    music = score(V="6/8 q. q. | 2/4 q q | q q")
    assert [str(bar.length) for bar in lay(music).bars] == ["2", "2", "2"]
    assert [str(bar.length) for bar in lay(music, {2: Same.NOTE}).bars] == ["2", "4/3", "4/3"]
    assert told(lay(music, {2: Same.NOTE})) == [(2, "tempo relation", "note = note", "player")]


def test_a_two_note_mark_decides_whichever_way_round_it_is_printed() -> None:
    for left, right in ((Fraction(3, 2), Fraction(1)), (Fraction(1), Fraction(3, 2))):
        mark = TempoMark(0, left, None, right)
        clock = lay(score({2: (mark,)}, V="6/8 q. q. | 2/4 q q"))
        assert [str(bar.length) for bar in clock.bars] == ["2", "2"]
        assert told(clock) == [(2, "tempo relation", "beat = beat", "mark")]


def test_a_two_note_mark_overrules_the_custom() -> None:
    mark = TempoMark(0, Fraction(1, 2), None, Fraction(1, 2))
    clock = lay(score({2: (mark,)}, V="6/8 q. q. | 2/4 q q"))
    assert clock.bars[1].length == Fraction(4, 3)
    assert told(clock) == [(2, "tempo relation", "note = note", "mark")]


def test_a_relation_counts_where_it_stands_at_the_end_of_the_bar_before() -> None:
    late = TempoMark(3 * TICKS, Fraction(1, 2), None, Fraction(1, 2))
    clock = lay(score({1: (late,)}, V="6/8 q. q. | 2/4 q q"))
    assert told(clock) == [(2, "tempo relation", "note = note", "mark")]


@pytest.mark.parametrize(
    "words", ["L'istesso tempo", "L’istesso tempo, ma più cantabile", "Lo stesso movimento"]
)
def test_words_for_the_same_tempo_keep_the_beat(words: str) -> None:
    """L'istesso tempo: the beat goes on as it was (common practice, no source).
    By custom the eighth would stay from 2/4 into 9/8."""
    music = score(V="2/4 q q | 9/8 q. q. q.", C="2/4 h | 9/8 q. q. q.")
    assert told(lay(music)) == [(2, "tempo relation", "note = note", "custom")]
    cello = music.parts[1]
    bar = msgspec.structs.replace(cello.bars[1], marks=(Mark(0, "words", words),))
    cello = msgspec.structs.replace(cello, bars=(cello.bars[0], bar))
    clock = lay(msgspec.structs.replace(music, parts=(music.parts[0], cello)))
    assert told(clock) == [(2, "tempo relation", "beat = beat", "mark")]
    assert clock.bars[1].length == 3


def test_a_new_movement_keeps_nothing_of_the_last() -> None:
    clock = lay(score(labels=["1", "2", "1", "2"], V="6/8 q. q. | q. q. | 2/4 q q | q q"))
    assert told(clock) == []


@pytest.mark.parametrize(
    ("per_minute", "length", "value"),
    [
        (80, Fraction(2), ("beat = beat", "mark")),
        (120, Fraction(4, 3), ("note = note", "mark")),
        (100, Fraction(2), ("beat = beat", "custom")),
    ],
)
def test_a_new_metronome_mark_decides_where_it_shows_what_stays(
    per_minute: int, length: Fraction, value: tuple[str, str]
) -> None:
    marks = {
        1: (TempoMark(0, Fraction(3, 2), Fraction(80)),),
        2: (TempoMark(0, Fraction(1), Fraction(per_minute)),),
    }
    clock = lay(score(marks, V="6/8 q. q. | 2/4 q q"))
    assert clock.bars[1].length == length
    assert told(clock) == [(2, "tempo relation", *value)]


def test_a_metronome_mark_is_heard_in_the_time_of_the_part_that_has_it() -> None:
    """C's quarter is 60 before and after: it stays, and V's dotted quarter becomes a quarter."""
    music = score(V="6/8 q. q. | 3/4 q q q", C="2/4 q q | 3/4 q q q")
    mark = (TempoMark(0, Fraction(1), Fraction(60)),)
    bars = tuple(msgspec.structs.replace(bar, tempos=mark) for bar in music.parts[1].bars)
    lower = msgspec.structs.replace(music.parts[1], bars=bars)
    clock = lay(msgspec.structs.replace(music, parts=(music.parts[0], lower)))
    assert starts(clock) == ["0", "2"] and clock.end == 5
    assert told(clock) == [
        (2, "tempo relation", "beat = beat", "mark"),
        (2, "tempo relation", "note = note", "mark"),
    ]


def test_the_last_mark_of_a_bar_is_the_tempo_before_the_next() -> None:
    """120 dotted quarters after 120 quarters, whatever another part had at the bar's beginning."""
    quarter, dotted = Fraction(1), Fraction(3, 2)
    music = score(
        {
            1: (TempoMark(0, quarter, Fraction(60)), TempoMark(TICKS, quarter, Fraction(120))),
            2: (TempoMark(0, dotted, Fraction(120)),),
        },
        V="2/4 q q | 6/8 q. q.",
        C="2/4 q q | 6/8 q. q.",
    )
    first, second = music.parts[1].bars
    first = msgspec.structs.replace(first, tempos=(TempoMark(0, quarter, Fraction(60)),))
    lower = msgspec.structs.replace(music.parts[1], bars=(first, second))
    clock = lay(msgspec.structs.replace(music, parts=(music.parts[0], lower)))
    assert told(clock) == [(2, "tempo relation", "beat = beat", "mark")]


def test_a_pickup_of_unequal_beats_is_told_in_pulses() -> None:
    clock = lay(score(V="3+2/8 e e | q. q", C="3+2/8 q | q. q"))
    assert told(clock) == [(1, "pickup", "2 of 5 pulses", "source")]


def test_the_player_overrules_the_mark() -> None:
    mark = TempoMark(0, Fraction(3, 2), None, Fraction(1))
    clock = lay(score({2: (mark,)}, V="6/8 q. q. | 2/4 q q"), {2: Same.NOTE})
    assert told(clock)[0][3] == "player"


def test_a_pickup_is_short_and_leads_into_the_first_bar() -> None:
    clock = lay(score(V="6/8 e | q. q.", C="6/8 re | q. q."))
    assert starts(clock) == ["0", "1/3"]
    assert clock.places[0][0].lead == Fraction(5, 3)
    assert told(clock) == [(1, "pickup", "1/3 of 2 beats", "source")]


def test_a_bar_split_by_a_repeat_is_two_short_bars_and_one_whole() -> None:
    clock = lay(score(V="3/4 q q q | h | q | q q q", C="3/4 q q q | q q | q | h."))
    assert [str(bar.length) for bar in clock.bars] == ["3", "2", "1", "3"]
    assert [str(place.lead) for place in clock.places[0]] == ["0", "0", "2", "0"]


def test_a_bar_that_ends_early_in_one_part_is_not_stretched() -> None:
    clock = lay(score(V="3/4 q q q | q q q", C="3/4 q q | q q q"))
    assert starts(clock) == ["0", "3"]
    assert clock.places[1][0].pace == 1
    assert told(clock)[0][:2] == (1, "short bar")


def test_a_bar_that_is_too_long_is_given_its_room() -> None:
    clock = lay(score(V="2/4 q q | q q q | q q", C="2/4 q q | h | q q"))
    assert starts(clock) == ["0", "2", "5"]
    assert (2, "long bar", "3 of 2 beats", "source") in told(clock)


def test_rests_past_the_end_of_a_bar_do_not_make_it_long() -> None:
    clock = lay(score(V="2/4 q q | h", C="2/4 rh rh | q q"))
    assert starts(clock) == ["0", "2"] and told(clock) == []


def test_an_empty_bar_lasts_as_long_as_its_meter() -> None:
    assert lay(score(V="3/4 - | - | q q q")).end == 9


def test_an_unmeasured_bar_lasts_as_long_as_its_notes() -> None:
    clock = lay(score(V="2/4 q q | free q q q | 2/4 q q"))
    assert [str(bar.length) for bar in clock.bars] == ["2", "3", "2"]
    assert clock.places[0][1].meter is None


def test_barlines_of_ones_own_share_the_unit() -> None:
    music = score(free=frozenset({"C"}), V="3/4 q q q | q q q", C="2/4 q q | q q | q q")
    clock = lay(music)
    assert not clock.barlines_coincide
    assert [str(place.start) for place in clock.places[1]] == ["0", "2", "4"]
    assert starts(clock) == ["0", "3"]


def test_a_part_that_stops_early_leaves_the_others_together() -> None:
    clock = lay(score(V="6/8 q. q. | q. q. | q. q.", C="2/4 q q | q q"))
    assert clock.barlines_coincide
    assert starts(clock) == ["0", "2", "4"]
    assert (3, "missing bars", "silent from here on", "source") in told(clock)


def test_a_meter_after_unmeasured_bars_keeps_the_length_of_a_quarter() -> None:
    clock = lay(score(V="6/8 q. q. | free q q | 3/4 q q q", C="6/8 q. q. | free h | 3/4 h."))
    assert {place.pace for places in clock.places for place in places} == {Fraction(2, 3)}
    assert [str(bar.length) for bar in clock.bars] == ["2", "4/3", "2"]


@pytest.mark.parametrize(
    ("labels", "of_movement"),
    [
        ("1 2 3 1 2", "1 1 1 2 2"),
        ("0 1 2 0 1 2", "1 1 1 2 2 2"),
        ("1 2 0 3 4", "1 1 1 1 1"),
        ("1 2 X1 3", "1 1 1 1"),
        ("1 1 2 3", "1 1 1 1"),
        ("1 2 (1) (2) 3", "1 1 1 1 1"),
    ],
)
def test_printed_numbers_that_start_again_begin_a_movement(labels: str, of_movement: str) -> None:
    music = score(labels=labels.split(), V=" | ".join(["2/4 h"] * len(labels.split())))
    assert [str(bar.movement) for bar in lay(music).bars] == of_movement.split()


METERS = st.sampled_from(["6/8", "2/4", "3/4", "2/2", "9/8", "4/4", "3+2/8", "12/8", "5/8"])


@given(
    st.integers(1, 3).flatmap(
        lambda n: st.lists(st.lists(METERS, min_size=4, max_size=4), min_size=n, max_size=n)
    )
)
def test_every_parts_bars_fill_the_clock_whatever_the_meters(rows: list[list[str]]) -> None:
    parts = {f"part{i}": " | ".join(f"{meter} -" for meter in row) for i, row in enumerate(rows)}
    clock = lay(score_of(parts))
    for places, row in zip(clock.places, rows, strict=True):
        assert sum(place.length for place in places) == clock.end
        assert [place.start for place in places] == [bar.start for bar in clock.bars]
        for place, text in zip(places, row, strict=True):
            assert place.meter is not None and place.meter.text == text
            assert place.pace * place.meter.length == place.length


def test_a_time_signature_its_notes_contradict_is_told_and_not_believed() -> None:
    """3+4/8 over six eighths, while the others have 6/8: no seven against two."""
    clock = lay(score(V="6/8 q. q. | 3+4/8 q. q. | e e e q.", C="6/8 q. q. | q. q. | q. q."))
    assert told(clock) == [
        (2, "time signature", "3+4/8 read as 6/8, which its notes fill", "source")
    ]
    assert clock.assumptions[0].parts == ("P1",)
    assert [place.meter.text if place.meter else "" for place in clock.places[0]] == ["6/8"] * 3
    assert [place.pace for place in clock.places[0]] == [place.pace for place in clock.places[1]]
    assert not conflicts_of(clock)


def test_a_meter_that_its_own_notes_fill_is_believed_whatever_the_others_have() -> None:
    music = score(V="6/8 q. q. | 7/8 q. h | q. q.", C="6/8 q. q. | q. q. | q. q.")
    assert not [one for one in lay(music).assumptions if one.what == "time signature"]
    flagship = score(V="6/8 q. q. | q. q.", C="2/4 q q | q q")
    assert not lay(flagship).assumptions


def test_what_was_read_in_a_bar_of_one_part_is_told_in_words_where_barlines_travel() -> None:
    music = score(V="4/4 w | w", C="2/4 h | h | h | h")
    clock = lay(msgspec.structs.replace(music, slips=((4, "Cello: a note was mended"),)))
    told = next(one for one in clock.assumptions if one.what == "reading")
    assert (told.bar, told.value) == (
        0,
        "Cello: a note was mended (in bar 4 of its part, counted from 1)",
    )
