"""Attempts noted in a handout: saved as a file that a log and a class take, once."""

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome, is_identity
from companion.publish.handout.exercise_handout import hand_out_exercise
from companion.publish.report.report_file import Report, ReportError, read_report
from tests.publish.handout.browser import Browser, browsing, needs_browser

pytestmark = needs_browser

EXERCISE = '''\
format = 1
title = "Three over two"
due = 2030-05-03

[[drill]]
pattern = """
Right: 6/8 e e e e e e | e e e q. | q. q.
Left:  2/4 e e e e | e e q | q q
"""
tempo = 50
repeat = 2
silences = "every 2 bars"
goal = { outcome = "held", tempo = 50, times = 2 }
'''

NOTE = """
const one = players[0];
one.find(`.outcome[value="${arguments[0]}"]`).checked = true;
one.find('.noted-bpm').value = arguments[1];
one.find('.noted-times').value = arguments[2];
one.find('.noting button').click();
"""


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browsing(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    return Folders(tmp_path / "data", tmp_path / "cache")


@pytest.fixture
def page(tmp_path: Path, folders: Folders) -> Path:
    (tmp_path / "three.toml").write_text(EXERCISE)
    (made,) = hand_out_exercise(tmp_path / "three.toml", tmp_path / "page.html", folders)
    return made.path


@pytest.fixture
def saved(browser: Browser, page: Path, tmp_path: Path) -> Path:
    """Two attempts at the whole, one at its last bar without the click, one deleted."""
    browser.open(page)
    browser.ask("localStorage.clear()")
    browser.open(page)
    browser.run(NOTE, "held", "50", "2")
    browser.run(NOTE, "fell apart", "62.5", "1")
    browser.ask(
        "players[0].find('.from').value = 2; players[0].find('.with-click').checked = false"
    )
    browser.run(NOTE, "secure", "40", "3")
    browser.run(NOTE, "shaky", "40", "3")
    browser.ask("document.querySelector('.attempts li:last-child button').click()")
    return save(browser, tmp_path / "saved")


def save(browser: Browser, folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    browser.download_to(folder)
    browser.ask(
        "document.querySelector('.student').value = 'Åsa “Tin”';"
        "document.querySelector('.words').value = 'The last bar <b>';"
        "document.querySelector('.saving button').click()"
    )
    return browser.downloaded(folder)


def report_in(file: Path) -> Report:
    return read_report(file.read_bytes(), file.name)


def attempts(folders: Folders) -> list[Attempt]:
    with Log.read_only(folders.data) as log:
        return log.attempts(newest_first=False)


def test_the_log_takes_it_in_and_counts_it_once(
    saved: Path, folders: Folders, capsys: pytest.CaptureFixture[str]
) -> None:
    for told in ("new: attempts 3\n", "It has nothing new.\n"):
        assert main(["log", "import", str(saved)]) == 0
        assert capsys.readouterr().out == told
    held, apart, last = attempts(folders)
    assert (held.outcome, held.tempo, held.beat) == (Outcome.HELD, Fraction(50), "dotted quarter")
    assert (held.first_bar, held.last_bar, held.bars_label) == (1, 3, "1–3")
    assert (held.repetitions, held.silences) == (2, "every 2 bars")
    assert held.layers == ("beat", "mine", "theirs") and held.part_name == "Right"
    # Three bars of two beats, twice, at 50: 14.4 seconds.
    assert held.seconds == pytest.approx(14.4)
    assert (apart.outcome, apart.tempo) == (Outcome.FELL_APART, Fraction(125, 2))
    assert (last.first_bar, last.last_bar, last.bars_label) == (3, 3, "3")
    assert (last.layers, last.silences) == ((), "")
    ids = {one.id for one in (held, apart, last)}
    assert len(ids) == 3 and all(map(is_identity, ids))


@pytest.fixture
def assigned(page: Path, tmp_path: Path) -> str:
    """The exercise in the student's own list, since before anything is noted."""
    assert main(["exercise", "open", str(tmp_path / "three.toml")]) == 0
    return page.name


@pytest.mark.usefixtures("assigned", "folders")
def test_page_and_list_agree_on_how_far_the_exercise_is(
    saved: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["log", "import", str(saved)]) == 0
    capsys.readouterr()
    assert main(["exercise", "list", "--json"]) == 0
    (listed,) = json.loads(capsys.readouterr().out)["exercises"]
    (told,) = report_in(saved).exercises
    # Twice at the goal's 50 and held, on one day; 62.5 fell apart; the last bar is another.
    assert (told.state, told.drills[0].tries, told.drills[0].good_days) == ("done", 2, 1)
    assert (told.id, told.title, told.due) == (listed["id"], listed["title"], listed["due"])
    (drill,) = listed["drills"]
    for page_says, list_says in (
        (told.state, listed["state"]),
        (told.drills[0].title, drill["title"]),
        (told.drills[0].state, drill["state"]),
        (told.drills[0].goal, drill["goal"]),
        (told.drills[0].tries, drill["attempts"]),
        (told.drills[0].good_days, drill["good_days"]),
    ):
        assert page_says == list_says


def test_the_class_takes_it_in_and_counts_it_once(
    saved: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "again.json").write_bytes(saved.read_bytes())
    assert main(["collect", str(saved), str(tmp_path / "again.json"), "--json"]) == 0
    (student,) = json.loads(capsys.readouterr().out)["students"]
    assert student["name"] == "Åsa “Tin”" and student["attempts"] == 3
    assert report_in(saved).note == "The last bar <b>"


def test_a_changed_outcome_shows(saved: Path) -> None:
    edited = saved.read_text("utf-8").replace('"fell apart"', '"secure"', 1)
    with pytest.raises(ReportError, match="damaged or edited"):
        read_report(edited.encode(), saved.name)


def test_what_was_noted_is_there_again_and_saved_under_the_same_ids(
    browser: Browser, page: Path, saved: Path, tmp_path: Path
) -> None:
    browser.open(page)
    assert browser.ask("return document.querySelectorAll('.attempts li').length") == 3
    browser.ask("document.querySelector('.attempts button').click()")
    browser.ask("document.querySelector('.saying button').click()")  # Undo.
    again = save(browser, tmp_path / "again")

    def ids(file: Path) -> list[str]:
        return [one["id"] for one in json.loads(file.read_text("utf-8"))["attempts"]]

    assert ids(again) == ids(saved)


@pytest.mark.parametrize("text", ["", "abc", "ü" * 55, "a" * 56, "a" * 64, "x" * 1000 + "日"])
def test_the_checksum_is_the_standard_one(browser: Browser, page: Path, text: str) -> None:
    """FIPS 180-4, by the standard library's own."""
    from hashlib import sha256

    browser.open(page)
    assert browser.run("return sha256(arguments[0])", text) == sha256(text.encode()).hexdigest()
