"""The log as a JSON file: exact both ways, and nothing that is damaged comes in.

RFC 8259 is checked by Python's own json module, which has nothing to do with the writer.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from companion.journal.json_document import VERSION, DocumentError, record_of, written
from companion.journal.log import Log
from companion.journal.record import Corrected, Record
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import Revision

Noting = Callable[..., Attempt]
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def fill(log: Log, played: Noting) -> None:
    """A little of everything."""
    first = played(tempo=Fraction(145, 2), note="“easy”\n\x00", judgement='{"early": [1, 2.5]}')
    log.note(first)
    log.note(played(1, layers=(), seconds=0.1 + 0.2))
    log.correct(first.id, outcome=Outcome.SHAKY, at=NOW)
    log.correct(first.id, note="rushed", at=NOW + timedelta(hours=1))
    scales = log.entries.add(
        LogEntry(what=Activity.SCALES, seconds=1200, at=NOW, revision=Revision(NOW))
    )
    log.entries.add(replace(scales, is_withdrawn=True, revision=Revision()))
    concert = log.occasions.add(
        Occasion(day=date(2026, 5, 2), kind=OccasionKind.CONCERT, name="Spring")
    )
    bars = Bars("5e" * 32, "P2", 13, 20)
    log.goals.add(Goal(bars=bars, tempo=Fraction(80), beat="half", occasion=concert.id))


@pytest.fixture
def content(tmp_path: Path, played: Noting) -> bytes:
    with Log.open(tmp_path / "here") as log:
        fill(log, played)
        return b"".join(written(log.gather(), NOW))


def test_what_is_written_out_is_read_in_exactly(
    tmp_path: Path, played: Noting, content: bytes
) -> None:
    with Log.open(tmp_path / "here") as log:
        record = log.gather()
    assert record_of(content, "log.json") == _canonical(record)
    assert len(record.attempts[0].corrections) == 2
    assert len(record.entries) == 2


def _canonical(record: Record) -> Record:
    """A judgement's spacing is not part of what it says."""
    return replace(
        record,
        attempts=tuple(
            replace(one, attempt=replace(one.attempt, judgement=_again(one.attempt.judgement)))
            for one in record.attempts
        ),
    )


def _again(judgement: str | None) -> str | None:
    return json.dumps(json.loads(judgement)) if judgement else None


def test_another_reader_finds_what_the_log_holds(content: bytes) -> None:
    read = json.loads(content)
    assert (read["form"], read["version"]) == ("practice log of companion", VERSION)
    assert read["written"] == "2026-03-02T09:00:00+00:00"
    first = read["attempts"][0]
    assert (first["tempo"], first["outcome"], first["note"]) == ("145/2", "shaky", "rushed")
    assert first["at"] == "2026-03-01T18:00:00+02:00"
    earlier = [one["earlier"]["outcome"] for one in first["corrections"]]
    assert earlier == ["held", "shaky"]
    assert first["judgement"] == {"early": [1, 2.5]}
    assert read["attempts"][1]["seconds"] == 0.1 + 0.2
    assert [one.get("withdrawn", False) for one in read["entries"]] == [False, True]
    assert read["goals"][0]["occasion"] == read["occasions"][0]["id"]
    assert len(content.splitlines()) > 8, "a line each, so that two exports can be compared"


def test_an_empty_log_is_a_file_as_well() -> None:
    content = b"".join(written(Record(), NOW))
    assert record_of(content, "log.json") == Record()
    assert json.loads(content)["attempts"] == []


def spoiled(content: bytes, change: Callable[[dict[str, Any]], object]) -> bytes:
    read = json.loads(content)
    change(read)
    return json.dumps(read).encode()


SPOILED: dict[str, Callable[[dict[str, Any]], object]] = {
    "$.attempts[1].first": lambda read: read["attempts"][1].update(first="13"),
    "$.attempts[0].seconds": lambda read: read["attempts"][0].update(seconds=None),
    "missing required field `tempo`": lambda read: read["attempts"][0].pop("tempo"),
    "missing required field `entries`": lambda read: read.pop("entries"),
    "attempts, number 2: This attempt cannot be kept: its bars run": lambda read: read["attempts"][
        1
    ].update(first=21),
    "“1e999999999” is not a tempo": lambda read: read["attempts"][0].update(tempo="1e999999999"),
    "“72/0” is not a tempo": lambda read: read["attempts"][0].update(tempo="72/0"),
    "'perfect' is not a valid Outcome": lambda read: read["attempts"][1].update(outcome="perfect"),
    "attempts, number 1: it does not say what its corrections make": lambda read: read["attempts"][
        0
    ].update(outcome="secure"),
    "its time says no year and no UTC offset": lambda read: read["attempts"][0].update(
        at="2026-03-01T18:00"
    ),
    "entries, number 1: 'tea' is not a valid Activity": lambda read: read["entries"][0].update(
        what="tea"
    ),
    "goals, number 1: This goal cannot be kept": lambda read: read["goals"][0].update(beat=""),
    "occasions, number 1: Invalid isoformat": lambda read: read["occasions"][0].update(day="May"),
    "number 1: This correction cannot be kept: its revision has no date": lambda read: read[
        "attempts"
    ][0]["corrections"][0].update(at="2026-03-01T18:00"),
}


@pytest.mark.parametrize("complaint", SPOILED)
def test_a_damaged_file_is_refused_with_the_place_of_the_damage(
    content: bytes, complaint: str
) -> None:
    with pytest.raises(DocumentError, match="nothing was taken in") as refusal:
        record_of(spoiled(content, SPOILED[complaint]), "log.json")
    assert complaint in refusal.value.sentence()
    assert refusal.value.where == "log.json"


@pytest.mark.parametrize("cut", [0, 1, 40, 400, -3])
def test_a_file_that_is_cut_short_is_refused(content: bytes, cut: int) -> None:
    with pytest.raises(DocumentError):
        record_of(content[:cut], "log.json")


@pytest.mark.parametrize(
    "noise",
    [
        b"[]",
        b"null",
        b'{"attempts": []}',
        b'{"version": 1}',
        b"\xff\xfe",
        b"[" * 100_000,
        b"{}" * 2,
    ],
)
def test_what_is_no_log_at_all_is_refused(noise: bytes) -> None:
    with pytest.raises(DocumentError, match="not a practice log"):
        record_of(noise, "log.json")


def test_a_file_from_a_newer_companion_is_refused(content: bytes) -> None:
    newer = spoiled(content, lambda read: read.update(version=VERSION + 1))
    with pytest.raises(DocumentError, match="newer companion") as refusal:
        record_of(newer, "log.json")
    assert "up to date" in refusal.value.next


def test_corrected_attempts_are_told_from_uncorrected_ones(played: Noting) -> None:
    record = Record((Corrected(played()),))
    assert b"corrections" not in b"".join(written(record, NOW))


def test_a_file_of_the_first_version_is_still_read(content: bytes) -> None:
    def aged(read: dict[str, Any]) -> None:
        read.update(version=1)
        del read["editions"]

    assert record_of(spoiled(content, aged), "log.json") == record_of(content, "log.json")


@pytest.mark.parametrize(
    "wrong",
    [{"old": "../../practice"}, {"new": ""}, {"names": []}, {"parts": {"P1": {"part": "P1"}}}],
)
def test_an_edition_that_cannot_be_meant_is_refused(content: bytes, wrong: dict[str, Any]) -> None:
    parts = {"P1": {"part": "P1", "name": "Viola", "places": [1, 0, 2]}}
    edition: dict[str, Any] = {"old": "5e", "new": "6f", "title": "", "path": "", "parts": parts}
    edition |= {"names": ["1", "2"]}
    whole = spoiled(content, lambda read: read.update(editions=[edition]))
    assert [one.old for one in record_of(whole, "log.json").editions] == ["5e"]
    with pytest.raises(DocumentError, match="nothing was taken in"):
        record_of(
            spoiled(content, lambda read: read.update(editions=[edition | wrong])), "log.json"
        )
