"""Ten journeys of a player's week, typed and read in a real terminal, checked by the commands.

The passages are those of the built-in quartet: bars 13–20 (letter B) are in 6/8 against the
violins' 2/4, bar 24 has three notes against two on a beat. Nothing is heard; the beat is real.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from companion.files.folders import demo_score
from tests.journeys.window import PROMPT, Window

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed")

DEMO = str(demo_score())
HOW_IT_WENT = "How did it go?"
READY = "Playing in silence"
Opened = Callable[..., Window]


@pytest.fixture
def sits_down(tmp_path: Path) -> Iterator[Opened]:
    """Opens a window for somebody; all are closed at the end."""
    windows: list[Window] = []

    def open_window(who: str = "player", **size: int) -> Window:
        home = tmp_path / who
        home.mkdir(exist_ok=True)
        windows.append(Window(home, **size))
        return windows[-1]

    yield open_window
    for window in windows:
        window.closes()


def viola(window: Window) -> Window:
    """The viola of the built-in quartet is this player's part."""
    window.command("settle", DEMO, "--part", "viola")
    return window


def drills_bar_24(window: Window) -> None:
    """From the shell to the drill of one bar, at a tempo at which it is soon over."""
    window.types("companion demo")
    window.sees("Next:", "5 of 6 are yours")  # all that pulls is known
    window.presses("n", "n", "n")
    window.sees("Bar 24")
    window.goes("Enter", "Passage  bar 24")
    window.goes("d", READY)
    window.goes("p", "Tempo plan")
    window.types("150")
    window.sees("= 150 · plan")


def plays_through(window: Window) -> None:
    """Once, and stops."""
    window.goes("Space", "playing")
    window.sees("Times through at this setting: 1")
    window.goes("Space", "paused")


def says(window: Window, key: str) -> None:
    """How it went."""
    window.goes("Enter", HOW_IT_WENT)
    window.goes(key, "In the log at")


def runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def leaves(window: Window) -> None:
    window.presses("q")
    window.sees(PROMPT)


def test_a_newcomer_follows_the_tour_and_finds_the_first_drill_in_the_log(
    sits_down: Opened,
) -> None:
    window = sits_down()
    window.types("companion demo --tour")
    window.sees("Tour 1 of 8", "Press n")
    window.goes("n", "Tour 2 of 8")
    window.goes("Enter", "Which part is yours?")
    window.presses("Down", "Down")
    window.goes("Enter", "Tour 3 of 8", "Viola ●")
    window.goes("d", "Tour 4 of 8", READY)
    window.goes("Space", "Tour 5 of 8", "playing, bar 13")
    window.goes("Down", "Tour 6 of 8", "= 68")
    window.goes("Enter", HOW_IT_WENT, "Tour 7 of 8")
    window.goes("1", "Tour 8 of 8", "In the log at")
    leaves(window)
    (attempt,) = window.logged()
    assert attempt["part"]["name"] == "Viola"
    assert (attempt["printed"], attempt["tempo"], attempt["outcome"]) == (
        "13–20",
        "68",
        "fell apart",
    )


def test_ten_minutes_before_the_rehearsal_the_worst_bar_holds_slower(sits_down: Opened) -> None:
    window = viola(sits_down())
    drills_bar_24(window)
    window.goes("Down", "= 149")
    plays_through(window)
    says(window, "3")
    leaves(window)
    (attempt,) = window.logged()
    assert (attempt["printed"], attempt["tempo"], attempt["outcome"]) == ("24", "149", "held")
    assert attempt["repetitions"] >= 1


def test_a_day_of_practice_goes_from_one_drill_of_the_plan_to_the_next_by_one_key(
    sits_down: Opened,
) -> None:
    window = viola(sits_down())
    window.types("companion demo")
    window.sees("Next:")
    window.goes("y", "passages played")
    window.presses("Down")
    window.goes("Enter", "Today's plan:")
    window.goes("d", READY)
    for count in (1, 2):
        window.goes("Space", "playing, bar")
        says(window, "1")
        if count == 1:
            window.goes("N", "■ stopped")
    window.presses("Escape", "Escape")
    window.sees("2 of 5 passages played")
    leaves(window)
    assert len({attempt["printed"] for attempt in window.logged()}) == 2


def test_what_a_teacher_writes_is_practised_and_comes_back(sits_down: Opened) -> None:
    teacher, student = sits_down("teacher"), None
    words = ["--title", "Bar 24", "--for", "Ida", "--score", DEMO, "--part", "viola"]
    words += ["--bars", "24", "--tempo", "150", "--goal-tempo", "150", "--goal-days", "1"]
    teacher.command("exercise", "new", *words, "-o", "lesson.toml")
    teacher.command("exercise", "pack", "lesson.toml")
    teacher.closes()

    student = sits_down("student")
    student.types(f"companion exercise open {teacher.home / 'lesson.exercise'}")
    student.sees("Bar 24", PROMPT)
    student.types("clear; companion")
    student.sees("Nothing opened yet")
    student.goes("x", "held at quarter = 150")
    student.presses("Down")
    student.goes("Enter", "Exercise Bar 24")
    student.goes("d", READY)
    plays_through(student)
    says(student, "4")
    leaves(student)
    student.types("companion report --name Ida -o week.json")
    student.sees("week.json")
    (attempt,) = student.logged()

    report = str(student.home / "week.json")
    table = teacher.home / "class.csv"
    collected = teacher.told("collect", report, "--csv", str(table))
    assert "Ida" in json.dumps(collected)
    with table.open(encoding="utf-8-sig", newline="") as file:
        lines = list(csv.DictReader(file))
    assert any("Ida" in line.values() for line in lines)
    assert attempt["outcome"] == "secure"


def test_scales_need_no_score(sits_down: Opened) -> None:
    window = sits_down()
    window.types("companion beat 3:2 --tempo 80 --drone A3 --log scales")
    window.sees("Beat  3:2", READY)
    window.goes("Space", "playing")
    window.goes("Down", "= 79")
    window.sees("Bars at this setting: 1")
    window.goes("Space", "paused")
    window.presses("Escape")
    window.sees("companion: where parts pull")
    leaves(window)
    window.types("companion beat 3:2 --tempo 80 -o beat.wav --repeat 2; companion timer start")
    window.sees("started at")
    with wave.open(str(window.home / "beat.wav")) as sound:
        assert round(sound.getnframes() / sound.getframerate()) >= 3  # 2 bars of 2 beats at 80
    assert window.logged() == []


def test_from_the_stand_a_pedal_that_sends_keys_is_enough(sits_down: Opened) -> None:
    window = viola(sits_down(columns=140, rows=40))
    drills_bar_24(window)
    window.goes("f", "beat", "bar 24", "██")
    window.goes("NPage", "quarter = 145")
    window.goes("Space", "playing, bar 24")
    window.goes("Space", "paused")
    says(window, "2")
    window.goes("PPage", "quarter = 150")
    window.goes("Space", "playing, bar 24")
    window.goes("Space", "paused")
    window.goes("Enter", HOW_IT_WENT)
    window.goes("1", "fell apart at quarter = 150")
    leaves(window)
    outcomes = {attempt["tempo"]: attempt["outcome"] for attempt in window.logged()}
    assert outcomes == {"145": "shaky", "150": "fell apart"}


def test_a_window_closed_in_mid_drill_takes_nothing_with_it(sits_down: Opened) -> None:
    window = viola(sits_down())
    drills_bar_24(window)
    window.goes("Space", "playing")
    window.sees("Times through at this setting: 1")
    window.once(lambda: any((window.data / "in-progress").glob("*.json")))
    (left,) = (window.data / "in-progress").glob("*.json")
    window.closes()
    window.once(lambda: not runs(int(left.stem)))
    window = sits_down()
    window.types("companion")
    window.sees("The program ended while you practised.", "Viola")
    window.goes("3", "Logged: held")
    leaves(window)
    (attempt,) = window.logged()
    assert (attempt["printed"], attempt["outcome"]) == ("24", "held")
    assert attempt["repetitions"] >= 1


def test_put_aside_and_taken_up_again_in_another_size(sits_down: Opened) -> None:
    window = viola(sits_down())
    drills_bar_24(window)
    window.goes("Space", "playing")
    window.sees("Times through at this setting: 1")
    window.presses("C-z")
    window.sees("Stopped")
    assert list((window.data / "in-progress").glob("*.json"))
    window.resizes(110, 32)
    window.types("fg")
    window.sees("paused", "Times through at this setting:")
    says(window, "3")
    leaves(window)
    (attempt,) = window.logged()
    assert attempt["outcome"] == "held"
    window.types("echo it is $(echo a shell) again")
    window.sees("it is a shell again")


def test_the_colours_are_remembered_and_ascii_is_enough(sits_down: Opened) -> None:
    window = viola(sits_down())
    window.types("companion demo")
    assert not window.sees("Next:", "Viola").isascii()
    window.goes("F2", "high contrast")
    window.presses("Down", "Down", "Enter")
    window.no_longer_sees("high contrast")
    leaves(window)
    assert json.loads((window.data / "looks.json").read_text("utf-8"))["colours"] == "high contrast"
    window.types("clear; PYTHONIOENCODING=ascii companion demo")
    shown = window.sees("Next:", "Viola")
    assert shown.isascii(), [letter for letter in shown if not letter.isascii()]
    leaves(window)
    assert "high contrast" in (window.data / "looks.json").read_text("utf-8")
    assert window.logged() == []


def test_a_part_with_cues_and_its_click_are_written_from_the_app(sits_down: Opened) -> None:
    window = viola(sits_down())
    drills_bar_24(window)
    window.goes("W", "Write to a file")
    window.goes("Enter", "This click, as it is set")
    window.presses("Enter")
    window.sees("Written:")
    window.goes("Escape", "Passage")
    window.goes("W", "Write to a file", "Viola, or another part")
    window.presses("Down", "Down")
    window.goes("Enter", "A part by itself")
    window.presses("Left", "Left")
    window.sees("‹ Violin I ›")
    window.presses("Down", "Right")
    window.sees("‹ musicxml ›")
    window.presses("Enter")
    window.sees("with 1 cue")
    leaves(window)
    with wave.open(str(window.home / "chain_ferry-viola-24-click.wav")) as click:
        assert click.getnframes() > click.getframerate()  # 2 bars of 2 beats at 150
    (part,) = window.home.glob("*.musicxml")
    told = window.told("map", str(part))
    assert [one["name"] for one in told["parts"]] == ["Violin I"]
    assert "<cue/>" in part.read_text("utf-8")
