"""Tempo plans as a teacher would write them."""

from fractions import Fraction

import pytest

from companion.click.plan.tempo_plan import (
    AfterFailing,
    Fixed,
    Ladder,
    Marked,
    Ramp,
    TempoPlan,
    Turns,
)
from companion.click.words.tempo_words import marked_as, parse_tempo, tempo_in_words
from companion.errors import RequestError

F = Fraction
SAID: list[tuple[str, TempoPlan]] = [
    ("60", Fixed(F(60))),
    ("72,5", Fixed(F(145, 2))),
    ("145/2", Fixed(F(145, 2))),
    ("60 to 90 by 4", Ladder(F(60), F(90), F(4))),
    ("60 to 90 by 4, twice each", Ladder(F(60), F(90), F(4), 2)),
    ("60 to 90 by 2.5, 3 times each", Ladder(F(60), F(90), F(5, 2), 3)),
    (
        "60 to 90 by 4, twice each, else back one",
        Ladder(F(60), F(90), F(4), 2, AfterFailing.BACK_ONE),
    ),
    ("60 to 90 by 4, else from the start", Ladder(F(60), F(90), F(4), 1, AfterFailing.FROM_START)),
    ("60 to 90", Ramp(F(60), F(90))),
    ("60 to 90 over 8 times", Ramp(F(60), F(90), 8)),
    ("60 and 90", Turns(F(60), F(90))),
    ("60 and 90, twice each", Turns(F(60), F(90), 2)),
    ("as marked", Marked()),
    ("80%", Marked(F(4, 5))),
    ("80% of marked", Marked(F(4, 5))),
    ("62.5 %", Marked(F(5, 8))),
]


@pytest.mark.parametrize(("text", "plan"), SAID)
def test_a_plan_is_read_as_it_is_meant(text: str, plan: TempoPlan) -> None:
    assert parse_tempo(text) == plan


@pytest.mark.parametrize(("text", "plan"), SAID)
def test_a_plan_is_told_in_words_that_mean_it_again(text: str, plan: TempoPlan) -> None:
    assert parse_tempo(tempo_in_words(plan)) == plan


def test_commas_and_capitals_may_be_missing() -> None:
    plan = Ladder(F(60), F(90), F(4), 2, AfterFailing.SAME)
    assert parse_tempo("60 TO 90  by 4 twice each else the same") == plan


@pytest.mark.parametrize(
    "text",
    [
        *("", "fast", "60 to", "to 90", "60 to 90 by", "60 to 90 by 0", "60 to 90 by x"),
        *("60 twice each", "60 to 90, twice each", "60 else back one", "as marked, twice each"),
        *("60 to 90 by 4, else give up", "60 to 9 by 4", "5%", "1000%", "60 to 90 over 0 times"),
        *("60 to 90 by 4, 0 times each", "60 to 90 by 1/0", "60 and", "-60", "60 to 90 by 4.5.6"),
    ],
)
def test_what_means_nothing_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(RequestError) as told_:
        parse_tempo(text)
    assert told_.value.next


def test_how_far_a_rit_goes_and_how_long_a_fermata_is_held_can_be_said() -> None:
    assert marked_as(Marked(), rit="0.75", fermata=None) == Marked(rit=F(3, 4))
    assert marked_as(Marked(), rit="75%", fermata="2") == Marked(rit=F(3, 4), hold=F(2))
    assert marked_as(Marked(), rit="3/4", fermata="1/2") == Marked(rit=F(3, 4), hold=F(1, 2))


@pytest.mark.parametrize(
    ("rit", "fermata"),
    [("2", None), ("0", None), ("slow", None), ("", None), (None, "17"), (None, "long")],
)
def test_a_rit_to_nothing_or_an_endless_fermata_is_refused(
    rit: str | None, fermata: str | None
) -> None:
    with pytest.raises(RequestError):
        marked_as(Marked(), rit=rit, fermata=fermata)
