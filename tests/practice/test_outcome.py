"""The four words are this program's own; that the alphabet is not their order is the check."""

from __future__ import annotations

import itertools

import pytest

from companion.practice.attempt import KEYS, Outcome
from companion.wording.log_sentences import OUTCOME_MEANINGS

WORST_TO_BEST = ["fell apart", "shaky", "held", "secure"]


def test_the_words_stand_worst_to_best() -> None:
    assert [outcome.value for outcome in Outcome] == WORST_TO_BEST
    assert [outcome.rank for outcome in Outcome] == [1, 2, 3, 4]


def test_keys_one_to_four_say_the_words() -> None:
    assert [KEYS[key].value for key in "1234"] == WORST_TO_BEST
    assert len(KEYS) == 4


@pytest.mark.parametrize(("worse", "better"), itertools.combinations(Outcome, 2))
def test_a_better_outcome_compares_as_better_whatever_its_spelling(
    worse: Outcome, better: Outcome
) -> None:
    assert worse < better
    assert worse <= better
    assert better > worse
    assert better >= worse
    assert not better <= worse
    assert not worse >= better


def test_held_is_better_than_shaky_though_h_comes_before_s() -> None:
    assert str.__lt__("held", "shaky")
    assert Outcome.SHAKY < Outcome.HELD
    assert Outcome.HELD > "shaky"
    assert sorted(reversed(Outcome)) == WORST_TO_BEST
    assert max(Outcome) is Outcome.SECURE


def test_a_word_nobody_uses_is_no_outcome() -> None:
    with pytest.raises(ValueError, match="perfect"):
        Outcome("perfect")


def test_each_outcome_says_in_one_sentence_what_it_means() -> None:
    assert set(OUTCOME_MEANINGS) == set(Outcome)
    assert len(set(OUTCOME_MEANINGS.values())) == 4
    for meaning in OUTCOME_MEANINGS.values():
        assert meaning.endswith(".")
        assert meaning.count(".") == 1
