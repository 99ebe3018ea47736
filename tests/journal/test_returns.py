"""What comes back, as days of a calendar."""

from pathlib import Path

from companion.files.folders import Folders
from companion.journal.due_calendar import calendar, returns_due
from tests.session.practised import evening, note, opened_for_practice, tried


def test_a_passage_stands_on_its_day_and_an_overdue_one_on_today(tmp_path: Path) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 9, (18, 21), 60)])
    found = {one.summary: one.day for one in returns_due(folders, evening(9))}
    assert found == {
        f"Viola bars 14–17 (printed 13–16), {open_score.score.title}": evening(9).date(),
        f"Viola bars 18–21 (printed 17–20), {open_score.score.title}": evening(11).date(),
    }
    assert calendar(returns_due(folders, evening(9)), evening(9)).count(b"BEGIN:VEVENT") == 2
