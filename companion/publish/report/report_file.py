"""The report as a file: JSON, with a checksum over its body.

The checksum is of the body in one canonical form (keys in order, no spaces, UTF-8), so a
mailer that breaks lines or an editor that indents does no harm, while a changed outcome or
a lost line shows. It is a checksum and no signature, and the file says so itself.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache
from hashlib import sha256
from types import GenericAlias
from typing import get_type_hints

import msgspec
from msgspec import Struct
from msgspec.structs import asdict

from companion.errors import CompanionError
from companion.journal.fields import ATTEMPT
from companion.practice.attempt import Attempt, Outcome

KIND = "companion report"
"""What the file says it is."""
FORMAT = 1
"""The version that is written, and the latest that is read."""
LARGEST = 32 * 1024 * 1024
"""Bytes of a report at most."""
ABOUT = (
    "The checksum (SHA-256 of the body) shows accidents and careless edits. It proves nothing "
    "about who made the report or what was played: anyone can change it and work out "
    "its checksum again, and every outcome in it is the player's own word; what the program "
    "heard stands beside it."
)
"""What the check is worth, in every file, page and help text."""


class ReportError(CompanionError):
    """A report cannot be believed or read."""


class _Envelope(msgspec.Struct):
    kind: str = ""
    format: int = 0
    sha256: str = ""
    body: msgspec.Raw = msgspec.Raw(b"")


def canonical(body: object) -> bytes:
    """Plain objects as canonical JSON."""
    return json.dumps(
        body, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    ).encode("utf-8", "backslashreplace")


def write_report(report: Report) -> bytes:
    """The content of the file."""
    body = canonical(msgspec.to_builtins(_to_file(report)))
    head = {"kind": KIND, "format": FORMAT, "about": ABOUT, "sha256": sha256(body).hexdigest()}
    told = json.dumps(head, indent=1)[:-2]
    return told.encode() + b',\n "body": ' + body + b"\n}\n"


def read_report(content: bytes, name: str) -> Report:
    """The report in a file. Raises ReportError saying why it cannot be taken."""
    envelope = _envelope(content, name)
    if envelope.kind != KIND:
        raise _not_a_report(name)
    if envelope.format > FORMAT:
        raise ReportError(
            f"this report is in format {envelope.format}, and this companion reads {FORMAT}",
            where=name,
            next="Update companion, then collect it again.",
        )
    body = bytes(envelope.body)
    if not _is_whole(body, envelope.sha256):
        raise ReportError(
            "this report was damaged or edited after it was made",
            where=name,
            next="Ask for it again.",
        )
    try:
        report = _from_file(msgspec.json.decode(body, type=_report_in_file()))
    except (CompanionError, ValueError, ArithmeticError, RecursionError):
        raise _implausible(name) from None
    if fault_in(report):
        raise _implausible(name)
    return report


def _envelope(content: bytes, name: str) -> _Envelope:
    if len(content) > LARGEST:
        raise ReportError(
            f"this file is over {LARGEST // 1024**2} megabytes, too long for a report", where=name
        )
    try:
        return msgspec.json.decode(content.removeprefix(b"\xef\xbb\xbf"), type=_Envelope)
    except msgspec.ValidationError:
        raise _not_a_report(name) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        if KIND.encode() in content[:200]:
            raise ReportError(
                "this report was cut short or damaged on the way",
                where=name,
                next="Ask for it again.",
            ) from None
        raise _not_a_report(name) from None


def _is_whole(body: bytes, checksum: str) -> bool:
    """Whether a body is the one the checksum was reckoned from, however it is laid out."""
    if sha256(body).hexdigest() == checksum:
        return True
    try:
        return sha256(canonical(json.loads(body))).hexdigest() == checksum
    except (ValueError, RecursionError):
        return False


def _not_a_report(name: str) -> ReportError:
    return ReportError(
        "this is not a practice report", where=name, next="companion report writes one."
    )


def _implausible(name: str) -> ReportError:
    return ReportError(
        "this report holds what no report can hold", where=name, next="Ask for it again."
    )


# What a student sends to the teacher, as plain records.


class ReportedTempo(Struct, frozen=True, kw_only=True):
    """A tempo, exactly."""

    bpm: str
    """Felt beats a minute: `72`, `145/2`."""
    beat: str
    """The note value of the beat."""

    @property
    def exact(self) -> Fraction:
        """Felt beats a minute."""
        return Fraction(self.bpm)


class ReportedGoal(Struct, frozen=True, kw_only=True):
    """When a drill's goal is reached."""

    outcome: Outcome
    """This, or better."""
    tempo: ReportedTempo
    times: int
    """Times through on one day."""
    days: int


class ReportedPassage(Struct, frozen=True, kw_only=True):
    """A passage and everything tried at it."""

    score: str
    """Digest of the score, lower-case hex."""
    title: str
    part: str
    part_name: str
    """As printed."""
    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last."""
    label: str
    """The bars as printed."""
    state: str
    """How it stood when the report was made, in the words of `State`; empty if unknown."""
    held: str
    """The tempo that held last, `quarter = 60`; empty if none did. For earlier readers."""
    attempts: list[Attempt]
    """In order of time; in the file without what the passage tells, and without the note."""
    held_tempo: ReportedTempo | None = None
    """The tempo that held last; None if none did, and in a report of an earlier form."""


class ReportedDrill(Struct, frozen=True, kw_only=True):
    """A drill of an exercise and how far it is."""

    title: str
    score: str
    """Digest of its score."""
    part: str
    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last."""
    goal: str
    """When it is reached, in words. For earlier readers."""
    state: str
    """`assigned`, `in progress` or `done`."""
    tries: int
    """Attempts since it was opened."""
    good_days: int
    """Days that count towards the goal."""
    aims: ReportedGoal | None = None
    """None in a report of an earlier form, as in what follows."""
    score_title: str = ""
    part_name: str = ""
    """As printed."""
    label: str = ""
    """The bars as printed."""
    reached: ReportedTempo | None = None
    """The fastest at which it went as well as the goal asks."""
    last_day: str | None = None
    """The practice day of the latest attempt, ISO 8601."""
    outcome: Outcome | None = None
    """How that went."""


class ReportedExercise(Struct, frozen=True, kw_only=True):
    """An exercise of the student's list."""

    id: str
    """The same exercise on every machine."""
    title: str
    due: str | None
    """By when, ISO 8601."""
    state: str
    """`assigned`, `in progress` or `done`."""
    drills: list[ReportedDrill]
    first: str = ""
    """The id of its first version; empty in a report of an earlier form."""
    revision: int = 1
    """Which version it is, from 1."""


class Report(Struct, frozen=True, kw_only=True):
    """All of it."""

    made: str
    """When, ISO 8601 with the UTC offset."""
    name: str
    """Who sends it; may be empty."""
    note: str
    """What the student wants to tell; may be empty."""
    since: str | None
    """The first day it covers, ISO 8601; None for everything."""
    only_exercises: bool
    """Whether it covers nothing but the exercises in it."""
    minutes: dict[str, float]
    """Minutes of practice by practice day, ISO 8601; days without any are left out."""
    passages: list[ReportedPassage]
    exercises: list[ReportedExercise]
    player: str = ""
    """Whose log it is: drawn once on each machine; empty in a report of an earlier form."""


# An attempt in the file: the keys of the log's JSON, without what the passage tells.


_ATTEMPT = ATTEMPT.only(
    *("id", "at", "tempo", "beat", "layers", "silences", "accompaniment"),
    *("repetitions", "seconds", "outcome", "judgement", "heard"),
    repetitions="times",
)


@lru_cache(maxsize=1)
def _passage_in_file() -> type[Struct]:
    return _in_file(ReportedPassage, attempts=_ATTEMPT.json_list)


@lru_cache(maxsize=1)
def _report_in_file() -> type[Struct]:
    return _in_file(Report, passages=GenericAlias(list, (_passage_in_file(),)))


def _in_file(kind: type[Struct], **lists: GenericAlias) -> type[Struct]:
    hints = get_type_hints(kind) | lists
    fields = [
        (one.name, hints[one.name]) if one.required else (one.name, hints[one.name], one.default)
        for one in msgspec.structs.fields(kind)
    ]
    return msgspec.defstruct(kind.__name__, fields)


def _to_file(report: Report) -> Struct:
    passages = [
        _passage_in_file()(**asdict(one) | {"attempts": list(map(_ATTEMPT.to_json, one.attempts))})
        for one in report.passages
    ]
    return _report_in_file()(**asdict(report) | {"passages": passages})


def _from_file(found: Struct) -> Report:
    values = asdict(found)
    return Report(**values | {"passages": list(map(_passage_from_file, values["passages"]))})


def _passage_from_file(found: Struct) -> ReportedPassage:
    values = asdict(found)
    place = {
        "score_title": values["title"],
        "score_digest": values["score"],
        "score_path": "",
        "part_id": values["part"],
        "part_name": values["part_name"],
        "first_bar": values["first"],
        "last_bar": values["last"],
        "bars_label": values["label"],
    }
    attempts = [_ATTEMPT.from_json(one, **place) for one in values["attempts"]]
    return ReportedPassage(**values | {"attempts": attempts})


# What no report can hold, whatever its checksum says.


_MOST_BARS = 20_000
"""Bars of a score at most."""
_A_DAY = 25 * 60.0
"""Minutes of the longest day, when clocks go back."""
_LONGEST_TEMPO = 40
"""Letters of a tempo, a fraction in words."""
_LONGEST = 20_000
"""Letters of a text at most."""


def fault_in(report: Report) -> bool:
    """Whether a report holds something no report can hold."""
    return not all(_claims(report))


def _claims(report: Report) -> Iterator[bool]:
    yield _is_moment(report.made)
    yield report.since is None or _is_day(report.since)
    yield len(report.name) <= _LONGEST and len(report.note) <= _LONGEST
    yield re.fullmatch("[0-9a-f]{0,64}", report.player) is not None
    for day, minutes in report.minutes.items():
        yield _is_day(day) and math.isfinite(minutes) and 0 <= minutes <= _A_DAY
    for passage in report.passages:
        yield from _of_passage(passage)
    for exercise in report.exercises:
        yield exercise.due is None or _is_day(exercise.due)
        for drill in exercise.drills:
            yield _are_bars(drill) and drill.tries >= 0
            yield drill.aims is None or _is_tempo(drill.aims.tempo)
            yield drill.reached is None or _is_tempo(drill.reached)
            yield drill.last_day is None or _is_day(drill.last_day)


def _of_passage(passage: ReportedPassage) -> Iterator[bool]:
    yield _are_bars(passage)
    yield passage.held_tempo is None or _is_tempo(passage.held_tempo)
    yield all(
        len(text) <= _LONGEST
        for text in (passage.title, passage.part, passage.part_name, passage.label, passage.held)
    )
    for attempt in passage.attempts:
        yield attempt.seconds <= _A_DAY * 60 and len(str(attempt.tempo)) < _LONGEST_TEMPO


def _are_bars(where: ReportedPassage | ReportedDrill) -> bool:
    return 0 < where.first <= where.last <= _MOST_BARS


def _is_tempo(tempo: ReportedTempo) -> bool:
    with suppress(ZeroDivisionError):
        is_number = re.fullmatch(r"[0-9]{1,18}(?:/[0-9]{1,18})?", tempo.bpm)
        return bool(is_number) and tempo.exact > 0 and len(tempo.beat) <= _LONGEST_TEMPO
    return False


def _is_day(text: str) -> bool:
    with suppress(ValueError):
        return date.fromisoformat(text).isoformat() == text
    return False


def _is_moment(text: str) -> bool:
    with suppress(ValueError):
        return datetime.fromisoformat(text).utcoffset() is not None
    return False
