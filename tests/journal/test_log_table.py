"""The table for spreadsheets, held to RFC 4180 and read by Python's csv module.

RFC 4180, section 2: lines end in CRLF (1), the first is a header (3), every line has as many
fields (4), and a field with a line break, a quote or a comma stands in quotes, a quote in it
doubled (6, 7).
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import datetime, time, timedelta, timezone
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.journal.log_exchange import HEADER, table
from companion.practice.attempt import Attempt, Heard, HeardBy, Outcome
from companion.practice.entry import Activity, LogEntry

LATE = datetime(2026, 3, 2, 1, 30, tzinfo=timezone(timedelta(hours=1)))
ATTEMPT = Attempt(
    score_title='Study, "in two meters"',
    score_digest="5e" * 16,
    score_path="/scores/study.musicxml",
    part_id="P3",
    part_name="",
    first_bar=225,
    last_bar=230,
    bars_label="II:225–230",
    tempo=Fraction(145, 2),
    beat="dotted quarter",
    outcome=Outcome.FELL_APART,
    layers=("mine", "theirs"),
    silences="every 4 bars",
    accompaniment=("Cello", "drone A3"),
    heard=Heard(Outcome.SHAKY, HeardBy.TAKE, missed=2, added=1),
    repetitions=0,
    seconds=90.0,
    note="again\nfrom the upbeat",
    at=LATE,
)
SCALES = LogEntry(what=Activity.SCALES, seconds=600, note="", at=LATE - timedelta(hours=3))

# The standard's grammar for a whole field: bare, or in quotes with quotes doubled.
FIELD = re.compile(r'[^",\r\n]*|"(?:[^"]|"")*"')


def read(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline=""), strict=True))


def test_attempts_and_entries_stand_in_order_with_their_day_of_practice() -> None:
    scales, attempt = read(table([ATTEMPT], [SCALES], time(4)))
    assert (scales["what"], scales["minutes"], scales["day"]) == ("scales", "10.00", "2026-03-01")
    assert attempt == {
        "day": "2026-03-01",
        "ended": "2026-03-02T01:30:00+01:00",
        "what": "passage",
        "score": 'Study, "in two meters"',
        "part": "P3",
        "bars": "II:225–230",
        "first_bar": "225",
        "last_bar": "230",
        "tempo": "72.5",
        "beat": "dotted quarter",
        "sounded": "mine + theirs",
        "times": "0",
        "minutes": "1.50",
        "outcome": "fell apart",
        "note": "again\nfrom the upbeat",
        "id": ATTEMPT.id,
        "silences": "every 4 bars",
        "accompaniment": "Cello + drone A3",
        "heard": "shaky",
        "left_out": "2",
        "put_in": "1",
    }
    [other_day] = read(table([ATTEMPT], [], time(1)))
    assert other_day["day"] == "2026-03-02"


def test_an_empty_log_is_a_header() -> None:
    assert table([], [], time(4)) == ",".join(HEADER).encode() + b"\r\n"


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"))))
def test_whatever_is_in_a_note_the_table_keeps_the_standards_form(notes: list[str]) -> None:
    entries = [LogEntry(what=Activity.OTHER, seconds=60, note=note, at=LATE) for note in notes]
    content = table([], entries, time(4))
    # A mark before what would be a formula, in the cell or after a semicolon or tab in it, is
    # all that is added.
    mark = re.compile(r"(^|[;\t])(\s*)'(?=[=+@\t\r-])")
    assert [mark.sub(r"\1\2", line["note"]) for line in read(content)] == [
        mark.sub(r"\1\2", note) for note in notes
    ]
    assert content.endswith(b"\r\n")
    for line in _lines(content.decode("utf-8")):
        fields = _fields(line)
        assert len(fields) == len(HEADER)
        assert all(FIELD.fullmatch(field) for field in fields)


def _lines(text: str) -> list[str]:
    """Cut at CRLF outside quotes."""
    lines, line = [], ""
    for piece in text.removesuffix("\r\n").split("\r\n"):
        line = f"{line}\r\n{piece}" if line else piece
        if line.count('"') % 2 == 0:
            lines.append(line)
            line = ""
    return lines


def _fields(line: str) -> list[str]:
    """Cut at commas outside quotes."""
    fields: list[str] = []
    field: str | None = None
    for piece in line.split(","):
        field = piece if field is None else f"{field},{piece}"
        if field.count('"') % 2 == 0:
            fields.append(field)
            field = None
    return fields


def test_no_note_becomes_a_formula() -> None:
    """OWASP, "CSV Injection": a cell that begins with = + - @ or a control is reckoned with."""
    note = '=HYPERLINK("http://example.org")'
    [_, line] = csv.reader(io.StringIO(table([], [replace(SCALES, note=note)], time(4)).decode()))
    assert line[HEADER.index("note")] == "'" + note
