from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from companion.errors import RequestError
from companion.practice.attempt import Bars, Outcome, new_id, outcome_named
from companion.practice.entry import Activity, LogEntry, activity_named
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import Revision

BARS = Bars("5e" * 32, "P2", 13, 20)


def test_an_activity_is_named_by_the_beginning_of_its_word() -> None:
    assert activity_named("sc") is Activity.SCALES
    assert activity_named(" Away ") is Activity.AWAY
    assert activity_named("sight-reading") is Activity.SIGHT_READING
    for word in ("s", "", "tea", "lessons"):
        with pytest.raises(RequestError, match="nothing the log has a word for"):
            activity_named(word)


def test_an_outcome_is_named_by_its_word_or_its_key() -> None:
    assert outcome_named("fell") is Outcome.FELL_APART
    assert outcome_named("4") is Outcome.SECURE
    for word in ("s", "", "5", "perfect"):
        with pytest.raises(RequestError, match="not an outcome"):
            outcome_named(word)


NONSENSE: dict[str, Callable[[], object]] = {
    "minutes is too long or too short": lambda: LogEntry(what=Activity.SCALES, seconds=-1),
    "nan minutes is too long or too short": lambda: LogEntry(
        what=Activity.SCALES, seconds=float("nan")
    ),
    "1441 minutes is too long or too short": lambda: LogEntry(
        what=Activity.SCALES, seconds=24 * 3600 + 60
    ),
    "its time says no year": lambda: LogEntry(
        what=Activity.SCALES, seconds=60, at=datetime(2026, 3, 1)
    ),
    "its id is not": lambda: LogEntry(what=Activity.SCALES, seconds=60, id="7"),
    "its revision has no date": lambda: LogEntry(
        what=Activity.SCALES, seconds=60, revision=Revision(datetime(2026, 3, 1))
    ),
    "its revision has no": lambda: LogEntry(
        what=Activity.SCALES, seconds=60, revision=Revision(id="7")
    ),
    "bars run from 20 to 13": lambda: Goal(
        bars=Bars("5e", "P2", 20, 13), tempo=Fraction(60), beat="quarter"
    ),
    "which part is meant": lambda: Goal(
        bars=Bars("5e", "", 1, 2), tempo=Fraction(60), beat="quarter"
    ),
    "no digest in hex": lambda: Goal(bars=Bars("", "P2", 1, 2), tempo=Fraction(60), beat="quarter"),
    "tempo is -60": lambda: Goal(bars=BARS, tempo=Fraction(-60), beat="quarter"),
    "which note value": lambda: Goal(bars=BARS, tempo=Fraction(60), beat=""),
    "its date has no random UUID": lambda: Goal(
        bars=BARS, tempo=Fraction(60), beat="half", occasion="May"
    ),
    "in the year 1": lambda: Occasion(day=date(1, 1, 1), kind=OccasionKind.CONCERT),
    "score has no digest": lambda: Occasion(
        day=date(2026, 5, 2), kind=OccasionKind.CONCERT, score_digest="no"
    ),
}


@pytest.mark.parametrize("complaint", NONSENSE)
def test_what_cannot_be_meant_is_refused_in_a_sentence(complaint: str) -> None:
    with pytest.raises(RequestError, match="cannot be kept") as refusal:
        NONSENSE[complaint]()
    assert complaint in refusal.value.sentence()
    assert refusal.value.next


def test_what_can_be_meant_is_kept_as_it_is() -> None:
    at = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
    assert LogEntry(what=Activity.OTHER, seconds=0, at=at).at == at
    assert Goal(bars=BARS, tempo=Fraction(145, 2), beat="half", occasion=new_id()).bars == BARS
    assert Occasion(day=date(2026, 5, 2), kind=OccasionKind.LESSON).score_digest == ""
