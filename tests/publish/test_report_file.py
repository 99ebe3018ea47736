"""The report's file: what it holds, and that accidents and edits show."""

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.attempt import Heard, HeardBy, HeardSide, Outcome
from companion.publish.report.report_file import (
    ABOUT,
    ReportError,
    canonical,
    read_report,
    write_report,
)
from companion.publish.report.report_page import report_page
from tests.practice.reported import passage, report

REPORT = report("Ada", passage(13, 20, "fsh"), note="Bar 17 = hard – “mostly” \u2028 ü")
FILE = write_report(REPORT)


def altered(**changes: object) -> bytes:
    told: dict[str, Any] = json.loads(FILE)
    told.update(changes)
    return json.dumps(told).encode()


def forged(**changes: object) -> bytes:
    """Somebody who knows how works out the checksum again."""
    body = json.loads(FILE)["body"] | changes
    digest = hashlib.sha256(canonical(body)).hexdigest()
    return altered(body=body, sha256=digest)


def test_what_is_written_is_read() -> None:
    assert read_report(FILE, "a.json") == REPORT


def test_the_file_says_what_its_checksum_does_not_protect_against() -> None:
    assert json.loads(FILE)["about"] == ABOUT
    assert "anyone can change it and work out its checksum again" in ABOUT


def test_the_checksum_is_sha_256_of_the_canonical_body() -> None:
    # FIPS 180-4, by the standard library; the body's form written out here by hand.
    told = json.loads(FILE)
    body = json.dumps(told["body"], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert told["sha256"] == hashlib.sha256(body.encode()).hexdigest()


@pytest.mark.parametrize("indent", [None, 1, 4])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("ascii_only", [True, False])
def test_another_layout_of_the_same_words_is_no_damage(
    indent: int | None, end: str, ascii_only: bool
) -> None:
    text = json.dumps(json.loads(FILE), indent=indent, ensure_ascii=ascii_only)
    assert read_report(text.replace("\n", end).encode(), "a.json") == REPORT
    assert read_report(b"\xef\xbb\xbf" + text.encode(), "a.json") == REPORT


@given(st.data())
def test_any_changed_byte_shows_or_changes_nothing(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(FILE) - 1))
    other = data.draw(st.integers(0, 255).filter(lambda byte: byte != FILE[at]))
    try:
        read = read_report(FILE[:at] + bytes([other]) + FILE[at + 1 :], "a.json")
    except ReportError:
        return
    assert read == REPORT


@given(st.integers(0, len(FILE) - 3))
def test_a_file_cut_short_is_refused(length: int) -> None:
    with pytest.raises(ReportError):
        read_report(FILE[:length], "a.json")


def test_a_better_outcome_written_in_by_hand_shows() -> None:
    edited = FILE.replace(b'"fell apart"', b'"secure"')
    with pytest.raises(ReportError, match="damaged or edited after it was made"):
        read_report(edited, "a.json")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "this is not a practice report"),
        (b"{}", "this is not a practice report"),
        (b"[1, 2]", "this is not a practice report"),
        (b'{"kind": "companion exercise", "format": 1}', "this is not a practice report"),
        (b"[" * 100_000, "this is not a practice report"),
        (b"\x89PNG\r\n\x1a\n", "this is not a practice report"),
        (FILE[:300], "cut short or damaged on the way"),
        (altered(format=2), "format 2, and this companion reads 1"),
        (altered(sha256="0" * 64), "damaged or edited"),
        (altered(body=None), "damaged or edited"),
    ],
    ids=range(10),
)
def test_what_is_no_whole_report_is_named_in_a_sentence(content: bytes, told: str) -> None:
    with pytest.raises(ReportError) as caught:
        read_report(content, "week.json")
    assert told in caught.value.sentence()
    assert caught.value.sentence().startswith("week.json: ")


@pytest.mark.parametrize(
    "changes",
    [
        {"minutes": {"2026-03-02": 1e9}},
        {"minutes": {"2026-03-02": -1}},
        {"minutes": {"soon": 1}},
        {"made": "yesterday"},
        {"made": "2026-03-08T20:00:00"},
        {"name": 7},
        {"name": "x" * 30_000},
        {"since": "2026-02-30"},
        {"passages": [{"first": 1}]},
    ],
)
def test_a_right_checksum_does_not_make_nonsense_true(changes: dict[str, object]) -> None:
    with pytest.raises(ReportError, match="holds what no report can hold"):
        read_report(forged(**changes), "a.json")


@pytest.mark.parametrize(
    ("key", "value"),
    [("first", 0), ("first", 21), ("last", 2**31), ("title", "x" * 30_000)],
)
def test_bars_and_names_have_a_measure(key: str, value: object) -> None:
    told = json.loads(FILE)["body"]["passages"]
    told[0][key] = value
    with pytest.raises(ReportError, match="holds what no report can hold"):
        read_report(forged(passages=told), "a.json")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("outcome", "brilliant"),
        ("tempo", "1/0"),
        ("tempo", "-60"),
        ("tempo", "9" * 50),
        ("seconds", 1e12),
        ("id", ""),
        ("at", "2026-03-02"),
    ],
)
def test_attempts_are_what_the_log_could_hold(key: str, value: object) -> None:
    told = json.loads(FILE)["body"]["passages"]
    told[0]["attempts"][0][key] = value
    with pytest.raises(ReportError, match="holds what no report can hold"):
        read_report(forged(passages=told), "a.json")


@pytest.mark.parametrize("bpm", ["", "0", "1/0", "-60", "1e9", "9" * 19, "quick"])
def test_a_tempo_that_held_is_a_number(bpm: str) -> None:
    told = json.loads(FILE)["body"]["passages"]
    told[0]["held_tempo"] = {"bpm": bpm, "beat": "quarter"}
    with pytest.raises(ReportError, match="holds what no report can hold"):
        read_report(forged(passages=told), "a.json")


def test_the_tempo_that_held_is_told_from_the_fact_and_else_in_the_words_it_came_with() -> None:
    told = json.loads(FILE)["body"]["passages"]
    told[0]["held_tempo"] = {"bpm": "145/2", "beat": "half"}
    assert "<td>half = 72.5</td>" in report_page(read_report(forged(passages=told), "a.json"))
    del told[0]["held_tempo"]
    assert "<td>quarter = 60</td>" in report_page(read_report(forged(passages=told), "a.json"))


def test_a_report_of_the_earlier_form_is_read_with_its_layers_sorted_out() -> None:
    told = json.loads(FILE)["body"]["passages"]
    told[0]["attempts"][0] |= {"layers": ["beat", "silent bars", "drone"], "judgement": None}
    first = read_report(forged(passages=told), "a.json").passages[0].attempts[0]
    assert (first.layers, first.silences, first.accompaniment) == (
        ("beat",),
        "silent bars",
        ("drone",),
    )
    assert first.repetitions == told[0]["attempts"][0]["times"] == 2


def test_what_was_heard_goes_with_the_report() -> None:
    one = passage(13, 20, "h")
    heard = Heard(
        Outcome.SHAKY, HeardBy.TAKE, (HeardSide("off the beat", 31.2, 14.0, 48),), missed=2
    )
    one.attempts[0] = replace(one.attempts[0], heard=heard)
    assert read_report(write_report(report("Ada", one)), "a.json").passages == [one]


def test_what_sounded_along_goes_with_the_report() -> None:
    one = passage(13, 20, "h")
    one.attempts[0] = replace(
        one.attempts[0], silences="every 4 bars", accompaniment=("Cello",), judgement='{"late": 2}'
    )
    assert read_report(write_report(report("Ada", one)), "a.json").passages == [one]
