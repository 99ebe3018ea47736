"""What moves a passage up and down, and what is said about it."""

from dataclasses import replace
from datetime import datetime

import pytest

from companion.practice.attempt import Heard, HeardBy, Outcome
from companion.practice.mastery.standing import Standing, aims_of, standing, state
from companion.practice.mastery.states import (
    FALLS,
    RISES,
    MasteryState,
    is_alone,
)
from companion.wording.mastery_sentences import mastery, state_rules
from tests.practice.noted import goal_at, new_ones, noted, on, stands, stands_without_goal

CLIMB = "0 60 held click\n1 72 held click\n2 72 held click"


def how(one: Standing, number: int) -> MasteryState:
    return state(one, on(number))


def test_a_passage_nobody_tried_is_new() -> None:
    (one,) = new_ones([13])
    assert how(one, 0) is MasteryState.NEW
    assert mastery(one, on(0)).reasons == ("It was never tried; the goal is quarter = 72.",)


def test_one_good_evening_is_not_enough_however_often_it_held() -> None:
    assert (
        how(stands("0 72 held click\n0 72 held click\n0 72 secure alone"), 0)
        is MasteryState.TAKING_SHAPE
    )


def test_two_days_at_the_goal_tempo_hold_with_the_click() -> None:
    assert how(stands(CLIMB), 2) is MasteryState.WITH_CLICK


def test_a_day_below_the_goal_tempo_does_not_count() -> None:
    assert how(stands("0 71 secure click\n1 71 secure click\n2 71 secure click"), 2) is (
        MasteryState.TAKING_SHAPE
    )


def test_two_days_without_the_click_hold() -> None:
    assert how(stands("0 72 held alone\n1 72 held alone"), 1) is MasteryState.HOLDS


def test_what_held_only_after_a_warm_up_does_not_hold_without_the_click() -> None:
    words = "0 72 shaky alone\n0 72 held alone\n1 72 shaky alone\n1 72 held alone"
    assert how(stands(words), 1) is MasteryState.WITH_CLICK


def test_what_was_heard_counts_and_not_the_word() -> None:
    for word, heard, state_then in (
        ("held", None, MasteryState.HOLDS),
        ("held", Heard(Outcome.SHAKY, HeardBy.TAKE), MasteryState.TAKING_SHAPE),
        ("shaky", Heard(Outcome.HELD, HeardBy.TAKE), MasteryState.HOLDS),
        ("held", Heard(Outcome.SECURE, HeardBy.TAPS), MasteryState.NEW),
    ):
        tried = noted(f"0 72 {word} alone\n1 72 {word} alone")
        days = [replace(one, heard=heard) for one in tried]
        stood = standing(days, aims_of(goal_at(), None), datetime.date)
        assert how(stood, 1) is state_then


def test_what_was_only_tapped_says_so_until_it_is_played() -> None:
    tapped = [
        replace(one, heard=Heard(Outcome.SECURE, HeardBy.TAPS))
        for one in noted("0 90 held alone\n1 90 held alone")
    ]
    stood = standing(tapped, aims_of(goal_at(), None), datetime.date)
    judged = mastery(stood, on(2))
    assert judged.state is MasteryState.NEW
    assert judged.reasons == (
        "Tapped only, on 2 days, the last yesterday (secure): the rhythm is known, the instrument "
        "has not played it.",
        "The goal is quarter = 72.",
    )
    assert judged.next == "Next: play what you tapped, slowly."
    both = standing([*tapped, *noted("2 60 held click")], None, datetime.date)
    assert how(both, 2) is MasteryState.TAKING_SHAPE
    assert both.aims.goal == (60, 1), "the tempo that was tapped stands for no goal"


def test_the_other_side_alone_is_no_help() -> None:
    # Chamber music is played against the others: only strokes of one's own carry.
    assert how(stands("0 72 held alone\n1 72 held alone"), 1) is MasteryState.HOLDS
    assert how(stands("0 72 held click\n1 72 held click"), 1) is MasteryState.WITH_CLICK


def test_three_secure_days_over_a_week_are_ready() -> None:
    early = "0 72 secure alone\n2 72 secure alone"
    assert how(stands(early), 2) is MasteryState.HOLDS
    assert how(stands(early + "\n7 72 secure alone"), 7) is MasteryState.READY


def test_two_secure_days_a_week_apart_are_not_ready() -> None:
    assert how(stands("0 72 secure alone\n7 72 secure alone"), 7) is MasteryState.HOLDS


def test_three_secure_days_within_a_week_are_not_ready() -> None:
    words = "0 72 secure alone\n3 72 secure alone\n6 72 secure alone"
    assert how(stands(words), 6) is MasteryState.HOLDS


def test_its_day_of_return_brings_it_down_and_holding_again_brings_it_back() -> None:
    one = stands(CLIMB)
    due = one.due - on(0).toordinal()
    assert how(one, due - 1) is MasteryState.WITH_CLICK
    assert how(one, due) is MasteryState.RETURN
    assert how(stands(f"{CLIMB}\n{due} 72 held click"), due) is MasteryState.WITH_CLICK


def test_a_return_played_only_slowly_is_still_to_come() -> None:
    due = stands(CLIMB).due - on(0).toordinal()
    assert how(stands(f"{CLIMB}\n{due} 60 held click"), due) is MasteryState.RETURN


def test_a_passage_that_does_not_hold_yet_is_planned_for_two_days_later_at_the_latest() -> None:
    """However long the scheduler would wait for the next test."""
    once = stands("0 72 secure alone")
    assert once.due == on(8).toordinal() and once.planned == on(2).toordinal()
    holds = stands("0 72 secure alone\n7 72 secure alone")
    assert holds.planned == holds.due > on(9).toordinal()
    slipped = stands("0 72 secure alone\n7 72 secure alone\n8 72 shaky alone")
    assert slipped.planned <= on(10).toordinal()
    (new,) = new_ones([13])
    assert (new.planned, new.due, new.tries, new.days, new.first_day) == (0, 0, 0, 0, 0)


def test_attempts_and_practice_days_are_counted_from_the_first() -> None:
    one = stands("3 60 held click\n3 72 held click\n5 66 held click\n6 72 shaky click")
    assert (one.tries, one.days, one.first_day) == (4, 3, on(3).toordinal())
    assert (one.held, one.held_day) == ((66, 1), on(5).toordinal())
    assert (one.aims.is_set, stands_without_goal("0 60 held click").aims.is_set) == (True, False)


def test_a_slip_asks_for_a_return_and_a_second_one_takes_the_good_days_away() -> None:
    once = stands(f"{CLIMB}\n3 72 shaky click")
    twice = stands(f"{CLIMB}\n3 72 shaky click\n4 72 shaky click")
    assert how(once, 3) is MasteryState.RETURN
    assert how(twice, 4) is MasteryState.TAKING_SHAPE
    again = f"{CLIMB}\n3 72 shaky click\n4 72 shaky click\n5 72 held click"
    assert how(stands(again), 5) is MasteryState.TAKING_SHAPE
    assert how(stands(f"{again}\n6 72 held click"), 6) is MasteryState.WITH_CLICK


def test_failing_above_the_goal_is_no_slip() -> None:
    assert how(stands(f"{CLIMB}\n3 80 apart click"), 3) is MasteryState.WITH_CLICK


def test_failing_first_and_holding_after_is_no_slip() -> None:
    assert how(stands(f"{CLIMB}\n3 72 shaky click\n3 72 held click"), 3) is MasteryState.WITH_CLICK


ALONE = "0 72 secure alone\n3 72 secure alone\n8 72 secure alone"


def test_the_newest_first_run_without_the_click_counts() -> None:
    assert how(stands(ALONE), 8) is MasteryState.READY
    held = stands(f"{ALONE}\n9 72 held alone")
    assert how(held, 9) is MasteryState.HOLDS
    assert "a first run without the click that is secure again" in mastery(held, on(9)).next
    shaky = f"{ALONE}\n9 72 shaky alone\n9 72 held alone"
    assert how(stands(shaky), 9) is MasteryState.WITH_CLICK
    assert how(stands(f"{shaky}\n10 72 secure alone"), 10) is MasteryState.READY


def test_what_held_with_the_click_later_hides_no_failure_without_it() -> None:
    one = stands(f"{ALONE}\n9 72 shaky alone\n9 72 held click\n10 72 secure click")
    assert how(one, 10) is MasteryState.WITH_CLICK
    assert (
        "The newest first run without the click at quarter = 72, on 11 March 2026, was shaky: "
        "that counts."
    ) in mastery(one, on(10)).reasons


@pytest.mark.parametrize("word", ["shaky", "apart"])
def test_five_bad_days_move_it_down_in_spite_of_one_lucky_run_each_day(word: str) -> None:
    bad = (f"{day} 72 {word} click\n" * 3 + f"{day} 72 held click" for day in range(9, 14))
    one = stands("\n".join((ALONE, *bad)))
    assert how(one, 13) is MasteryState.TAKING_SHAPE
    assert any("slipped on the last 5 days" in why for why in mastery(one, on(13)).reasons)


def test_five_bad_days_of_what_never_held_are_named_too() -> None:
    one = stands("\n".join(f"{day} 60 shaky click" for day in range(5)))
    assert how(one, 4) is MasteryState.TAKING_SHAPE
    assert (
        "On the last 5 days it was played it fell apart or was shaky more often than it held."
    ) in mastery(one, on(4)).reasons


def test_why_is_it_shaky_is_answered_with_dates_and_tempos() -> None:
    judged = mastery(stands(f"{CLIMB}\n3 72 shaky click"), on(5))
    assert judged.state is MasteryState.RETURN
    assert judged.reasons == (
        "It held before, but slipped at quarter = 72 on 5 March 2026.",
        "It held at its goal, quarter = 72, on 2 days, the last on 4 March 2026.",
        "At the goal tempo it has held only with the click sounding.",
        "It was last played 2 days ago: one attempt, and it was shaky.",
        "It is due on 7 March 2026.",
    )


def test_what_never_held_takes_shape_after_a_bad_day_and_needs_no_return() -> None:
    judged = mastery(stands("0 72 fell-apart click"), on(1))
    assert judged.state is MasteryState.TAKING_SHAPE
    assert judged.reasons[0] == "Nothing has held yet; it was tried at its goal, quarter = 72."


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("0 60 fell-apart click", "one attempt, and it fell apart."),
        ("0 60 fell-apart click\n0 60 fell-apart click", "each of 2 attempts fell apart."),
        ("0 60 shaky click\n0 60 fell-apart click", "0 of 2 attempts clean; the best was shaky."),
        ("0 60 shaky click\n0 60 held click", "1 of 2 attempts clean; the best held."),
    ],
)
def test_how_the_last_day_went_is_told(words: str, told: str) -> None:
    reasons = mastery(stands(words), on(1)).reasons
    assert any(one.endswith(f": {told}") for one in reasons)


def test_a_slower_try_is_told_beside_the_goal() -> None:
    assert mastery(stands("0 60 shaky click"), on(1)).reasons[0] == (
        "Nothing has held yet; it was tried at up to quarter = 60; its goal is quarter = 72."
    )


def test_what_would_move_it_up_is_told() -> None:
    judged = mastery(stands("0 72 held click\n0 60 held click"), on(0))
    assert judged.next == (
        "Next: “holds with the click” — 2 days without a slip on which a run at goal tempo was "
        "held or secure; so far 1."
    )


def test_the_way_to_the_goal_is_told_in_percent() -> None:
    told = mastery(stands("0 54 held click"), on(1)).reasons
    assert told[0] == "It held at quarter = 54 on 2 March 2026, 75 % of its goal, quarter = 72."


def test_without_a_goal_the_fastest_tempo_stands_for_one_and_says_so() -> None:
    one = stands_without_goal("0 60 held click\n1 66 held click")
    assert how(one, 1) is MasteryState.TAKING_SHAPE
    assert any("No goal is set" in reason for reason in mastery(one, on(1)).reasons)


def test_a_goal_counted_in_another_beat_is_the_same_speed() -> None:
    # Quarter = 72 is dotted quarter = 48: arithmetic, 72 quarters a minute either way.
    from dataclasses import replace
    from fractions import Fraction

    dotted = replace(goal_at(), tempo=Fraction(48), beat="dotted quarter")
    assert how(stands(CLIMB, dotted), 2) is MasteryState.WITH_CLICK


def test_the_table_names_every_state_and_every_number_it_decides_by() -> None:
    rules = list(state_rules())
    assert {how for _, how, _ in rules} == set(MasteryState)
    assert len(rules) == 2 + len(RISES) + len(FALLS)
    for rise in RISES:
        assert any(to is rise.to and f"{rise.days} days" in when for _, to, when in rules)


@pytest.mark.parametrize(
    ("layers", "alone"),
    [
        ((), True),
        (("theirs",), True),
        (("theirs", "rhythm:cello"), True),
        (("beat", "theirs"), False),
        (("rhythm",), False),
        (("something new",), False),
    ],
)
def test_which_layers_carry_a_player(layers: tuple[str, ...], alone: bool) -> None:
    (attempt,) = noted("0 72 held click")
    assert is_alone(replace(attempt, layers=layers)) is alone


@pytest.mark.parametrize(
    ("silences", "times", "alone"),
    [
        ("every 2 bars", 9, False),
        ("growing to 8 bars", 9, False),
        ("theirs only", 9, False),
        ("silent bars", 9, False),  # as an earlier form had it: which bars, nobody knows
        ("every 2 times", 1, False),
        ("every 2 times", 2, True),
        ("every 3 beats, every 4 times", 3, False),
        ("every 3 beats, every 4 times", 4, True),
        ("growing to 2 times", 2, False),
        ("growing to 2 times", 3, True),
        ("random 0.9 times", 9, False),  # chance may have left them all sounding
    ],
)
def test_only_a_whole_time_through_in_silence_is_without_the_click(
    silences: str, times: int, alone: bool
) -> None:
    (attempt,) = noted("0 72 held click")
    assert is_alone(replace(attempt, silences=silences, repetitions=times)) is alone


@pytest.mark.parametrize("along", [(), ("Cello",), ("drone A3",), ("Cello", "drone A3")])
def test_who_plays_along_neither_carries_nor_takes_the_click_away(along: tuple[str, ...]) -> None:
    with_click, without = noted("0 72 held click\n1 72 held alone")
    assert not is_alone(replace(with_click, accompaniment=along))
    assert is_alone(replace(without, accompaniment=along))
