from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome, new_id

Noting = Callable[..., Attempt]


def test_a_correction_keeps_what_was_said_before(tmp_path: Path, played: Noting) -> None:
    said = played(outcome=Outcome.SECURE, note="easy")
    later, last = said.at + timedelta(days=1), said.at + timedelta(days=2)
    with Log.open(tmp_path) as log:
        log.note(said)
        corrected = log.correct(said.id, outcome=Outcome.SHAKY, at=later)
        assert corrected == replace(said, outcome=Outcome.SHAKY)
        log.correct(said.id, note="rushed the upbeat", at=last)
    with Log.read_only(tmp_path) as log:
        assert log.attempts() == [replace(corrected, note="rushed the upbeat")]
        before = log.corrections(said.id)
        assert [(r.earlier.outcome, r.earlier.note, r.revision.at) for r in before] == [
            (Outcome.SECURE, "easy", later),
            (Outcome.SHAKY, "easy", last),
        ]
        assert log.check() == []


def test_a_note_can_be_emptied(tmp_path: Path, played: Noting) -> None:
    said = played(note="easy")
    with Log.open(tmp_path) as log:
        log.note(said)
        assert log.correct(said.id, note="").note == ""
        assert log.corrections(said.id)[0].earlier.note == "easy"


def test_a_correction_that_changes_nothing_leaves_no_trace(tmp_path: Path, played: Noting) -> None:
    said = played()
    with Log.open(tmp_path) as log:
        log.note(said)
        assert log.correct(said.id) == said
        assert log.correct(said.id, outcome=said.outcome, note=said.note) == said
        assert log.corrections(said.id) == []


def test_the_tempo_to_go_on_from_follows_a_correction(tmp_path: Path, played: Noting) -> None:
    said = played()
    with Log.open(tmp_path) as log:
        log.note(said)
        log.correct(said.id, outcome=Outcome.FELL_APART)
        last = log.last_tempo(said.score_digest, said.part_id, 13, 20)
        assert last is not None
        assert last.outcome is Outcome.FELL_APART


def test_an_attempt_that_is_not_there_cannot_be_corrected(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        missing = new_id()
        with pytest.raises(JournalError, match=missing) as refusal:
            log.correct(missing, outcome=Outcome.HELD)
        assert "practice.db" in refusal.value.where
        assert refusal.value.next
