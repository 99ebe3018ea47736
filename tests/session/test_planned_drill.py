"""From a plan's item to the file of its score, wherever that lies now."""

from fractions import Fraction
from pathlib import Path
from shutil import copy

import pytest
from msgspec.structs import replace

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders, demo_score
from companion.library.score_locations import score_of_item, score_place
from companion.practice.plan.day_plan import Item, ItemKind
from companion.session.goals import set_goal_by
from companion.session.open_score import OpenScore
from companion.session.todays_plan import (
    DayRequest,
    begin_plan,
    passage_of_item,
    tempo_of_item,
    today,
)
from tests.session.practised import (
    corrected,
    evening,
    mend_a_note,
    note,
    opened_for_practice,
    tried,
)


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


@pytest.fixture
def mended(folders: Folders, tmp_path: Path) -> OpenScore:
    """A score of which only this one file exists."""
    return opened_for_practice(folders, corrected(tmp_path / "mine.musicxml", mend_a_note))


def first_passage(folders: Folders) -> Item:
    return next(item for item in today(folders, evening(1), DayRequest()).plan.items if item.bars)


def test_a_score_is_found_where_the_log_or_a_goal_last_saw_it(
    folders: Folders, mended: OpenScore
) -> None:
    with pytest.raises(CompanionError, match="it is not known where"):
        score_place(folders, mended.digest)
    set_goal_by(folders, mended, "viola", "13-16", Fraction(69), None)
    item = first_passage(folders)
    assert item.path == ""
    assert score_of_item(folders, item) == mended.path
    note(folders, [tried(mended, 0, (14, 17), 60)])
    assert score_of_item(folders, first_passage(folders)) == mended.path


def test_a_score_that_was_moved_is_found_once_it_was_opened_there(
    folders: Folders, mended: OpenScore, tmp_path: Path
) -> None:
    note(folders, [tried(mended, 0, (14, 17), 60)])
    item = first_passage(folders)
    there = Path(copy(mended.path, tmp_path / "elsewhere.musicxml"))
    mended.path.unlink()
    with pytest.raises(CompanionError, match="not where it was"):
        score_of_item(folders, item)
    set_goal_by(folders, replace(mended, path=there), "viola", "1-2", Fraction(60), None)
    assert score_of_item(folders, item) == there


def test_another_edition_in_its_place_is_not_taken_for_it(
    folders: Folders, mended: OpenScore
) -> None:
    note(folders, [tried(mended, 0, (14, 17), 60)])
    copy(demo_score(), mended.path)
    with pytest.raises(CompanionError, match="not the score that was practised"):
        score_of_item(folders, first_passage(folders))


def test_an_item_is_a_passage_at_a_tempo_in_its_own_beat(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60)])
    item = first_passage(folders)
    chosen = passage_of_item(open_score, item)
    assert (chosen.first, chosen.last, chosen.part) == (14, 17, 2)
    assert tempo_of_item(chosen, item) == Fraction(item.tempo)
    in_quarters = replace_tempo(item, "90", "quarter")
    assert tempo_of_item(chosen, in_quarters) == 60
    assert tempo_of_item(chosen, replace_tempo(item, "", "")) is None


def replace_tempo(item: Item, tempo: str, beat: str) -> Item:
    return Item(kind=item.kind, minutes=3, why="", bars=item.bars, tempo=tempo, beat=beat)


def test_a_rest_has_no_score(folders: Folders) -> None:
    with pytest.raises(RequestError, match="nothing to open for the break"):
        score_of_item(folders, Item(kind=ItemKind.BREAK, minutes=5, why="a rest"))


def test_a_plan_that_is_played_from_stays_but_never_replaces_another(
    folders: Folders,
) -> None:
    note(folders, [tried(opened_for_practice(folders), 0, (14, 17), 60)])
    shown = today(folders, evening(1), DayRequest(minutes=20))
    assert begin_plan(folders, shown)
    assert today(folders, evening(1), DayRequest()).plan == shown.plan
    longer = today(folders, evening(1), DayRequest(minutes=40))
    assert not begin_plan(folders, longer)
    assert today(folders, evening(1), DayRequest()).plan == shown.plan
