"""Today from a real log: made, changed, kept, and what is left of yesterday."""

from fractions import Fraction
from functools import partial
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.plan.day_plan import accepted, skipped
from companion.practice.plan.habits import Habits
from companion.session.goals import set_goal_by
from companion.session.todays_plan import (
    DayRequest,
    Today,
    change_plan,
    habits_file,
    habits_of,
    set_habits,
    today,
)
from companion.wording.plan_sentences import item_told, warnings_told
from tests.session.practised import evening, note, opened_for_practice, tried


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path, tmp_path / "cache")


def firsts(shown: Today) -> list[int]:
    return [item.bars.first for item in shown.plan.items if item.bars is not None]


def test_without_anything_there_is_only_the_warm_up(folders: Folders) -> None:
    assert firsts(today(folders, evening(0), DayRequest())) == []


def test_a_score_brings_the_passages_nobody_chose_yet_the_hardest_first(folders: Folders) -> None:
    shown = today(
        folders,
        evening(0),
        DayRequest(minutes=30, open_score=opened_for_practice(folders), part="viola"),
    )
    # As printed: bars 14-21 viola 6/8 against the violins' 2/4, 25 triplets against eighths,
    # 22-24 after-beats, 30-35 3/4 against 6/8; elsewhere nobody pulls against the viola.
    assert firsts(shown)[:4] == [14, 18, 24, 22]  # 25 with the bar before and after


def test_a_plan_that_nobody_took_is_made_anew(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60)])
    assert set(firsts(today(folders, evening(1), DayRequest()))) == {14}
    note(folders, [tried(open_score, 0, (18, 21), 60)])
    assert set(firsts(today(folders, evening(2), DayRequest()))) == {14, 18}


def test_an_accepted_plan_stays_until_the_day_is_over(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60)])
    change_plan(folders, today(folders, evening(2), DayRequest(minutes=20)), accepted)
    note(folders, [tried(open_score, 0, (18, 21), 60)])
    assert set(firsts(today(folders, evening(2), DayRequest()))) == {14}
    assert 18 in firsts(today(folders, evening(2), DayRequest(is_afresh=True)))
    assert 18 in firsts(today(folders, evening(2), DayRequest(minutes=40)))
    assert 18 in firsts(today(folders, evening(3), DayRequest()))


def test_what_is_played_is_ticked_off(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 0, (18, 21), 60)])
    change_plan(folders, today(folders, evening(2), DayRequest(minutes=20)), accepted)
    note(folders, [tried(open_score, 2, (14, 17), 64)])
    shown = today(folders, evening(2), DayRequest())
    done = {
        item.bars.first: d
        for item, d in zip(shown.plan.items, shown.done, strict=True)
        if item.bars
    }
    assert done == {14: True, 18: False}


def test_what_was_accepted_and_not_played_comes_back_tomorrow(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 0, (18, 21), 60)])
    change_plan(folders, today(folders, evening(2), DayRequest(minutes=20)), accepted)
    note(folders, [tried(open_score, 2, (14, 17), 64)])
    shown = today(folders, evening(3), DayRequest(minutes=20))
    assert firsts(shown)[0] == 18
    first = next(item for item in shown.plan.items if item.bars is not None)
    assert first.planned_on == "2026-03-04"


def test_a_change_is_kept_even_before_it_is_accepted(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 0, (18, 21), 60)])
    change_plan(
        folders, today(folders, evening(2), DayRequest(minutes=20)), partial(skipped, number=2)
    )
    assert firsts(today(folders, evening(2), DayRequest())) == [18, 14, 18]
    assert len(set(firsts(today(folders, evening(3), DayRequest())))) == 2


def test_practice_after_midnight_belongs_to_the_plan_of_the_evening(folders: Folders) -> None:
    set_goal_by(folders, opened_for_practice(folders), "viola", "13-16", Fraction(69), None)
    late = evening(1).replace(day=4, hour=1)
    assert today(folders, late, DayRequest()).plan.day == "2026-03-03"


def test_habits_are_the_players_own(folders: Folders) -> None:
    assert habits_of(folders) == Habits()
    set_habits(folders, Habits(minutes=25, warm_up=0))
    assert habits_of(folders).minutes == 25
    assert today(folders, evening(0), DayRequest()).plan.minutes == 25


@pytest.mark.parametrize("text", ["{", '{"visit": "long"}', '{"viist": 3}'])
def test_habits_that_cannot_be_meant_are_told_with_their_place(folders: Folders, text: str) -> None:
    habits_file(folders).parent.mkdir(parents=True, exist_ok=True)
    habits_file(folders).write_text(text)
    with pytest.raises(CompanionError, match="habits"):
        today(folders, evening(0), DayRequest())


def test_a_plan_kept_by_an_earlier_version_is_shown_as_it_was(folders: Folders) -> None:
    kept = (
        '{"day":"2026-03-04","minutes":20,"items":[{"kind":"next rung","minutes":3,'
        '"why":"quarter = 60 held on 2 March 2026",'
        '"bars":{"score_digest":"5e","part_id":"P3","first":14,"last":17},"tempo":"64",'
        '"beat":"quarter"}],"spare":[],"warnings":["Rest more."],"is_accepted":true}'
    )
    place = folders.data / "plans" / "2026-03-04.json"
    place.parent.mkdir(parents=True)
    place.write_text(kept)
    plan = today(folders, evening(2), DayRequest()).plan
    day = evening(2).date()
    assert item_told(plan.items[0], day) == (
        "P3 bars @14–@17 · quarter = 64 · next tempo: quarter = 60 held on 2 March 2026"
    )
    assert list(warnings_told(plan)) == ["Rest more."]
