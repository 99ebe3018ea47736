"""A corrected edition: passages follow their music, and the log is left as it is."""

import json
from fractions import Fraction
from pathlib import Path

import pytest
from lxml.etree import _Element
from msgspec.structs import replace

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.editions import editions
from companion.journal.log import Log
from companion.journal.log_exchange import export_log, import_log
from companion.journal.mastery_cache import all_standings
from companion.practice.attempt import Bars
from companion.session.carry import carry, matched_editions, undo_carry
from companion.session.goals import set_goal_by
from companion.session.open_score import OpenScore
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
    assert {number: one.bars.score_digest for number, one in standings.items()} == {
        3: old.digest,
        12: new.digest,
        16: new.digest,
    }
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


# A wrong file, and how it is taken back.


def another_piece(folders: Folders, tmp_path: Path) -> OpenScore:
    """The demo with every note in another octave: the same parts, and no bar alike."""
    return opened_for_practice(folders, corrected(tmp_path / "other.musicxml", octaves_off))


def octaves_off(root: _Element) -> None:
    for octave in root.iter("octave"):
        octave.text = str(int(octave.text or 0) + 1)


def test_a_wrong_file_is_seen_to_be_little_like_it(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    note(folders, [tried(old, 0, (14, 17), 60)])
    found = matched_editions(folders, old, another_piece(folders, tmp_path))
    assert found.is_little
    same, bars = found.bars_found
    assert (same < 5, bars) == (True, 4 * 61)  # bars in which nobody plays are alike
    assert found.passages_found == (0, 1)
    assert all_standings(folders)[0].bars.score_digest == old.digest, "nothing is kept by looking"


def test_what_does_not_match_stays_with_the_old_edition(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    note(folders, [tried(old, 0, (14, 17), 60), tried(old, 0, (36, 39), 60)])
    set_goal_by(folders, old, "viola", "17-20", Fraction(69), None)
    before = all_standings(folders)
    carry(folders, old, another_piece(folders, tmp_path))
    assert all_standings(folders) == before


def test_a_carry_that_is_undone_leaves_everything_as_it_was(
    folders: Folders, tmp_path: Path
) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    note(folders, [tried(old, 0, (14, 17), 60), tried(old, 1, (3, 4), 60)])
    set_goal_by(folders, old, "viola", "17-20", Fraction(69), None)
    before = all_standings(folders)
    carry(folders, old, new)
    assert all_standings(folders) != before
    assert undo_carry(folders, None).new == new.digest
    assert all_standings(folders) == before
    with pytest.raises(RequestError, match="nothing was carried"):
        undo_carry(folders, None)
    carry(folders, old, new)
    undo_carry(folders, old.path)
    assert all_standings(folders) == before


def test_the_last_of_two_is_undone_first(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    second = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    third = opened_for_practice(folders, corrected(tmp_path / "third.musicxml", mend_a_note))
    carry(folders, old, second)
    carry(folders, second, third)
    assert undo_carry(folders, None).new == third.digest
    assert undo_carry(folders, None).new == second.digest


def test_an_edition_goes_to_one_place_at_a_time(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    second = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    third = opened_for_practice(folders, corrected(tmp_path / "third.musicxml", mend_a_note))
    carry(folders, old, second)
    carry(folders, old, second)
    with pytest.raises(RequestError, match="another one already"):
        carry(folders, old, third)
    undo_carry(folders, old.path)
    carry(folders, old, third)


def test_what_was_undone_is_undone_on_the_other_machine_too(
    folders: Folders, tmp_path: Path
) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    note(folders, [tried(old, 0, (14, 17), 60)])
    before = all_standings(folders)
    carry(folders, old, new)
    carried_file = export_log(folders, "json", tmp_path / "carried.json").path
    there = Folders(tmp_path / "there", tmp_path / "there" / "cache")
    import_log(there, carried_file)
    undo_carry(folders, None)
    undone_file = export_log(folders, "json", tmp_path / "undone.json").path
    assert import_log(there, undone_file).editions == 1
    assert all_standings(there) == before
    # What was said earlier does not come back, here or there.
    assert import_log(there, carried_file).editions == 0
    assert import_log(folders, carried_file).editions == 0
    assert all_standings(folders) == all_standings(there) == before


def test_a_carry_of_before_they_had_dates_still_holds(folders: Folders, tmp_path: Path) -> None:
    old = opened_for_practice(folders)
    new = opened_for_practice(folders, corrected(tmp_path / "second.musicxml", leave_out_bars))
    note(folders, [tried(old, 0, (14, 17), 60)])
    edition = carry(folders, old, new).edition
    (place,) = (folders.data / "editions").glob("*.json")
    earlier = {k: v for k, v in json.loads(place.read_text()).items() if k not in NEW_KEYS}
    assert set(earlier) == {"old", "new", "title", "path", "names", "parts"}
    place.write_text(json.dumps(earlier))
    assert editions(folders) == {old.digest: replace(edition, at=None)}
    assert undo_carry(folders, None).old == old.digest
    assert all_standings(folders)[0].bars.score_digest == old.digest


NEW_KEYS = {"at", "is_undone"}
