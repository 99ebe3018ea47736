from __future__ import annotations

from collections.abc import Callable
from dataclasses import FrozenInstanceError, replace
from datetime import datetime
from fractions import Fraction
from uuid import UUID

import pytest

from companion.errors import RequestError
from companion.practice.attempt import Attempt, Heard, HeardBy, Outcome, new_id


@pytest.fixture
def attempt() -> Attempt:
    return Attempt(
        score_title="Study in two meters",
        score_digest="5e" * 32,
        score_path="/scores/study.musicxml",
        part_id="P2",
        part_name="Violin II",
        first_bar=13,
        last_bar=20,
        bars_label="13–20",
        tempo=Fraction(145, 2),
        beat="dotted quarter",
        outcome=Outcome.SHAKY,
    )


def test_an_attempt_is_stamped_with_an_identity_of_its_own(attempt: Attempt) -> None:
    # RFC 9562, sections 4.1, 4.2 and 5.4: version 4, the variant whose first bits are 10.
    identity = UUID(attempt.id)
    assert (identity.int >> 76) & 0xF == 4
    assert (identity.int >> 62) & 0b11 == 0b10
    assert len(attempt.id) == 36
    assert new_id() != new_id()


def test_an_attempt_knows_how_far_the_local_clock_is_from_utc(attempt: Attempt) -> None:
    assert attempt.at.utcoffset() is not None


def test_an_attempt_noted_cannot_be_rewritten(attempt: Attempt) -> None:
    with pytest.raises(FrozenInstanceError):
        attempt.outcome = Outcome.SECURE  # type: ignore[misc]


def test_one_bar_is_a_passage(attempt: Attempt) -> None:
    assert replace(attempt, first_bar=13, last_bar=13, bars_label="13").last_bar == 13


def test_an_attempt_broken_off_before_the_end_still_counts(attempt: Attempt) -> None:
    assert replace(attempt, repetitions=0).repetitions == 0


Spoil = Callable[[Attempt], Attempt]
NONSENSE: dict[str, Spoil] = {
    "bars run from 20 to 13": lambda a: replace(a, first_bar=20, last_bar=13),
    "bars run from 0 to 20": lambda a: replace(a, first_bar=0),
    "bars run from 13 to 9223372036854775808": lambda a: replace(a, last_bar=2**63),
    "tempo is 0 beats": lambda a: replace(a, tempo=Fraction(0)),
    "tempo is -60 beats": lambda a: replace(a, tempo=Fraction(-60)),
    "which note value the beat is": lambda a: replace(a, beat=""),
    "which part was played": lambda a: replace(a, part_id=""),
    "no digest in hex": lambda a: replace(a, score_digest="5E" * 32),
    "played -1 times": lambda a: replace(a, repetitions=-1),
    "it lasted nan seconds": lambda a: replace(a, seconds=float("nan")),
    "it lasted -0.5 seconds": lambda a: replace(a, seconds=-0.5),
    "it lasted 9.22337e+18 seconds": lambda a: replace(a, seconds=2.0**63),
    "no UTC offset that can be kept": lambda a: replace(a, at=datetime(2026, 3, 1, 17, 5)),
    "no year and no UTC offset": lambda a: replace(a, at=a.at.replace(year=1)),
    "tempo is 1000000 beats": lambda a: replace(a, tempo=Fraction(10**6)),
    "played 1000000 times": lambda a: replace(a, repetitions=10**6),
    "its words are too long": lambda a: replace(a, note="n" * 200_000),
    "what was heard of it cannot be": lambda a: replace(
        a, heard=Heard(Outcome.HELD, HeardBy.TAKE, missed=2**40)
    ),
    "not a random UUID": lambda a: replace(a, id=a.id.upper() + "0"),
    "written out in full": lambda a: replace(a, id="00000000-0000-0000-0000-000000000000"),
}


@pytest.mark.parametrize("complaint", NONSENSE)
def test_an_attempt_that_cannot_be_meant_is_refused_in_a_sentence(
    attempt: Attempt, complaint: str
) -> None:
    with pytest.raises(RequestError) as refusal:
        NONSENSE[complaint](attempt)
    said = refusal.value.sentence()
    assert complaint in said
    assert said.startswith("Study in two meters")
    assert said.endswith("note it again.")
