"""What a player settles is kept before it is shown, and shown even where it cannot be kept."""

from pathlib import Path

import pytest

from companion.files.folders import Folders, demo_score
from companion.rhythm.tempo_relation import Same
from companion.score.readers.opening import open_score
from companion.session.open_score import (
    Choices,
    Stand,
    choices_for,
    next_relation,
    relations_before,
    settle_part,
    settle_relation,
    stand_for,
    stand_with,
)


@pytest.fixture
def desk_folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


@pytest.fixture
def stand() -> Stand:
    return stand_with(open_score(demo_score()), Choices())


def test_my_part_is_on_disk_and_on_the_stand(stand: Stand, desk_folders: Folders) -> None:
    settled = settle_part(stand, desk_folders, 3)
    assert settled.trouble is None
    assert settled.stand.choices.part == "P4"
    assert choices_for(desk_folders, stand.digest).part == "P4"
    assert stand_for(open_score(demo_score()), desk_folders).choices.part == "P4"


def test_a_tempo_relation_lays_the_clock_again(stand: Stand, desk_folders: Folders) -> None:
    settled = settle_relation(stand, desk_folders, 36, Same.BEAT).stand
    assert settled.clock.bars[35].length == 3
    back = settle_relation(settled, desk_folders, 36, None).stand
    assert back.clock == stand.clock


def test_settling_one_thing_leaves_the_other(stand: Stand, desk_folders: Folders) -> None:
    first = settle_part(stand, desk_folders, 1).stand
    second = settle_relation(first, desk_folders, 36, Same.NOTE).stand
    assert choices_for(desk_folders, stand.digest) == Choices("P2", {36: Same.NOTE})
    assert second.choices == Choices("P2", {36: Same.NOTE})


def test_where_the_disk_refuses_the_choice_still_holds(stand: Stand, tmp_path: Path) -> None:
    in_the_way = tmp_path / "data"
    in_the_way.write_text("a file, not a folder")
    settled = settle_part(stand, Folders(in_the_way, tmp_path), 0)
    assert settled.trouble is not None
    assert settled.stand.choices.part == "P1"


def test_the_settings_of_a_change_go_round(stand: Stand, desk_folders: Folders) -> None:
    """6/8 into 3/4: by custom the eighth stays, so only the other setting is one."""
    assert next_relation(stand, 36) is Same.BEAT
    stand = settle_relation(stand, desk_folders, 36, Same.BEAT).stand
    assert next_relation(stand, 36) is None
    stand = settle_relation(stand, desk_folders, 36, Same.NOTE).stand
    assert next_relation(stand, 36) is None


def test_the_change_that_matters_is_the_last_one_up_to_a_bar(stand: Stand) -> None:
    assert relations_before(stand, 13) == ()
    assert {told.bar for told in relations_before(stand, 14)} == {14}
    assert {told.bar for told in relations_before(stand, 21)} == {14}
    assert {told.bar for told in relations_before(stand, 22)} == {22}
