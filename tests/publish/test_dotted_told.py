"""Dotted against triplet in everything that shows what pulls: one wording, and never a 4:3."""

from fractions import Fraction

import pytest

from companion.exercise.drill_features import has_feature
from companion.findings.hardness import hardness
from companion.findings.heard_conflicts import heard_conflicts
from companion.library.score_summary import points
from companion.publish.map_json import overview
from companion.publish.study_sheet import study
from companion.score.texture import texture_of
from companion.session.lanes import first_facing, lanes_of
from companion.session.open_score import OpenScore
from companion.tui.widgets.map_lines import bracket
from companion.wording.counting_sentences import bar_in_words
from companion.wording.map_sentences import score_map_told
from companion.wording.score_sentences import conflict_label
from tests.score.written import score
from tests.session.small_scores import opened_for_practice, whole

TRIPLETS = "2/4 e3 e3 e3 q"
DOTTED = opened_for_practice(score(V="2/4 e. s q", C=TRIPLETS))
FOURS = opened_for_practice(score(V="2/4 s s s s q", C=TRIPLETS))
TOLD = (
    "dotted against triplet in the beat: V dotted · C in triplets; "
    "agree: the short note with the third triplet, or after it"
)
COUNT = "ount 12: triplets on 1, 5 and 9; the short note on 10 as written, on 9 with the triplet"


def test_the_map_tells_the_choice() -> None:
    assert f"  bar 1: {TOLD}" in list(score_map_told(DOTTED))
    (conflict,) = DOTTED.conflicts
    assert conflict_label(conflict) == "dot:3"
    assert bracket("dot:3", " beat", 1, is_mine=True) == "dot:3"


def test_for_programs_it_is_a_finding_and_no_conflict() -> None:
    told = overview(DOTTED)
    assert told["conflicts"] == []
    (found,) = told["findings"]
    assert (found["kind"], found["first"], found["last"]) == ("dotted against triplet", 1, 1)
    assert "ratio" not in found
    assert found["sides"] == [["P2"], ["P1"]]
    assert [one["kind"] for one in overview(FOURS)["findings"]] == ["conflict"]


@pytest.mark.parametrize("part", [0, 1])
def test_study_and_passage_say_the_same(part: int) -> None:
    sheet = study(DOTTED, part, (1, 1))
    assert [one.text for one in sheet.sheet] == [f"Bar 1: {TOLD}. C{COUNT}."]
    assert sheet.counts[0].together == (("dotted against triplet", f"c{COUNT}"),)
    passage = whole(DOTTED, part)
    where, count, _ = bar_in_words(DOTTED, passage, 1 - part, passage.bars[0])
    assert (where, count) == (f"Bar 1: {TOLD}", f"C{COUNT}, in beat 1")


def test_a_short_note_that_comes_first_goes_with_the_second_triplet() -> None:
    turned = opened_for_practice(score(V="2/4 s e. q", C=TRIPLETS))
    assert (
        "  bar 1: short-long dotted against triplet in the beat: V dotted · C in triplets; "
        "agree: the second note with the second triplet, or before it"
    ) in list(score_map_told(turned))
    (sheet,) = study(turned, 0).sheet
    assert sheet.text.endswith("the second note on 4 as written, on 5 with the triplet.")


def test_in_the_lanes_the_short_note_is_the_fourth_of_its_beat() -> None:
    passage = whole(DOTTED)
    facing = first_facing(passage, DOTTED.conflicts)
    (ruling,) = lanes_of(passage, DOTTED.conflicts, facing).rulings
    assert [(cut.at, cut.count) for cut in ruling.upper] == [(0, 1), (Fraction(3, 4), 4)]
    assert [cut.count for cut in ruling.lower] == [1, 2, 3]
    assert ruling.divisions == ("dotted", "in 3")


def test_it_is_no_ratio_and_less_hard_than_four_against_three() -> None:
    assert not has_feature("4:3 in the beat", whole(DOTTED), DOTTED.conflicts, False)
    assert not has_feature("2:3 in the beat", whole(DOTTED), DOTTED.conflicts, False)
    assert has_feature("4:3 in the beat", whole(FOURS), FOURS.conflicts, False)
    assert points(DOTTED.conflicts[0]) < points(FOURS.conflicts[0])
    assert _hard(DOTTED) < _hard(FOURS)


def _hard(open_score: OpenScore) -> int:
    heard = heard_conflicts(open_score.conflicts, texture_of(open_score.clock))
    return hardness(open_score.conflicts[0], next(heard), "P1").score
