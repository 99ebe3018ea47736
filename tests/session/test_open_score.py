"""What a player settles is kept before it is shown, and shown even where it cannot be kept."""

from pathlib import Path

import pytest

from companion.files.folders import Folders, demo_score
from companion.rhythm.tempo_relation import Same
from companion.score.readers.opening import read_score
from companion.session.open_score import (
    Choices,
    OpenScore,
    choices_for,
    choose_part,
    choose_relation,
    laid_with_choices,
    next_relation,
    open_for_practice,
    open_with_choices,
    relations_before,
)


@pytest.fixture
def app_folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


@pytest.fixture
def open_score() -> OpenScore:
    return laid_with_choices(read_score(demo_score()), Choices())


def test_my_part_is_on_disk_and_on_the_stand(open_score: OpenScore, app_folders: Folders) -> None:
    settled = choose_part(open_score, app_folders, 3)
    assert settled.problem is None
    assert settled.open_score.choices.part == "P4"
    assert choices_for(app_folders, open_score.digest).part == "P4"
    assert open_with_choices(read_score(demo_score()), app_folders).choices.part == "P4"


def test_a_tempo_relation_lays_the_clock_again(open_score: OpenScore, app_folders: Folders) -> None:
    settled = choose_relation(open_score, app_folders, 36, Same.BEAT).open_score
    assert settled.clock.bars[35].length == 3
    back = choose_relation(settled, app_folders, 36, None).open_score
    assert back.clock == open_score.clock


def test_settling_one_thing_leaves_the_other(open_score: OpenScore, app_folders: Folders) -> None:
    first = choose_part(open_score, app_folders, 1).open_score
    second = choose_relation(first, app_folders, 36, Same.NOTE).open_score
    assert choices_for(app_folders, open_score.digest) == Choices("P2", {36: Same.NOTE})
    assert second.choices == Choices("P2", {36: Same.NOTE})


def test_where_the_disk_refuses_the_choice_still_holds(
    open_score: OpenScore, tmp_path: Path
) -> None:
    in_the_way = tmp_path / "data"
    in_the_way.write_text("a file, not a folder")
    settled = choose_part(open_score, Folders(in_the_way, tmp_path), 0)
    assert settled.problem is not None
    assert settled.open_score.choices.part == "P1"


def test_what_was_found_once_is_found_again_in_the_cache(app_folders: Folders) -> None:
    opened = read_score(demo_score(), app_folders.cache)
    first = laid_with_choices(opened, Choices())
    assert first.periods and first.conflicts
    assert kinds(app_folders) == ["conflicts", "periods", "score"]
    again = open_for_practice(demo_score(), app_folders)
    assert again.conflicts == first.conflicts and again.conflicts is not first.conflicts
    assert again.periods == first.periods and again.periods is not first.periods


def test_another_tempo_relation_and_another_order_have_findings_of_their_own(
    app_folders: Folders,
) -> None:
    as_printed = open_for_practice(demo_score(), app_folders)
    settled = choose_relation(as_printed, app_folders, 36, Same.BEAT).open_score
    plain = laid_with_choices(read_score(demo_score()), settled.choices)
    assert (settled.conflicts, settled.periods) == (plain.conflicts, plain.periods)
    assert settled.kept_periods not in (None, as_printed.kept_periods)
    assert open_for_practice(demo_score(), app_folders, is_unfolded=True).kept_periods is None


def kinds(folders: Folders) -> list[str]:
    return sorted(entry.suffix[1:] for entry in folders.cache.iterdir())


def test_the_settings_of_a_change_go_round(open_score: OpenScore, app_folders: Folders) -> None:
    """6/8 into 3/4: by custom the eighth stays, so only the other setting is one."""
    assert next_relation(open_score, 36) is Same.BEAT
    open_score = choose_relation(open_score, app_folders, 36, Same.BEAT).open_score
    assert next_relation(open_score, 36) is None
    open_score = choose_relation(open_score, app_folders, 36, Same.NOTE).open_score
    assert next_relation(open_score, 36) is None


def test_the_change_that_matters_is_the_last_one_up_to_a_bar(open_score: OpenScore) -> None:
    assert relations_before(open_score, 13) == ()
    assert {told.bar for told in relations_before(open_score, 14)} == {14}
    assert {told.bar for told in relations_before(open_score, 21)} == {14}
    assert {told.bar for told in relations_before(open_score, 22)} == {22}
