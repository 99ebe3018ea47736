"""What comes of a drill: times through, and the attempt in the log."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import Turns
from companion.errors import RequestError
from companion.journal.log import Log
from companion.journal.log_entries import logged_attempts
from companion.journal.mastery_cache import all_standings
from companion.journal.unsaved_attempts import retry_unsaved
from companion.practice.attempt import Attempt, Outcome
from companion.session.drill import Drill
from companion.session.setting_changes import with_accompaniment, with_silences
from companion.session.starting_tempo import TempoSource
from companion.wording.drill_sentences import noted_told, passes_told
from companion.wording.log_sentences import unsaved_told
from tests.session.small_scores import Hand, drill_of, faster, folders_in, three_against_two

BAR = 2
"""Seconds of a bar of two beats at 60."""


@pytest.fixture
def hand() -> Hand:
    return Hand()


@pytest.fixture
def drill(tmp_path: Path, hand: Hand) -> Drill:
    """Two bars of 3 against 2 at 60, counted in for one bar."""
    return drill_of(three_against_two(), folders_in(tmp_path), hand)


def change(drill: Drill) -> None:
    """Make the sound of what is wanted and put it on, as a screen does."""
    assert drill.load(drill.render())


def logged(place: Path) -> list[Attempt]:
    with Log.read_only(place) as log:
        return log.attempts()


def test_times_through_are_counted_over_stops(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 9)
    assert drill.passes == 2
    drill.stop()
    drill.start()
    hand.push(BAR + 5)
    assert drill.passes == 3
    assert passes_told(drill) == "Times through at this setting: 3 · played 0:18"


def test_times_through_count_for_the_tempo_they_had_from_end_to_end(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(BAR + 9)
    faster(drill, 60)
    change(drill)
    assert drill.passes == 0
    hand.push(2)
    assert drill.passes == 0
    hand.push(2)
    assert drill.passes == 1


@pytest.mark.parametrize(
    ("before", "by", "behind", "outcome", "tempo", "times"),
    [
        # two whole times at 60, and a third whose end was at 120
        (11, 60, 2, Outcome.HELD, 60, 3),
        # after that it fell apart at once
        (11, 60, 1, Outcome.FELL_APART, 120, 0),
        # one that slowed down counts as the slower
        (3, -30, 3, Outcome.HELD, 30, 1),
    ],
)
def test_a_tempo_changed_on_the_way_is_noted_as_it_went(
    drill: Drill,
    hand: Hand,
    before: int,
    by: int,
    behind: int,
    outcome: Outcome,
    tempo: int,
    times: int,
) -> None:
    drill.start()
    hand.push(BAR + before)
    faster(drill, by)
    change(drill)
    hand.push(behind)
    noted = drill.attempt(outcome)
    assert noted.tempo == tempo
    assert noted.repetitions == times


def test_a_layer_taken_away_on_the_way_carried_that_time_through(drill: Drill, hand: Hand) -> None:
    """What a time through was carried by bears on mastery."""
    drill.start()
    hand.push(BAR + 3)
    drill.request(replace(drill.setting, layers=(Layer.THEIRS,)))
    change(drill)
    hand.push(2)
    first = drill.attempt(Outcome.HELD)
    assert (first.layers, first.repetitions) == (("beat", "mine", "theirs"), 1)
    hand.push(4)
    second = drill.attempt(Outcome.HELD)
    assert (second.layers, second.repetitions) == (("theirs",), 1)


def test_silences_and_who_plays_along_are_noted(drill: Drill, hand: Hand, tmp_path: Path) -> None:
    setting = with_silences(drill.setting, "every 4 bars, theirs only")
    drill.request(with_accompaniment(setting, drill.open_score, drill.passage, "cello, drone A3"))
    drill.start()
    hand.push(BAR + 5)
    noted = drill.attempt(Outcome.HELD)
    assert noted.silences == "every 4 bars, theirs only"
    assert noted.accompaniment == ("Cello", "drone A3")
    drill.request(replace(drill.setting, silences=(), are_others_on=False))
    change(drill)
    hand.push(9)
    later = drill.attempt(Outcome.HELD)
    assert (later.silences, later.accompaniment) == ("", ())
    assert logged(tmp_path) == [later, noted]


def test_silences_begun_on_the_way_leave_that_time_through_with_the_click(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(BAR + 3)
    drill.request(with_silences(drill.setting, "every 2 bars"))
    change(drill)
    hand.push(2)
    first = drill.attempt(Outcome.HELD)
    assert (first.silences, first.repetitions) == ("", 1)
    hand.push(4)
    assert drill.attempt(Outcome.HELD).silences == "every 2 bars"


@pytest.mark.parametrize(
    ("silences", "is_without_click"),
    [("none", False), ("every 2 bars", False), ("every 2 times", True)],
)
def test_mastery_reads_the_silences_a_drill_had(
    drill: Drill,
    hand: Hand,
    tmp_path: Path,
    silences: str,
    is_without_click: bool,
) -> None:
    """From the drill through the log to where the passage stands."""
    drill.request(with_silences(drill.setting, silences))
    drill.start()
    hand.push(BAR + 17)
    assert drill.attempt(Outcome.SECURE).repetitions == 4
    (stands,) = all_standings(folders_in(tmp_path))
    assert stands.last is not None
    assert stands.last.held is not None
    assert (stands.last.alone == stands.last.held) is is_without_click


def test_two_tempos_by_turns_begin_with_the_first_wherever_one_is(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 5)
    drill.request(replace(drill.setting, tempo=Turns(Fraction(60), Fraction(90))))
    change(drill)
    assert drill.passes == 0
    assert drill.bpm == 60
    hand.push(4)
    assert drill.bpm == 90
    assert drill.passes == 0
    hand.push(3)
    noted = drill.attempt(Outcome.HELD)
    assert noted.tempo == 90
    assert noted.repetitions == 1


def test_an_attempt_is_on_disk_before_it_is_told(drill: Drill, hand: Hand, tmp_path: Path) -> None:
    drill.start()
    hand.push(BAR + 5)
    drill.pause()
    attempt = drill.attempt(Outcome.HELD, "breathe before bar 2")
    assert logged(tmp_path) == [attempt]
    assert attempt.tempo == 60
    assert attempt.beat == "dotted quarter"
    assert (attempt.first_bar, attempt.last_bar, attempt.bars_label) == (1, 2, "1–2")
    assert (attempt.part_id, attempt.part_name) == ("P1", "Violin I")
    assert attempt.layers == ("beat", "mine", "theirs")
    assert (attempt.repetitions, attempt.seconds) == (1, 7)
    assert attempt.note == "breathe before bar 2"
    told = noted_told(drill, attempt)
    assert told.endswith("held at dotted quarter = 60, once through.")
    assert f"{attempt.at:%H:%M}" in told


def test_the_next_attempt_counts_from_nothing(drill: Drill, hand: Hand, tmp_path: Path) -> None:
    drill.start()
    hand.push(BAR + 9)
    drill.attempt(Outcome.SHAKY)
    assert (drill.passes, drill.seconds) == (0, 0)
    hand.push(4)
    second = drill.attempt(Outcome.HELD)
    assert (second.repetitions, second.seconds) == (1, 4)
    assert [attempt.outcome for attempt in logged(tmp_path)] == [Outcome.HELD, Outcome.SHAKY]


def test_the_tempo_noted_is_the_one_that_was_played(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 4)
    drill.stop()
    faster(drill, 5)
    change(drill)
    assert drill.attempt(Outcome.HELD).tempo == 60


def test_nothing_can_be_noted_before_anything_was_played(drill: Drill) -> None:
    with pytest.raises(RequestError, match="nothing was played yet"):
        drill.attempt(Outcome.SECURE)


def test_where_the_log_cannot_be_written_the_attempt_waits_until_it_can(
    tmp_path: Path, hand: Hand
) -> None:
    in_the_way = tmp_path / "a_file"
    in_the_way.write_text("not a folder")
    folders = folders_in(in_the_way)
    drill = drill_of(three_against_two(), folders, hand)
    drill.start()
    hand.push(BAR + 5)
    attempt = drill.attempt(Outcome.HELD)
    assert drill.unsaved is not None
    assert "not saved yet and will be tried again" in unsaved_told(drill.unsaved)
    in_the_way.unlink()
    assert retry_unsaved(folders) is None
    assert [kept.id for kept in logged_attempts(folders)] == [attempt.id]


def test_the_next_drill_begins_at_the_tempo_of_the_last(tmp_path: Path, hand: Hand) -> None:
    open_score, folders = three_against_two(), folders_in(tmp_path)
    first = drill_of(open_score, folders, hand)
    faster(first, 7)
    first.start()
    hand.push(BAR + 5)
    first.attempt(Outcome.HELD)
    again = drill_of(open_score, folders, hand)
    assert again.bpm == 67
    assert again.tempo_source is TempoSource.LAST_TIME
