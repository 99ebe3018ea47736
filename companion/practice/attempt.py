"""One attempt: a passage, the tempo it was tried at, and how it went.

The record carries its score, part and bars by value, because a log is read
years after the score file was moved or edited; and its tempo never goes
without its beat, because "60" in 6/8 means nothing until the beat is named.
An attempt that cannot be meant (bars backwards, no tempo) is refused when it
is made, so it can never reach the log.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from uuid import uuid4

from companion.errors import RequestError
from companion.practice.bounds import (
    are_short,
    is_count,
    is_datable,
    is_early_or_late,
    is_length,
    is_span,
    is_tempo,
)

_UUID_4 = re.compile("[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


def new_id() -> str:
    """A fresh random identity, alike on no two machines (UUID version 4, RFC 9562)."""
    return str(uuid4())


def now() -> datetime:
    """This moment, with the offset of the local clock."""
    return datetime.now().astimezone()


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One sitting with a passage at one tempo. Raises RequestError if it cannot be meant."""

    score_title: str
    """As the score names itself; may be empty."""
    score_digest: str
    """Digest of the score file's content, lower-case hex: the same score wherever it lies."""
    score_path: str
    """Where the file lay at the time."""
    part_id: str
    """The part's id inside its file."""
    part_name: str
    """The part's name as printed; may be empty."""
    first_bar: int
    """Ordinal position of the first bar in the file, from 1."""
    last_bar: int
    """Ordinal position of the last bar, which is played too."""
    bars_label: str
    """The bars as printed: "II:225–230", "13–20"."""
    tempo: Fraction
    """Felt beats a minute, exact."""
    beat: str
    """The note value of the beat: "quarter", "dotted quarter"."""
    outcome: Outcome
    layers: tuple[str, ...] = ()
    """What sounded of the click, in order; empty without a click."""
    silences: str = ""
    """Where the click fell silent, as a player types it: "every 4 bars, theirs only"."""
    accompaniment: tuple[str, ...] = ()
    """Who played along: the printed names of parts, and "drone A3"."""
    repetitions: int = 1
    """Times through; 0 when it was broken off before the end."""
    seconds: float = 0.0
    """How long it took, in seconds."""
    note: str = ""
    judgement: str | None = None
    """Free words of a judgement, a JSON object as text, as logs of before may hold them."""
    heard: Heard | None = None
    """What was heard of it in taps or a take; None when nothing listened."""
    is_withdrawn: bool = False
    """Deleted: it counts no longer, and can be brought back."""
    at: datetime = field(default_factory=now)
    """When it ended, with its UTC offset, so the local day can be told later."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text: the same attempt in every copy of the log."""

    @property
    def counts_as(self) -> Outcome:
        """The outcome that counts: what was heard, or the player's word if nothing listened."""
        return self.heard.outcome if self.heard else self.outcome

    @property
    def is_played(self) -> bool:
        """Whether the instrument was played, and the rhythm not just tapped."""
        return self.heard is None or self.heard.by is not HeardBy.TAPS

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise RequestError(
                f"This attempt cannot be kept: {fault}",
                where=" ".join(filter(None, (self.score_title, self.bars_label))),
                next="Correct that and note it again.",
            )


def _faults(attempt: Attempt) -> list[str]:
    """What is wrong with an attempt, most telling first."""
    claims = (
        is_span(attempt.first_bar, attempt.last_bar),
        is_tempo(attempt.tempo),
        bool(attempt.beat),
        bool(attempt.part_id),
        re.fullmatch("[0-9a-f]+", attempt.score_digest) is not None,
        is_count(attempt.repetitions),
        is_length(attempt.seconds),
        is_datable(attempt.at),
        are_short(_texts(attempt)),
        _is_judgement(attempt.judgement),
        attempt.heard is None or _is_heard(attempt.heard),
        is_identity(attempt.id),
    )
    if all(claims):  # nearly always, and a log of years has a hundred thousand of them
        return []
    told = (
        f"its bars run from {attempt.first_bar} to {attempt.last_bar}",
        f"its tempo is {attempt.tempo} beats a minute",
        "its tempo does not say which note value the beat is",
        "it does not say which part was played",
        "its score has no digest in hex",
        f"it was played {attempt.repetitions} times",
        f"it lasted {attempt.seconds:g} seconds",
        "its time says no year and no UTC offset that can be kept",
        "its words are too long",
        "its judgement is not a JSON object",
        "what was heard of it cannot be",
        "its id is not a random UUID written out in full",
    )
    return [fault for holds, fault in zip(claims, told, strict=True) if not holds]


def _texts(attempt: Attempt) -> Iterator[str]:
    yield attempt.score_title
    yield attempt.score_digest
    yield attempt.score_path
    yield attempt.part_id
    yield attempt.part_name
    yield attempt.bars_label
    yield attempt.beat
    yield from attempt.layers
    yield attempt.silences
    yield from attempt.accompaniment
    yield attempt.note
    yield attempt.judgement or ""
    yield from (side.name for side in attempt.heard.sides) if attempt.heard else ()


def is_identity(text: str) -> bool:
    """Whether this is a UUID version 4 as `new_id` writes one."""
    return _UUID_4.fullmatch(text) is not None


def _is_judgement(text: str | None) -> bool:
    if text is None:
        return True
    try:
        return isinstance(json.loads(text), dict)
    except (ValueError, RecursionError):
        return False


def _is_heard(heard: Heard) -> bool:
    counts = (heard.missed, heard.added, *(side.notes for side in heard.sides))
    times = [time for side in heard.sides for time in (side.mean_ms, side.spread_ms)]
    return all(map(is_count, counts)) and all(map(is_early_or_late, times))


# What the program heard, kept beside the player's own word.


class HeardBy(StrEnum):
    """What was listened to."""

    TAPS = "taps"
    """The rhythm alone, tapped without the instrument."""
    TAKE = "take"
    """A recording of the instrument."""


@dataclass(frozen=True, slots=True)
class HeardSide:
    """One side: the notes on the beat, those off it, or a hand that tapped."""

    name: str
    mean_ms: float
    """Milliseconds by which it was late against the side it was compared with."""
    spread_ms: float
    """Milliseconds, standard deviation."""
    notes: int
    """How many were heard."""


@dataclass(frozen=True, slots=True)
class Heard:
    """How an attempt went by what was heard."""

    outcome: Outcome
    """The outcome that was proposed."""
    by: HeardBy
    sides: tuple[HeardSide, ...] = ()
    missed: int = 0
    """Notes left out."""
    added: int = 0
    """Notes put in."""


# The bars of one part of one score, by value: what attempts and goals are about.


@dataclass(frozen=True, slots=True, order=True)
class Bars:
    """A passage as the log knows it."""

    score_digest: str
    """Digest of the score file's content, lower-case hex."""
    part_id: str
    """The part's id inside its file."""
    first: int
    """Ordinal position of the first bar in the file, from 1."""
    last: int
    """Ordinal position of the last bar, which belongs to it."""


def bars_of(attempt: Attempt) -> Bars:
    """What the attempt was at."""
    return Bars(attempt.score_digest, attempt.part_id, attempt.first_bar, attempt.last_bar)


# How a time through a passage went, in the player's own judgement.


class Outcome(StrEnum):
    """One of four words, worst first; compared and sorted by rank, not by spelling."""

    FELL_APART = "fell apart"
    SHAKY = "shaky"
    HELD = "held"
    SECURE = "secure"

    @property
    def rank(self) -> int:
        """1 for the worst to 4 for the best."""
        return _RANKS[self]

    def __lt__(self, other: str) -> bool:
        return self.rank < Outcome(other).rank

    def __le__(self, other: str) -> bool:
        return self.rank <= Outcome(other).rank

    def __gt__(self, other: str) -> bool:
        return self.rank > Outcome(other).rank

    def __ge__(self, other: str) -> bool:
        return self.rank >= Outcome(other).rank


_RANKS = {outcome: number for number, outcome in enumerate(Outcome, 1)}

KEYS: Mapping[str, Outcome] = {str(outcome.rank): outcome for outcome in Outcome}
"""The key that says each outcome: "1" for the worst to "4" for the best."""


def outcome_named(text: str) -> Outcome:
    """An outcome by its word, the beginning of it, or its key. Raises RequestError."""
    wanted = text.strip().casefold()
    found = [one for one in Outcome if wanted and one.value.startswith(wanted)]
    if wanted in KEYS:
        return KEYS[wanted]
    if len(found) != 1:
        raise RequestError(
            f"“{text}” is not an outcome", next=f"Choose one of: {', '.join(Outcome)}."
        )
    return found[0]
