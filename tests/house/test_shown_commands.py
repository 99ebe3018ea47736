"""Every command that the README, the guide, the manual and the exercises' pages show does it.

In a furnished home: a quartet with some days of practice, a take, an exercise, a report. What
opens the app is opened in a pseudo-terminal and left by `q`. Not run are the two commands of
the README that set everything up: they need a network, and `.ci/run` runs the second.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import shutil
import sys
from fractions import Fraction
from pathlib import Path

import pytest
import soundfile

from companion.cli.main import main
from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import planned
from companion.click.plan.tempo_plan import Fixed
from companion.files.folders import Folders, demo_score
from companion.journal.log import Log
from companion.listening.due_times import due_in
from companion.score.laying import lay
from companion.score.passage import passage
from companion.score.readers.opening import read_score
from tests.cli import test_listen
from tests.house.test_readme import HOME, TYPED
from tests.session.practised import VIOLA, corrected, leave_out_bars
from tests.tui.practised_weeks import practised_viola
from tests.tui.test_ending import POSIX, Terminal

EXERCISES = "\n".join(
    (HOME / "exercises" / name).read_text("utf-8") for name in ("FORMAT.md", "README.md")
)
SHOWN = sorted({*TYPED, *re.findall(r"`companion ([a-z][^`]*)`", EXERCISES)})
OPENS_THE_APP = [
    one
    for one in SHOWN
    if one.split()[0] in ("demo", "open", "beat") and "--plain" not in one and " -o" not in one
]
ADDED = {
    "exercise new": ["--title", "A step", "--pattern", "2/4 q q | h"],
    "exercise open": ["clapping/three_over_two"],
}
"""What has to be said beside what is shown."""
SAYS_ITSELF = [one for one in SHOWN if one not in OPENS_THE_APP]


@pytest.fixture(scope="module")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the placeholders stand for, and a log to look into."""
    home = tmp_path_factory.mktemp("furnished")
    shutil.copy(demo_score(), home / "SCORE")
    (home / "SCORE").rename(home / "quartet.musicxml")
    for name in ("FOLDER", "REPORTS"):
        (home / name).mkdir()
    for copy in ("FOLDER/quartet.musicxml", "old.musicxml"):
        shutil.copy(demo_score(), home / copy)
    corrected(home / "new.musicxml", leave_out_bars)
    practised_viola(Folders(home / "log", home / "log" / "cache"))
    told = io.StringIO()
    with pytest.MonkeyPatch.context() as patch:
        at_home(home, patch)
        patch.setattr(sys, "stdout", told)
        score = ("--score", "quartet.musicxml", "--part", "viola", "--bars", "13-16")
        for words in (
            ("settle", "quartet.musicxml", "--part", "viola"),
            ("exercise", "new", "--title", "Lesson", *score, "-o", "lesson.toml"),
            ("log", "export", "--format", "json", "-o", "kept.json"),
            ("report", "--name", "Ida", "-o", "REPORTS/ida.json"),
            ("carry", "old.musicxml", "new.musicxml", "--anyway"),
        ):
            assert main(list(words)) == 0, words
        bars = passage(lay(read_score(demo_score(), None).score), VIOLA, 14, 21)
        due = due_in(bars, planned(bars, (), ClickSettings(Fixed(Fraction(60))))).notes
        patch.setattr(test_listen, "notes", lambda: due)
        soundfile.write(home / "take.wav", test_listen.plucked(), test_listen.RATE)
    return home


def at_home(home: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setenv("HOME", str(home))
    patch.setenv("COMPANION_DATA", str(home / "log"))
    patch.setenv("COMPANION_SOUND", "silent")
    patch.chdir(home)


@pytest.fixture
def own_home(furnished: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "home"
    shutil.copytree(furnished, home)
    at_home(home, monkeypatch)
    return home


def meant(typed: str, home: Path) -> list[str]:
    """The words with something in the place of each placeholder."""
    with Log.read_only(home / "log") as log:
        (latest,) = log.attempts(limit=1)
    stands_for = {
        "SCORE": "quartet.musicxml",
        "OLD_SCORE": "old.musicxml",
        "NEW_SCORE": "new.musicxml",
        "FOLDER": "FOLDER",
        "REPORT": "REPORTS/ida.json",
        "REPORT…": "REPORTS",
        "NAME": "clapping/three_over_two",
        "FILE": "lesson.toml",
        "ID": latest.id,
        "log.json": "log.json" if "export" in typed else "kept.json",
    }
    return [stands_for.get(word, word) for word in shlex.split(typed)] + ADDED.get(typed, [])


@pytest.mark.parametrize("typed", SAYS_ITSELF)
def test_a_command_that_is_shown_does_it(
    typed: str,
    own_home: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("q\n" * 5))
    words = meant(typed, own_home)
    if "--help" in words:
        with pytest.raises(SystemExit, match="0"):
            main(words)
        return
    status = main(words)
    told = capsys.readouterr()
    if typed == "doctor":  # 1 says that something does not work on this computer
        status = 0 if status == 1 else status
    assert (status, told.err) == (0, ""), told.err
    assert told.out
    if "-o" in words:
        assert (own_home / words[words.index("-o") + 1]).stat().st_size


@POSIX
@pytest.mark.parametrize("typed", OPENS_THE_APP)
def test_a_command_that_opens_the_app_can_be_left(typed: str, own_home: Path) -> None:
    terminal = Terminal(own_home / "log", *meant(typed, own_home))
    terminal.wait_for("Quit")
    terminal.press(b"q")
    assert terminal.ended() == 0
    assert os.path.isdir(own_home / "log")
