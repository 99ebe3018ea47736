"""The sheet of one page: what is on it, what is told once, what is counted instead."""

import re

import pytest

from companion.publish.map_json import overview
from companion.publish.study_sheet import (
    PAGE_LINES,
    CountedBar,
    Study,
    counted_alike,
    left_told,
    lines_of,
    page,
    studies,
)
from companion.score.model import Score
from companion.score.readers.opening import read_score
from companion.wording.advice import Advice, Topic
from tests.findings.ensembles import bar_name
from tests.findings.real_scores import CORPUS, DEMO
from tests.score.written import score_of
from tests.session.small_scores import opened_for_practice


def studied(score: Score) -> list[Study]:
    return studies(opened_for_practice(score), range(len(score.parts)))


def pull(bar: int, exposure: int = 0, against: str = "Viola", *, mixed: bool = False) -> Advice:
    return Advice(
        Topic.CONFLICT,
        bar,
        bar,
        f"Bar {bar}: 3 against 2.",
        1.0,
        exposure=exposure,
        alike="3:2",
        against=against,
        is_mixed_meter=mixed,
    )


def test_the_first_is_told_in_full_and_the_others_by_their_bars() -> None:
    ((told,), left) = page([pull(3), pull(7), pull(8), pull(12, against="Cello")], bar_name)
    assert told.text == "Bar 3: 3 against 2. And again in bars 7–8; against Cello in bar 12."
    assert (told.times, left) == (4, [])


def test_the_most_exposed_of_those_alike_is_named() -> None:
    ((told,), _) = page([pull(3), pull(7, exposure=4)], bar_name)
    assert told.text.endswith("And again in bar 7. Most exposed in bar 7.")
    assert told.exposure == 4


def test_the_most_exposed_stands_first() -> None:
    calm, bare = (
        Advice(Topic.CONFLICT, bar, bar, f"Bar {bar}.", 1.0, exposure=bar) for bar in (1, 4)
    )
    kept, _ = page([calm, bare], bar_name)
    assert [each.first for each in kept] == [4, 1]


def test_a_long_count_is_said_once_on_a_page() -> None:
    count = "Count 1 2 3 4; the threes fall on 1, a third after 2 and two thirds after 3."
    same = [
        Advice(Topic.CONFLICT, bar, bar, f"Bar {bar}: {count}", 1.0, count=count) for bar in (2, 5)
    ]
    kept, _ = page(same, bar_name)
    assert [each.text for each in kept] == [f"Bar 2: {count}", "Bar 5: Count as in bar 2."]


def test_mixed_meters_that_find_no_room_are_named_by_their_bars() -> None:
    many = [
        Advice(Topic.FEEL, bar, bar, f"Bar {bar}: " + "x " * 150, 1.0, is_mixed_meter=True)
        for bar in range(1, 30)
    ]
    kept, left = page(many, bar_name)
    named = {each.first for each in kept} | {
        bar
        for first, last in re.findall(
            r"(\d+)(?:–(\d+))?", left_told(left, bar_name).split("also in")[1]
        )
        for bar in range(int(first), int(last or first) + 1)
    }
    assert named == set(range(1, 30))
    assert f"And {len(left)} more (change of feel: {len(left)})" in left_told(left, bar_name)


@pytest.mark.parametrize(
    "path", ["beethoven/opus132.mxl", "beethoven/opus74.mxl", "mozart/k458/movement4.mxl", ""]
)
def test_a_sheet_is_a_page_and_nothing_is_lost_between_it_and_the_rest(path: str) -> None:
    score = read_score(CORPUS / path if path else DEMO, None).score
    for of in studied(score):
        assert (
            len({each.topic for each in of.sheet}) * 2
            + sum(len(lines_of(each)) for each in of.sheet)
            <= PAGE_LINES
        )
        assert sum(each.times for each in (*of.sheet, *of.left)) >= len(of.everything)
        mixed = {each.first for each in of.everything if each.is_mixed_meter}
        told = {each.first for each in (*of.sheet, *of.left) if each.is_mixed_meter}
        again = " ".join(each.text for each in of.sheet)
        assert all(bar in told or re.search(rf"\b{bar}\b|–", again) for bar in mixed)


def test_others_in_two_meters_are_told_to_a_player_on_neither_side() -> None:
    music = {
        "Violin": "6/8 e e e e e e | e e e e e e",
        "Viola": "2/4 e e e e | e e e e",
        "Cello": "2/4 h | h",
    }
    cello = studied(score_of(music))[2]
    (told,) = [each for each in cello.everything if each.topic is Topic.BARLINES]
    assert (
        told.text
        == "Bars 1–2: 3 against 2 in the beat between Violin and Viola; you are on neither side."
    )
    assert told.is_mixed_meter


def test_half_note_triplets_are_a_division_and_no_matter_of_barlines() -> None:
    violin = studied(
        score_of({"Violin": "4/4 h3 h3 h3 | h3 h3 h3", "Viola": "4/4 q q q q | q q q q"})
    )[0]
    assert [each.topic for each in violin.everything] == [Topic.CONFLICT]
    assert "4 against 3 in the bar" in violin.sheet[0].text
    assert "Viola plays the beats and can keep the pulse" in violin.sheet[0].text


def test_entrances_on_different_beats_are_not_the_same() -> None:
    music = {
        "Violin": "2/4 q q | rq rq | rq rq | q q | rq rq | rq rq | rq q",
        "Viola": "2/4 q q | q q | q q | q q | q q | q q | q q",
    }
    violin = studied(score_of(music))[0]
    entrances = [each for each in violin.everything if each.topic is Topic.ENTRANCE]
    assert len({each.alike for each in entrances}) == len(entrances) == 2


def test_a_part_with_more_barlines_than_the_score_is_told_by_the_bars_of_the_score() -> None:
    """Seven bars of C against two of V: its change of meter comes in the second of those."""
    lower = "2/4 q q | q q | q q | 1/4 q | q | q | q"
    travelling = score_of({"V": "5/4 * | *", "C": lower}, free=frozenset({"C"}))
    told = overview(opened_for_practice(travelling))
    assert (told["barlines_coincide"], len(told["bars"])) == (False, 2)
    assert [(one["first"], one["last"]) for one in told["playing_order"]] == [(1, 2)]
    changes = [one for one in studied(travelling)[1].everything if one.topic is Topic.FEEL]
    assert [(one.first, "2/4 to 1/4" in one.text) for one in changes] == [(2, True)]


def test_bars_counted_alike_are_one_row_only_as_far_as_they_follow_each_other() -> None:
    bars = [CountedBar(bar, mine, (), ()) for bar, mine in ((3, "1 2"), (4, "1 2"), (6, "1 2"))]
    last = CountedBar(7, "1 2 3", (), ())
    rows = [(first.bar, to) for first, to in counted_alike([*bars, last])]
    assert rows == [(3, 4), (6, 6), (7, 7)]  # bar 5 has no meter to be counted in
