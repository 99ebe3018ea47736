"""The calendar file, read by a library that is not ours (icalendar), and by the standard.

RFC 5545: lines end in CRLF and are at most 75 octets (3.1); backslash, semicolon, comma and
line breaks are escaped in text (3.3.11); an event has UID and DTSTAMP, and the end of a
whole day is the day after (3.6.1).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.files.folders import Folders
from companion.publish.due_calendar import DueDate, calendar, passages_due
from tests.session.practised import evening, note, opened_for_practice, tried

icalendar = pytest.importorskip("icalendar")
WRITTEN = datetime(2026, 3, 1, 20, 0, tzinfo=timezone(timedelta(hours=2)))
CONCERT = DueDate(
    date(2026, 5, 2), "Concert: Spring; evening, with cake", "Hall 2\nfrom six \\ doors"
)

SOUND = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n"), max_size=200
)


def events(content: bytes) -> list[dict[str, object]]:
    read = icalendar.Calendar.from_ical(content)
    assert read.errors == []
    return [
        {
            "day": event.decoded("DTSTART"),
            "end": event.decoded("DTEND"),
            "uid": str(event["UID"]),
            "stamp": event.decoded("DTSTAMP"),
            "summary": str(event["SUMMARY"]),
            "detail": str(event.get("DESCRIPTION", "")),
        }
        for event in read.walk("VEVENT")
    ]


def test_a_calendar_library_reads_what_is_due() -> None:
    [event] = events(calendar([CONCERT], WRITTEN))
    assert event == {
        "day": date(2026, 5, 2),
        "end": date(2026, 5, 3),
        "uid": event["uid"],
        "stamp": datetime(2026, 3, 1, 18, 0, tzinfo=UTC),
        "summary": "Concert: Spring; evening, with cake",
        "detail": "Hall 2\nfrom six \\ doors",
    }


def test_nothing_due_is_a_calendar_without_events() -> None:
    read = icalendar.Calendar.from_ical(calendar([], WRITTEN))
    assert (read["VERSION"], read.walk("VEVENT")) == ("2.0", [])
    assert read["PRODID"]


def test_a_concert_that_is_moved_keeps_its_identity_and_two_things_never_share_one() -> None:
    moved = DueDate(date(2026, 5, 9), "Concert", id="5b1f")
    before = DueDate(date(2026, 5, 2), "Concert", id="5b1f")
    other = DueDate(date(2026, 5, 2), "Concert")
    uids = [events(calendar([one], WRITTEN))[0]["uid"] for one in (moved, before, other)]
    assert uids[0] == uids[1] != uids[2]
    assert uids[2] == events(calendar([other], WRITTEN))[0]["uid"]


@given(st.lists(st.tuples(st.dates(date(1970, 1, 1), date(2199, 12, 30)), SOUND, SOUND)))
def test_whatever_is_due_comes_back_and_the_file_keeps_the_standards_form(
    things: list[tuple[date, str, str]],
) -> None:
    due = [DueDate(day, summary, detail) for day, summary, detail in things]
    content = calendar(due, WRITTEN)
    assert content.endswith(b"END:VCALENDAR\r\n")
    lines = content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert not any(b"\r" in line or b"\n" in line for line in lines)
    for line in lines:
        line.decode("utf-8")  # folded between characters, never inside one
    read = sorted((e["day"], e["summary"], e["detail"]) for e in events(content))
    assert read == sorted(things)


def test_what_no_text_may_hold_is_left_out() -> None:
    [event] = events(calendar([DueDate(date(2026, 5, 2), "Con\x00cert\x07\r\nat six")], WRITTEN))
    assert event["summary"] == "Concert\nat six"


def test_a_passage_stands_on_its_day_and_an_overdue_one_on_today(tmp_path: Path) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 9, (18, 21), 60)])
    found = {one.summary: one.day for one in passages_due(folders, evening(9))}
    assert found == {
        f"Viola bars 13–16, {open_score.score.title}": evening(9).date(),
        f"Viola bars 17–20, {open_score.score.title}": evening(11).date(),
    }
    assert calendar(passages_due(folders, evening(9)), evening(9)).count(b"BEGIN:VEVENT") == 2
