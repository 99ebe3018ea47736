"""A corrected edition: passages follow their music, and the log is left as it is."""

from fractions import Fraction
from pathlib import Path

import pytest

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_exchange import export_log, import_log
from companion.journal.mastery_cache import all_standings
from companion.practice.attempt import Bars
from companion.session.carry import carry
from companion.session.goals import set_goal_by
from companion.session.passage_progress import passage_history
from tests.session.practised import (
    VIOLA,
    corrected,
    evening,
    leave_out_bars,
    mend_a_note,
    note,
    opened_for_practice,
    tried,
)


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


def test_a_mended_note_leaves_every_passage_where_it_was(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", mend_a_note))
    note(folders, [tried(old, 0, (14, 17), 60), tried(old, 0, (36, 39), 60)])
    done = carry(folders, old, new)
    assert [(m.bars.first, m.to and m.to.first, m.changed) for m in done.passages] == [
        (14, 14, ("14",)),
        (36, 36, ()),
    ]
    assert done.same_bars["Viola"] == (60, 61)
    assert done.same_bars["Cello"] == (61, 61)
    assert {one.bars.score_digest for one in all_standings(folders)} == {new.digest}


def test_bars_left_out_move_the_passages_behind_them(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    note(folders, [tried(old, 0, (14, 17), 60), tried(old, 0, (3, 4), 60)])
    set_goal_by(folders, old, "viola", "17-20", Fraction(69), None)
    done = carry(folders, old, new)
    assert {m.bars.first: m.to and (m.to.first, m.to.last) for m in done.passages} == {
        3: None,
        14: (12, 15),
        18: (16, 19),
    }
    standings = {one.bars.first: one for one in all_standings(folders)}
    assert set(standings) == {12, 16}
    assert standings[12].path == str(new.path)
    assert standings[16].aims.is_set


def test_attempts_at_both_editions_are_one_history(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    note(folders, [tried(old, 0, (14, 17), 60), tried(new, 3, (12, 15), 64)])
    carry(folders, old, new)
    viola = new.score.parts[VIOLA].id
    found = passage_history(folders, Bars(new.digest, viola, 12, 15), evening(4))
    assert [point.tempo for point in found.points] == [60, 64]
    assert found.stands.days == 2


def test_the_log_is_not_rewritten(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", mend_a_note))
    note(folders, [tried(old, 0, (14, 17), 60)])
    carry(folders, old, new)
    with Log.read_only(folders.data) as log:
        assert {one.score_digest for one in log.attempts()} == {old.digest}
        assert log.check() == []


def test_two_corrections_one_after_the_other(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    second = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))

    def both(root: object) -> None:
        leave_out_bars(root)  # type: ignore[arg-type]
        mend_a_note(root)  # type: ignore[arg-type]

    third = opened_for_practice(folders, corrected(tmp_path / "third.musicxml", both))
    note(folders, [tried(old, 0, (26, 29), 60)])
    carry(folders, old, second)
    done = carry(folders, second, third)
    assert [(m.bars.first, m.to and m.to.first) for m in done.passages] == [(24, 24)]
    (one,) = all_standings(folders)
    assert (one.bars.score_digest, one.bars.first, one.label) == (third.digest, 24, "25–28")


def test_a_score_does_not_take_its_own_place_nor_go_round_in_a_circle(
    folders: Folders, tmp_path: Path
) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", mend_a_note))
    with pytest.raises(RequestError, match="the same score"):
        carry(folders, old, old)
    carry(folders, old, new)
    with pytest.raises(RequestError, match="itself replaced"):
        carry(folders, new, old)


def test_editions_travel_with_the_log_to_another_machine(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    note(folders, [tried(old, 0, (14, 17), 60)])
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    carry(folders, old, new)
    file = export_log(folders, "json", tmp_path / "log.json").path
    there = Folders(tmp_path / "there", tmp_path / "there" / "cache")
    assert import_log(there, file).editions == 1
    assert import_log(there, file).editions == 0
    assert [one.bars for one in all_standings(there)] == [
        one.bars for one in all_standings(folders)
    ]
    assert all_standings(there)[0].bars.score_digest == new.digest
