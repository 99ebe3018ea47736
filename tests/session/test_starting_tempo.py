"""The tempo a drill begins at."""

from fractions import Fraction
from pathlib import Path

from companion.journal.log import FILE_NAME
from companion.score.model import TempoMark
from companion.score.passage import passage
from companion.session.starting_tempo import TempoSource, marked_tempo, starting_tempo
from tests.score.written import score
from tests.session.small_scores import folders_in, opened_for_practice, whole

DOTTED = Fraction(3, 2)


def test_the_scores_mark_becomes_felt_beats_of_my_part() -> None:
    # Dotted quarter = 80 in 6/8 is the same beat as quarter = 80 in 2/4, and eighth = 240:
    # MusicXML's own reading of [metronome], and of [sound] tempo in quarters a minute (120).
    for mark in (TempoMark(0, DOTTED, Fraction(80)), TempoMark(0, Fraction(1), Fraction(120))):
        open_score = opened_for_practice(score({1: (mark,)}, V="6/8 q. q.", C="2/4 q q"))
        for part in (0, 1):
            start = marked_tempo(whole(open_score, part))
            assert start.bpm == 80
            assert start.source is TempoSource.MARK


def test_a_passage_takes_the_last_mark_before_it() -> None:
    marks = {
        1: (TempoMark(0, Fraction(1), Fraction(60)),),
        3: (TempoMark(0, Fraction(1), Fraction(90)),),
    }
    open_score = opened_for_practice(score(marks, V="2/4 q q | q q | q q | q q"))
    tempos = [marked_tempo(passage(open_score.clock, 0, bar, bar)).bpm for bar in (1, 2, 3, 4)]
    assert tempos == [60, 60, 90, 90]


def test_without_a_mark_it_is_60_and_said_to_be_nobodys() -> None:
    start = marked_tempo(whole(opened_for_practice(score(V="2/4 q q"))))
    assert start.bpm == 60
    assert start.source is TempoSource.CUSTOM


def test_a_tempo_that_only_a_device_is_told_is_no_mark() -> None:
    # MusicXML 4.0, element sound: a tempo for playback, not on the page.
    played = TempoMark(0, Fraction(1), Fraction(80), is_printed=False)
    start = marked_tempo(whole(opened_for_practice(score({1: (played,)}, V="2/4 q q"))))
    assert start.bpm == 80
    assert start.source is TempoSource.PLAYBACK


def test_a_device_told_the_printed_tempo_again_takes_nothing_back() -> None:
    marks = {
        1: (TempoMark(0, Fraction(1), Fraction(80)),),
        2: (TempoMark(0, Fraction(1), Fraction(80), is_printed=False),),
        3: (TempoMark(0, Fraction(1), Fraction(50), is_printed=False),),
    }
    open_score = opened_for_practice(score(marks, V="2/4 q q | q q | q q"))
    sources = [marked_tempo(passage(open_score.clock, 0, bar, bar)).source for bar in (1, 2, 3)]
    assert sources == [TempoSource.MARK, TempoSource.MARK, TempoSource.PLAYBACK]


def test_a_mark_nobody_could_play_to_is_held_within_10_and_400() -> None:
    open_score = opened_for_practice(
        score({1: (TempoMark(0, Fraction(1), Fraction(999)),)}, V="2/4 q q")
    )
    assert marked_tempo(whole(open_score)).bpm == 400


def test_a_log_that_cannot_be_read_is_told_and_keeps_nobody_from_playing(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"this is no database, however long it goes on" * 50)
    start = starting_tempo(
        whole(opened_for_practice(score(V="2/4 q q"))), "ab12", folders_in(tmp_path)
    )
    assert start.bpm == 60
    assert start.log_error is not None
