"""What eight hours of practice leave in memory.

A process of its own with a clock that is pushed: eight hours, each with as many drills as
COMPANION_DAY says, begun, changed, rated and left, with the other screens between them and
an engraved page. Garbage is searched for as in the program, which does it seldom. The
toolkit's caches fill in the first hours; from then on nothing may grow: neither the memory
that the process has, nor, after a search for garbage, what Python holds. One hour alone tells
less than three: the process has more just before a search, and keeps it for a while.

    pytest tests/bench/test_day_memory.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from statistics import fmean

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

DRILLS = int(os.environ.get("COMPANION_DAY", "10"))
"""In each of the eight hours."""

MOST_GARBAGE = 1.5
"""What is held before a search for garbage, by what is held after it: without the program's own
searches an hour of ten drills leaves 3."""
SCREENS = {"ExercisesScreen", "LogScreen", "ProgressScreen", "StudyScreen", "TodayScreen"}
"""Some of those that are opened between drills."""

DAY = """
import asyncio, gc, json, sys
gc.set_threshold(200_000)  # as companion.__main__ has it
from contextlib import suppress
from pathlib import Path
from textual.events import Key
from textual.worker import WorkerError
from companion.files.folders import Folders, demo_score
from companion.journal.log_entries import logged_attempts
from companion.score.passage import passage
from companion.session.drill import Drill
from companion.session.open_score import choose_part, open_for_practice
from companion.tui import app as app_module
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.engraved_passage import EngravedPassage
from companion.tui.widgets.picture_terminal import Pictures
from tests.session.small_scores import Hand, silent

app_module.FIRST_SCREENS_STAND = 0.01  # an hour of this day lasts seconds
FROM_THE_MAP = ["e", "l", "y", "w", "x", "j", "a", "question_mark", "nnp", "ls"]
ON_A_PASSAGE = ["n", "right", "plus", "down", "h", "n", "w"]

def resident():
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6

async def settle(app, pilot):
    with suppress(WorkerError):  # Escape calls it off
        await app.workers.wait_for_complete()
    await pilot.pause(0)

async def press(app, pilot, key):
    app.post_message(Key(key, key if len(key) == 1 else None))
    await asyncio.sleep(0)
    await pilot.pause(0)
    await settle(app, pilot)

async def drill(app, pilot, folders, score, number, hand):
    first = 1 + number * 3 % 50
    bars = passage(score.clock, number % 4, first, first + 1)
    def make():
        return Drill(score, bars, folders, silent(hand), clock=hand)
    screen = DrillScreen(score, bars, folders, make=make)
    await app.push_screen(screen)
    await settle(app, pilot)
    for key in ("space", "down", "d"):
        await press(app, pilot, key)
        hand.push(4.5)
        screen.look()
        await settle(app, pilot)
    screen.keep_practice()
    await press(app, pilot, "e")
    while isinstance(app.screen, OutcomeScreen):
        await press(app, pilot, "1")
    await to_the_map(app, pilot)

async def to_the_map(app, pilot):
    for _ in range(9):
        if isinstance(app.screen, MapScreen):
            return
        await press(app, pilot, "1" if isinstance(app.screen, OutcomeScreen) else "escape")
    raise SystemExit(f"stays on {app.screen_stack}")

async def look_around(app, pilot, folders, score, number):
    key = FROM_THE_MAP[number % len(FROM_THE_MAP)]
    for one in [key] if "_" in key else key:
        await press(app, pilot, one)
    seen.add(type(app.screen).__name__)
    await to_the_map(app, pilot)
    first = 1 + number * 7 % 50
    screen = PassageScreen(score, passage(score.clock, number % 4, first, first + 3), folders)
    await app.push_screen(screen)
    for key in ON_A_PASSAGE:
        await press(app, pilot, key)
    seen.add(type(app.screen).__name__)
    while app.screen is not screen:
        await press(app, pilot, "escape")
    if number % 10 == 0:
        page = screen.query_one(EngravedPassage)
        page.engrave(Pictures.KITTY)
        await settle(app, pilot)
        assert page.has_class("-engraved")
    await to_the_map(app, pilot)

async def day(folders, drills):
    score, hand = open_for_practice(demo_score(), folders), Hand()
    choose_part(score, folders, 0)
    app = CompanionApp(folders, demo_score())
    async with app.run_test(size=(140, 40)) as pilot:
        await settle(app, pilot)
        for number in range(8 * drills):
            await drill(app, pilot, folders, score, number, hand)
            await look_around(app, pilot, folders, score, number)
            if (number + 1) % drills == 0:
                told["MB"].append(resident())
                before = sys.getallocatedblocks()
                gc.collect()
                told["MB, searched"].append(resident())
                told["blocks"].append(sys.getallocatedblocks())
                told["garbage"].append(before / told["blocks"][-1])
    told["attempts"] = len(logged_attempts(folders))
    told["screens"] = sorted(seen)
    print()  # the pictures went there too, without an end of line
    print(json.dumps(told))

seen = set()
told = {"MB": [], "MB, searched": [], "blocks": [], "garbage": []}
place = Path(sys.argv[1])
asyncio.run(day(Folders(place, place / "cache"), int(sys.argv[2])))
"""


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_the_last_hours_of_a_day_leave_nothing_in_memory(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    words = [sys.executable, "-c", DAY, str(tmp_path), str(DRILLS)]
    surroundings = {**os.environ, "COMPANION_SOUND": "silent", "HOME": str(tmp_path)}
    done = benchmark.pedantic(  # type: ignore[no-untyped-call]
        subprocess.run, (words,), {"capture_output": True, "env": surroundings}, rounds=1
    )
    assert done.returncode == 0, done.stderr.decode()
    told = json.loads(done.stdout.splitlines()[-1])
    benchmark.extra_info |= told
    hours, searched, blocks = told["MB"], told["MB, searched"], told["blocks"]
    by_the_third = {
        "memory after 8 h by 3 h": min(hours[5:]) / min(hours[2:5]),
        "Python's blocks after 8 h by 3 h": fmean(blocks[5:]) / fmean(blocks[2:5]),
    }
    benchmark.extra_info["memory after 8 h by 6 h"] = searched[7] / searched[5]
    benchmark.extra_info["garbage, share of what is held"] = max(told["garbage"]) - 1
    benchmark.extra_info |= by_the_third
    assert told["attempts"] >= 8 * DRILLS
    assert set(told["screens"]) >= SCREENS
    assert searched[7] <= searched[5] * 1.03
    assert max(by_the_third.values()) <= 1.05
    assert max(told["garbage"]) <= MOST_GARBAGE
