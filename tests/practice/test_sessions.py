"""Sessions are worked out; that half an hour parts them is the program's own choice."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from companion.practice.practice_day import LONGEST_BREAK, PracticeSpan, Session, sessions

MINUTE = 60.0


def test_a_long_break_begins_a_new_session_and_a_short_one_does_not() -> None:
    scales = PracticeSpan(900 * MINUTE, 3600, 15 * MINUTE)
    passage = PracticeSpan(930 * MINUTE, 3600, 2 * MINUTE)
    evening = PracticeSpan(1200 * MINUTE, 3600, 20 * MINUTE)
    assert sessions([evening, passage, scales]) == [
        Session(885 * MINUTE, 930 * MINUTE, 3600, 17 * MINUTE, 2),
        Session(1180 * MINUTE, 1200 * MINUTE, 3600, 20 * MINUTE, 1),
    ]


def test_a_timer_around_attempts_is_one_session_counted_once() -> None:
    timer = PracticeSpan(60 * MINUTE, 0, 60 * MINUTE)
    attempt = PracticeSpan(50 * MINUTE, 0, 5 * MINUTE)
    assert sessions([attempt, timer]) == [Session(0, 60 * MINUTE, 0, 60 * MINUTE, 2)]


def test_no_practice_is_no_session() -> None:
    assert sessions([]) == []


@given(
    st.lists(
        st.builds(
            PracticeSpan,
            st.integers(0, 100_000).map(float),
            st.just(0),
            st.integers(0, 5000).map(float),
        )
    )
)
def test_sessions_stand_apart_and_never_last_less_than_nothing(spans: list[PracticeSpan]) -> None:
    found = sessions(spans)
    assert sum(session.count for session in found) == len(spans)
    for session in found:
        assert 0 <= session.seconds <= session.ended - session.began
    for earlier, later in zip(found, found[1:], strict=False):
        assert later.began - earlier.ended > LONGEST_BREAK
