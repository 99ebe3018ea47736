"""A conflict that sits in one beat is ruled in that beat alone."""

from fractions import Fraction

from companion.session.lanes import first_facing, lanes_of
from tests.score.written import score
from tests.session.small_scores import opened_for_practice, whole


def test_a_triplet_on_the_second_beat_is_ruled_there_and_still_said_to_be_three() -> None:
    open_score = opened_for_practice(score(V="3/4 q e3 e3 e3 q", C="3/4 q e e q"))
    mine = whole(open_score)
    (ruling,) = lanes_of(
        mine, open_score.conflicts, first_facing(mine, open_score.conflicts)
    ).rulings
    assert [(cut.at, cut.count) for cut in ruling.lower] == [(Fraction(1), 1), (Fraction(3, 2), 2)]
    assert [cut.count for cut in ruling.upper] == [1, 2, 3]
    assert ruling.divisions == ("in 3", "in 2")


def test_a_triplet_over_half_a_bar_leaves_the_other_half_free_and_counts_its_own() -> None:
    open_score = opened_for_practice(score(V="4/4 h q3 q3 q3", C="4/4 q q q q"))
    mine = whole(open_score)
    (ruling,) = lanes_of(
        mine, open_score.conflicts, first_facing(mine, open_score.conflicts)
    ).rulings
    assert [cut.count for cut in ruling.upper] == [1, 2, 3]
    assert [cut.count for cut in ruling.lower] == [1, 2]
    assert ruling.divisions == ("in 3", "in 2")
