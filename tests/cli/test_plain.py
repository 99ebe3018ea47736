"""`companion --plain` as a real process: what is typed, and the transcript that comes of it."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.practice_in_progress import left_in_progress
from companion.practice.attempt import Outcome

Process = subprocess.Popen[str]


class Talk:
    """One dialogue with the program."""

    def __init__(self, folder: Path, *words: str) -> None:
        environment = {**os.environ, "COMPANION_SOUND": "silent", "PYTHONIOENCODING": "utf-8"}
        self.process: Process = subprocess.Popen(
            [sys.executable, "-m", "companion", "--data-dir", str(folder), *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            env=environment,
        )
        self.transcript = ""

    def hear(self, until: str = r"for the choices:\n") -> str:
        """What is said up to a prompt."""
        assert self.process.stdout is not None
        said = ""
        while not re.search(until, said):
            sign = self.process.stdout.read(1)
            assert sign, self.transcript + said
            said += sign
        self.transcript += said
        return said

    def type(self, line: str, until: str = r"for the choices:\n") -> str:
        """What is said to a line."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n")
        self.process.stdin.flush()
        return self.hear(until)

    def end(self) -> int:
        """End the input; the exit status."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        assert self.process.stdout is not None
        self.transcript += self.process.stdout.read()
        return self.process.wait(timeout=60)


@pytest.fixture
def talks() -> Iterator[list[Talk]]:
    """No process stays behind."""
    begun: list[Talk] = []
    yield begun
    for talk in begun:
        if talk.process.poll() is None:
            talk.process.kill()
        with talk.process:  # closes its pipes and waits
            pass


def in_drill(talks: list[Talk], folder: Path, *words: str) -> Talk:
    """In the drill of two bars of the demo's viola, fast."""
    talk = Talk(folder, "demo", "--plain", *words)
    talks.append(talk)
    talk.hear()
    talk.type("part viola")
    talk.type("passage 13-14")
    talk.type("drill")
    talk.type("tempo 400")
    return talk


def played_through(talk: Talk) -> None:
    """Start, and ask how it stands until it was once through, and more than a second long."""
    talk.type("start")
    while re.search("setting: 0|played 0:0[01]", talk.type("status")):
        pass


def attempts(folder: Path) -> list[tuple[str, str, Outcome, str]]:
    with Log.read_only(folder) as log:
        return [(one.part_name, one.bars_label, one.outcome, one.note) for one in log.attempts()]


def test_from_the_first_choice_to_an_attempt_in_the_log(talks: list[Talk], tmp_path: Path) -> None:
    talk = Talk(tmp_path, "--plain")
    talks.append(talk)
    assert "1 demo: open the built-in quartet" in talk.hear()
    assert "3 Viola" in talk.type("1")
    assert "3 against 2 in the beat" in talk.type("map")
    assert "Yours: Viola" in talk.type("part 3")
    assert "Count 1 2& 3" in talk.type("passage 13-14")
    assert "dotted quarter = 69" in talk.type("drill")
    assert "dotted quarter = 400" in talk.type("tempo 400")
    played_through(talk)
    asked = talk.type("how", r"or skip:\n")
    assert "3 held: The rhythm held" in asked
    assert "is not an outcome" in talk.type("perhaps", r"or skip:\n")
    talk.type("held", r"Enter:\n")
    assert "In the log at" in talk.type("the upbeat")
    for _ in range(3):
        talk.type("back")
    assert "held" in talk.type("log")
    talk.type("quit", "Goodbye.")
    assert talk.end() == 0
    assert attempts(tmp_path) == [("Viola", "13–14", Outcome.HELD, "the upbeat")]
    assert "\x1b" not in talk.transcript
    assert "\r" not in talk.transcript


def test_leaving_asks_how_it_went_if_it_was_played_through(
    talks: list[Talk], tmp_path: Path
) -> None:
    talk = in_drill(talks, tmp_path)
    played_through(talk)
    talk.type("quit", r"or skip:\n")
    talk.type("4", r"Enter:\n")
    talk.type("", "Goodbye.")
    assert [one[2] for one in attempts(tmp_path)] == [Outcome.SECURE]


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX's")
def test_ctrl_c_stops_the_sound_first_and_what_was_played_is_asked_next_time(
    talks: list[Talk], tmp_path: Path
) -> None:
    talk = in_drill(talks, tmp_path)
    played_through(talk)
    talk.process.send_signal(signal.SIGINT)
    assert "Stopped." in talk.hear()
    assert talk.type("status").startswith("paused")
    talk.process.send_signal(signal.SIGINT)
    assert talk.end() == 130
    left = left_in_progress(Folders(tmp_path, tmp_path / "cache"))
    assert len(left) == 1
    again = Talk(tmp_path, "--plain")
    talks.append(again)
    assert "ended while you practised" in again.hear(r"or later:\n")
    assert "Logged: held." in again.type("3")
    assert [one[2] for one in attempts(tmp_path)] == [Outcome.HELD]


def test_the_end_of_input_in_a_drill_keeps_what_was_played(
    talks: list[Talk], tmp_path: Path
) -> None:
    talk = in_drill(talks, tmp_path)
    played_through(talk)
    assert talk.end() == 0
    assert len(left_in_progress(Folders(tmp_path, tmp_path / "cache"))) == 1


def test_the_bell_rings_on_the_beats(talks: list[Talk], tmp_path: Path) -> None:
    talk = in_drill(talks, tmp_path, "--bell")
    played_through(talk)
    assert "\a" in talk.transcript
    talk.type("bell", "The bell is off.")


def test_what_cannot_be_meant_is_said_and_asked_again(talks: list[Talk], tmp_path: Path) -> None:
    talk = in_drill(talks, tmp_path)
    assert "“dance” is no choice here" in talk.type("dance")
    assert "“st” could be start or stop or status" in talk.type("st")
    assert "dotted quarter = 400" in talk.type("layers nonsense") + talk.type("status")
    assert "dotted quarter = 69" in talk.type("undo")
    assert "dotted quarter = 74" in talk.type("faster 5")
    assert "usage" in talk.type("back") + talk.type("goal --nonsense")


def test_an_exercise_is_taken_and_practised(talks: list[Talk], tmp_path: Path) -> None:
    talk = Talk(tmp_path, "--plain")
    talks.append(talk)
    talk.hear()
    assert "Nothing is assigned" in talk.type("exercises")
    number = talk.type("built-in").split()[0]
    assert number == "L1" and "Added to your list:" in talk.type(f"take {number}")
    assert "drill 1 of" in talk.type("drill 1")
    talk.type("tempo 400")
    played_through(talk)
    talk.type("back", r"or skip:\n")
    talk.type("held", r"Enter:\n")
    talk.type("")
    talk.type("quit", "Goodbye.")
    assert len(attempts(tmp_path)) == 1


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completions_name_every_command_and_option(
    shell: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["completions", shell]) == 0
    script = capsys.readouterr().out
    assert "relation" in script
    assert "handout" in script


def test_the_manual_is_printed_by_page_and_as_a_man_page(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["manual", "drill"]) == 0
    assert capsys.readouterr().out.startswith("Drill\n\nThe passage goes round")
    assert main(["manual", "nonsense"]) == 2
    assert "It has: start, map" in capsys.readouterr().err
    assert main(["manual", "--man"]) == 0
    page = capsys.readouterr().out
    assert page.startswith(".TH COMPANION 1 ")
    assert page.isascii()
    assert '.SH "DRILL"' in page
