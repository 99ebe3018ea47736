"""Corrections of two machines come out the same whichever way they are joined."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from companion.practice.attempt import Outcome
from companion.practice.revision import CorrectedWords, Correction, Revision, original, replayed

FIRST = CorrectedWords(Outcome.SECURE, "easy")
MONDAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def corrected(before: CorrectedWords, after: CorrectedWords, hours: int) -> Correction:
    return Correction(Revision(MONDAY + timedelta(hours=hours)), before, after)


def test_the_later_of_two_machines_holds_word_by_word() -> None:
    outcome = corrected(FIRST, CorrectedWords(Outcome.SHAKY, "easy"), 1)
    note = corrected(FIRST, CorrectedWords(Outcome.SECURE, "rushed"), 2)
    both = CorrectedWords(Outcome.HELD, "tired"), 0
    earliest = corrected(FIRST, *both)
    for order in ([outcome, note, earliest], [earliest, note, outcome]):
        assert replayed(FIRST, order) == CorrectedWords(Outcome.SHAKY, "rushed")


def test_at_the_same_moment_the_identity_decides_and_not_the_order() -> None:
    one = Correction(
        Revision(MONDAY, "a1b0c9d8-0000-4000-8000-000000000000"),
        FIRST,
        CorrectedWords(Outcome.HELD, "easy"),
    )
    other = Correction(
        Revision(MONDAY, "b1b0c9d8-0000-4000-8000-000000000000"),
        FIRST,
        CorrectedWords(Outcome.SHAKY, "easy"),
    )
    assert replayed(FIRST, [one, other]) == replayed(FIRST, [other, one])
    assert replayed(FIRST, [one, other]).outcome is Outcome.SHAKY


WORDS = st.builds(
    CorrectedWords,
    st.sampled_from(Outcome),
    st.sampled_from(["", "easy", "rushed"]),
    st.booleans(),
)


@st.composite
def chains(draw: st.DrawFn) -> list[Correction]:
    """What one machine says one after the other of the same attempt."""
    words, hours, chain = FIRST, 0, []
    for after in draw(st.lists(WORDS, max_size=5)):
        hours += draw(st.integers(1, 5))
        chain.append(corrected(words, after, hours))
        words = after
    return chain


@given(chains(), chains())
def test_joined_corrections_say_the_same_in_any_order(
    here: list[Correction], there: list[Correction]
) -> None:
    joined = [*here, *there]
    words = replayed(FIRST, joined)
    assert replayed(FIRST, joined[::-1]) == words
    assert replayed(replayed(FIRST, here), joined) == words
    assert replayed(replayed(FIRST, there), joined) == words
    assert replayed(words, joined + here) == words


@given(chains())
def test_what_was_said_first_can_be_told_from_what_is_said_now(chain: list[Correction]) -> None:
    now = chain[-1].later if chain else FIRST
    assert replayed(FIRST, chain) == now
    assert original(now, chain) == FIRST
