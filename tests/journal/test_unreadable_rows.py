"""One bad row keeps nobody from the log: it is left out, named, deleted, brought back."""

import json
import sqlite3
from contextlib import closing
from datetime import time
from pathlib import Path

import pytest

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.json_document import DocumentError
from companion.journal.log import FILE_NAME, Log
from companion.journal.log_exchange import export_log, import_log
from companion.journal.mastery_cache import all_standings
from companion.practice.practice_day import minutes_a_day
from tests.journal.conftest import Noting

BAD_VALUES = {
    "seconds": float(2**63),
    "tempo": "9" * 90,
    "at_utc": "2026-13-45T99:00:00.000000Z",
    "utc_offset": 86_000 * 3,
    "layers": "[1, 2]",
    "heard_outcome": "perfect",
    "repetitions": 2**62,
}


def spoil(path: Path, attempt_id: str, column: str, value: object) -> None:
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("PRAGMA ignore_check_constraints = ON")
        other.execute(f"UPDATE attempt SET {column} = ? WHERE id = ?", (value, attempt_id))


@pytest.mark.parametrize("column", BAD_VALUES)
def test_whatever_reads_the_log_goes_on_without_a_bad_row(
    tmp_path: Path, played: Noting, column: str
) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    bad, fine = played(0), played(5, first_bar=1, last_bar=4)
    with Log.open(tmp_path) as log:
        log.note(bad)
        log.note(fine)
    spoil(tmp_path / FILE_NAME, bad.id, column, BAD_VALUES[column])
    with Log.read_only(tmp_path) as log:
        assert log.attempts() == [fine]
        minutes = sum(minutes_a_day(log.spans(), time(4)).values())
        assert minutes <= 2 * fine.seconds / 60
    assert [one.bars.last for one in all_standings(folders)] == [4]
    export_log(folders, "json", tmp_path / "out.json")
    again = Folders(tmp_path / "again", tmp_path / "again" / "cache")
    assert import_log(again, tmp_path / "out.json").merged.attempts == 1


def test_a_bad_row_is_deleted_and_brought_back_by_its_name(tmp_path: Path, played: Noting) -> None:
    bad = played(0)
    with Log.open(tmp_path) as log:
        log.note(bad)
        log.note(played(5))
    spoil(tmp_path / FILE_NAME, bad.id, "seconds", float(2**63))
    with Log.open(tmp_path) as log:
        [told] = log.check()
        assert "it lasted 9.22337e+18 seconds" in told
        assert "companion log correct attempt:1 --withdraw" in told
        log.mark_unreadable("attempt:1", is_deleted=True)
        assert log.check() == []
        log.mark_unreadable("attempt:1", is_deleted=False)
        assert log.check() == [told]
        with pytest.raises(RequestError, match="no entry that cannot be read"):
            log.mark_unreadable("attempt:2", is_deleted=True)


def test_an_import_outside_of_the_bounds_is_refused_with_its_place(
    tmp_path: Path, played: Noting
) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    with Log.open(tmp_path) as log:
        log.note(played(0))
    export_log(folders, "json", tmp_path / "out.json")
    content = json.loads((tmp_path / "out.json").read_text("utf-8"))
    content["attempts"][0]["seconds"] = 2.0**63
    (tmp_path / "out.json").write_text(json.dumps(content), "utf-8")
    other = Folders(tmp_path / "other", tmp_path / "other" / "cache")
    with pytest.raises(DocumentError, match="number 1: .* it lasted 9.22337e"):
        import_log(other, tmp_path / "out.json")
    assert not (tmp_path / "other" / FILE_NAME).exists()


@pytest.mark.parametrize("column", ["at_utc", "utc_offset", "tempo"])
def test_a_score_or_passage_whose_latest_row_is_bad_is_known_by_the_one_before(
    tmp_path: Path, played: Noting, column: str
) -> None:
    fine, bad, other = played(0), played(5), played(3, score_digest="0" * 32)
    with Log.open(tmp_path) as log:
        for attempt in (fine, bad, other):
            log.note(attempt)
    spoil(tmp_path / FILE_NAME, bad.id, column, BAD_VALUES[column])
    with Log.read_only(tmp_path) as log:
        latest = {one.digest: one.last for one in log.scores()}
        assert latest.keys() == {fine.score_digest, other.score_digest}
        (passage,) = log.passages(fine.score_digest)
    if column != "tempo":  # which a score at a glance does not read
        assert latest[fine.score_digest] == fine.at
    assert (passage.last, passage.tempo) == (fine.at, fine.tempo)
