"""Tempos along the shared clock. What marks mean: MusicXML 4.0, elements metronome and sound
(`sound tempo` counts quarters a minute whatever the meter: 6/8 at dotted quarter 80 is 120)."""

from fractions import Fraction
from pathlib import Path

import msgspec
import music21
import pytest

from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Mark, Score, TempoMark
from companion.score.readers.opening import read_score
from companion.score.tempo_map import CUSTOMARY, tempo_map, without_number
from tests.score.written import TICKS, score

FOUR = "6/8 q. q. | q. q. | q. q. | q. q."
DOTTED_80 = TempoMark(0, Fraction(3, 2), Fraction(80))


def with_marks(music: Score, bar: int, *marks: Mark) -> Score:
    top = music.parts[0]
    bars = list(top.bars)
    bars[bar - 1] = msgspec.structs.replace(bars[bar - 1], marks=marks)
    part = msgspec.structs.replace(top, bars=tuple(bars))
    return msgspec.structs.replace(music, parts=(part, *music.parts[1:]))


def four_bars(*marks: Mark) -> Clock:
    return lay(with_marks(score({1: (DOTTED_80,)}, V=FOUR), 3, *marks))


def test_a_metronome_mark_counts_felt_beats_on_the_clock() -> None:
    tempos = tempo_map(lay(score({1: (DOTTED_80,)}, V="6/8 q. q. | 2/4 q q", C="2/4 q q | q q")))
    assert tempos.rate_at(Fraction(0)) == 80
    assert tempos.seconds_at(Fraction(4)) == 3


def test_a_device_tempo_counts_quarters() -> None:
    sound = TempoMark(0, Fraction(1), Fraction(120), None, False)
    assert tempo_map(lay(score({1: (sound,)}, V="6/8 q. q."))).rate_at(Fraction(1)) == 80


def test_the_printed_mark_counts_where_both_stand() -> None:
    sound = TempoMark(0, Fraction(1), Fraction(118), None, False)
    both = tempo_map(lay(score({1: (sound, DOTTED_80)}, V="6/8 q. q.")))
    assert both.rate_at(Fraction(0)) == 80


def test_a_new_tempo_at_a_change_of_meter_counts_its_own_beat() -> None:
    slower = {1: (DOTTED_80,), 2: (TempoMark(0, Fraction(1), Fraction(100)),)}
    clock = lay(score(slower, V="6/8 q. q. | 2/4 q q"))
    tempos = tempo_map(clock)
    assert tempos.seconds_at(clock.end) == Fraction(2 * 60, 80) + Fraction(2 * 60, 100)


def test_without_any_mark_the_tempo_is_a_guess() -> None:
    tempos = tempo_map(lay(score(V="2/4 q q")))
    assert tempos.stated == () and tempos.rate_at(Fraction(0)) == CUSTOMARY


def test_a_new_mark_in_one_meter_changes_the_tempo_and_not_the_clock() -> None:
    marks = {1: (DOTTED_80,), 2: (TempoMark(0, Fraction(3, 2), Fraction(40)),)}
    clock = lay(score(marks, V="6/8 q. q. | q. q."))
    assert clock.end == 4
    assert tempo_map(clock).seconds_at(clock.end) == Fraction(3, 2) + 3


def test_a_ritardando_is_listed_and_drawn_only_when_asked() -> None:
    clock = four_bars(Mark(0, "words", "poco rit."))
    plain = tempo_map(clock)
    (change,) = plain.gradual_changes
    assert (change.start, change.end, change.is_faster) == (Fraction(4), Fraction(8), False)
    assert plain.seconds_at(clock.end) == 6
    drawn = tempo_map(clock, ramps={Fraction(4): Fraction(1, 2)})
    rates = [drawn.rate_at(Fraction(beat)) for beat in range(4, 8)]
    assert rates == [70, 60, 50, 40]
    assert drawn.seconds_at(clock.end) == 3 + sum(Fraction(60, int(rate)) for rate in rates)


def test_a_second_rit_goes_on_with_the_first() -> None:
    late = Mark(3 * TICKS // 2, "words", "rit.")
    clock = four_bars(Mark(0, "words", "poco rit."), late)
    ramps = {change.start: Fraction(1, 2) for change in tempo_map(clock).gradual_changes}
    assert sorted(ramps) == [4, 5]
    drawn = tempo_map(clock, ramps=ramps)
    assert [drawn.rate_at(Fraction(beat)) for beat in range(4, 8)] == [70, 60, 50, 40]


def test_a_tempo_ends_a_bend_and_brings_the_tempo_back() -> None:
    music = score({1: (DOTTED_80,)}, V=FOUR)
    words = (Mark(0, "words", "accel."), Mark(3 * TICKS // 2, "words", "a tempo"))
    clock = lay(with_marks(music, 3, *words))
    tempos = tempo_map(clock, ramps={Fraction(4): Fraction(5, 4)})
    assert [change.end for change in tempos.gradual_changes] == [5]
    assert tempos.rate_at(Fraction(4)) == 100 and tempos.rate_at(Fraction(5)) == 80


def test_a_new_heading_and_a_new_movement_end_a_rit_without_a_number() -> None:
    words = (Mark(0, "words", "rit."), Mark(3 * TICKS // 2, "words", "Allegro assai"))
    assert [change.end for change in tempo_map(four_bars(*words)).gradual_changes] == [5]
    music = score(labels=["1", "2", "1", "2"], V=FOUR)
    clock = lay(with_marks(music, 2, Mark(0, "words", "rall.")))
    assert [change.end for change in tempo_map(clock).gradual_changes] == [4]


def two_meters(*marks: Mark) -> Clock:
    """Dotted quarter 80 in 6/8, quarter 100 from bar 2 on; the marks stand in bar 3."""
    tempos = {1: (DOTTED_80,), 2: (TempoMark(0, Fraction(1), Fraction(100)),)}
    return lay(with_marks(score(tempos, V="6/8 q. q. | 2/4 q q | 6/8 q. q. | q. q."), 3, *marks))


@pytest.mark.parametrize("words", ["Tempo I", "Tempo I.", "Tempo primo", "Tempo 1°", "tempo 1mo"])
def test_the_first_tempo_comes_again(words: str) -> None:
    """Tempo primo: as at the beginning (common practice, no source)."""
    clock = two_meters(Mark(0, "words", words))
    tempos = tempo_map(clock)
    assert [float(told.at) for told in tempos.stated] == [0, 2, 4]
    assert [told.words for told in tempos.stated] == ["", "", words]
    assert tempos.rate_at(Fraction(4)) == 80
    assert without_number(clock) == ()


def test_tempo_primo_in_the_corpus_is_the_tempo_its_encoder_gave_it() -> None:
    """Schumann, String Quartet op. 41 no. 1, last movement, as music21's corpus has it: Presto,
    Moderato at bar 258, “Tempo I.” at bar 290. The encoder stated a tempo at all three; here the
    last one is taken away and must be found again from the words."""
    path = Path(music21.__file__).parent / "corpus/schumann_robert/opus41no1/movement5.mxl"
    music = read_score(path).score
    assert [told.rate for told in tempo_map(lay(music)).stated] == [320, 192, 320]
    for index, part in enumerate(music.parts):
        bars = list(part.bars)
        bars[289] = msgspec.structs.replace(bars[289], tempos=())
        parts = list(music.parts)
        parts[index] = msgspec.structs.replace(part, bars=tuple(bars))
        music = msgspec.structs.replace(music, parts=tuple(parts))
    clock = lay(music)
    tempos = tempo_map(clock)
    assert [told.words for told in tempos.stated] == ["", "", "Tempo I."]
    assert tempos.rate_at(clock.bars[288].start) == 192
    assert tempos.rate_at(clock.bars[289].start) == 320


def test_doppio_movimento_is_twice_as_fast() -> None:
    """The note values go by twice as fast (common practice, no source)."""
    tempos = tempo_map(four_bars(Mark(0, "words", "Doppio movimento")))
    assert tempos.rate_at(Fraction(4)) == 160


def test_a_mark_outranks_the_words_over_it() -> None:
    music = score({1: (DOTTED_80,), 2: (TempoMark(0, Fraction(3, 2), Fraction(40)),)}, V=FOUR)
    clock = lay(with_marks(music, 2, Mark(0, "words", "Doppio movimento")))
    assert tempo_map(clock).rate_at(Fraction(2)) == 40


def test_words_without_a_number_are_told() -> None:
    clock = four_bars(Mark(0, "words", "Meno mosso"), Mark(TICKS, "words", "dolce"))
    assert [word.text for word in without_number(clock)] == ["Meno mosso"]
    assert tempo_map(clock).rate_at(Fraction(4)) == 80


def test_the_first_tempo_of_a_score_without_any_is_without_a_number() -> None:
    clock = lay(with_marks(score(V=FOUR), 2, Mark(0, "words", "Tempo I")))
    assert [word.text for word in without_number(clock)] == ["Tempo I"]


def test_a_fermata_is_held_as_long_as_asked() -> None:
    music = score({1: (DOTTED_80,)}, V="6/8 q. q. | q. q.")
    last = music.parts[0].bars[1]
    held = msgspec.structs.replace(last.notes[1], marks=("fermata",))
    bars = (music.parts[0].bars[0], msgspec.structs.replace(last, notes=(last.notes[0], held)))
    part = msgspec.structs.replace(music.parts[0], bars=bars)
    clock = lay(msgspec.structs.replace(music, parts=(part,)))
    assert tempo_map(clock).holds == (Fraction(4),)
    assert tempo_map(clock).seconds_at(clock.end) == 3
    assert tempo_map(clock, hold=Fraction(2)).seconds_at(clock.end) == Fraction(9, 2)
