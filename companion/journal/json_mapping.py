"""From the record to plain objects and back, exactly."""

from __future__ import annotations

import json
import re
from datetime import date, datetime
from fractions import Fraction

from companion.journal.json_forms import (
    PlainAttempt,
    PlainCorrection,
    PlainEntry,
    PlainGoal,
    PlainOccasion,
    PlainPart,
    PlainScore,
    PlainWords,
)
from companion.journal.record import Corrected
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.edition import Edition, faults_of_edition
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import (
    CorrectedWords,
    Correction,
    Revision,
    faults_of_revision,
    replayed,
)


def plain_attempt(attempt: Attempt, corrections: tuple[Correction, ...] = ()) -> PlainAttempt:
    """An attempt as it is now, with its corrections."""
    return PlainAttempt(
        id=attempt.id,
        at=attempt.at.isoformat(),
        score=PlainScore(attempt.score_title, attempt.score_digest, attempt.score_path),
        part=PlainPart(attempt.part_id, attempt.part_name),
        first=attempt.first_bar,
        last=attempt.last_bar,
        printed=attempt.bars_label,
        tempo=str(attempt.tempo),
        beat=attempt.beat,
        layers=list(attempt.layers),
        repetitions=attempt.repetitions,
        seconds=attempt.seconds,
        outcome=attempt.outcome.value,
        note=attempt.note,
        judgement=None if attempt.judgement is None else json.loads(attempt.judgement),
        corrections=[
            PlainCorrection(one.said.id, one.said.at.isoformat(), *map(_words, _both(one)))
            for one in corrections
        ],
    )


def corrected(plain: PlainAttempt) -> Corrected:
    """The inverse. Raises ValueError where it does not say what its corrections make of it."""
    judged = plain.judgement
    attempt = Attempt(
        id=plain.id,
        at=datetime.fromisoformat(plain.at),
        score_title=plain.score.title,
        score_digest=plain.score.digest,
        score_path=plain.score.path,
        part_id=plain.part.id,
        part_name=plain.part.name,
        first_bar=plain.first,
        last_bar=plain.last,
        bars_label=plain.printed,
        tempo=_tempo(plain.tempo),
        beat=plain.beat,
        layers=tuple(plain.layers),
        repetitions=plain.repetitions,
        seconds=plain.seconds,
        outcome=Outcome(plain.outcome),
        note=plain.note,
        judgement=None if judged is None else json.dumps(judged, ensure_ascii=False),
    )
    corrections = tuple(map(_correction, plain.corrections))
    words = CorrectedWords(attempt.outcome, attempt.note)
    if replayed(words, corrections) != words:
        raise ValueError("it does not say what its corrections make of it")
    return Corrected(attempt, corrections)


def plain_entry(entry: LogEntry) -> PlainEntry:
    """One saying of a free entry."""
    return PlainEntry(
        id=entry.id,
        at=entry.at.isoformat(),
        what=entry.what.value,
        seconds=entry.seconds,
        note=entry.note,
        said=entry.said.at.isoformat(),
        saying=entry.said.id,
        withdrawn=entry.is_withdrawn,
    )


def entry_of(plain: PlainEntry) -> LogEntry:
    """The inverse."""
    return LogEntry(
        id=plain.id,
        at=datetime.fromisoformat(plain.at),
        what=Activity(plain.what),
        seconds=plain.seconds,
        note=plain.note,
        is_withdrawn=plain.withdrawn,
        said=_said(plain.said, plain.saying),
    )


def plain_goal(goal: Goal) -> PlainGoal:
    """One saying of a goal."""
    return PlainGoal(
        score=PlainScore(goal.score_title, goal.bars.score_digest),
        part=PlainPart(goal.bars.part_id, goal.part_name),
        first=goal.bars.first,
        last=goal.bars.last,
        printed=goal.bars_label,
        tempo=str(goal.tempo),
        beat=goal.beat,
        said=goal.said.at.isoformat(),
        saying=goal.said.id,
        occasion=goal.occasion,
        withdrawn=goal.is_withdrawn,
    )


def goal_of(plain: PlainGoal) -> Goal:
    """The inverse."""
    return Goal(
        bars=Bars(plain.score.digest, plain.part.id, plain.first, plain.last),
        score_title=plain.score.title,
        part_name=plain.part.name,
        bars_label=plain.printed,
        tempo=_tempo(plain.tempo),
        beat=plain.beat,
        occasion=plain.occasion,
        is_withdrawn=plain.withdrawn,
        said=_said(plain.said, plain.saying),
    )


def plain_occasion(occasion: Occasion) -> PlainOccasion:
    """One saying of a date."""
    return PlainOccasion(
        id=occasion.id,
        day=occasion.day.isoformat(),
        kind=occasion.kind.value,
        name=occasion.name,
        said=occasion.said.at.isoformat(),
        saying=occasion.said.id,
        score=occasion.score_digest,
        withdrawn=occasion.is_withdrawn,
    )


def occasion_of(plain: PlainOccasion) -> Occasion:
    """The inverse."""
    return Occasion(
        id=plain.id,
        day=date.fromisoformat(plain.day),
        kind=OccasionKind(plain.kind),
        name=plain.name,
        score_digest=plain.score,
        is_withdrawn=plain.withdrawn,
        said=_said(plain.said, plain.saying),
    )


def edition_of(plain: Edition) -> Edition:
    """The same, looked through. Raises ValueError for what cannot be meant."""
    for fault in faults_of_edition(plain):
        raise ValueError(fault)
    return plain


def _correction(plain: PlainCorrection) -> Correction:
    earlier = CorrectedWords(Outcome(plain.earlier.outcome), plain.earlier.note)
    later = CorrectedWords(Outcome(plain.later.outcome), plain.later.note)
    return Correction(_said(plain.at, plain.id), earlier, later)


def _both(correction: Correction) -> tuple[CorrectedWords, CorrectedWords]:
    return correction.earlier, correction.later


def _words(words: CorrectedWords) -> PlainWords:
    return PlainWords(words.outcome.value, words.note)


def _tempo(text: str) -> Fraction:
    # Looked at before it is computed: "1e999999999" would never end.
    if not re.fullmatch("[1-9][0-9]{0,99}(/[1-9][0-9]{0,99})?", text):
        raise ValueError(f"“{text[:40]}” is no tempo")
    return Fraction(text)


def _said(at: str, saying: str) -> Revision:
    said = Revision(datetime.fromisoformat(at), saying)
    for fault in faults_of_revision(said):
        raise ValueError(fault)
    return said
