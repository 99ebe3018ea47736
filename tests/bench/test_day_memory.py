"""What eight hours of practice leave in memory.

A process of its own with a clock that is pushed: eight hours, each with as many drills as
COMPANION_DAY says, begun, changed, rated and left, with the other screens between them. The
toolkit's caches fill in the first hours; from then on nothing may grow.

    pytest tests/bench/test_day_memory.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

DRILLS = int(os.environ.get("COMPANION_DAY", "10"))
"""In each of the eight hours."""

DAY = """
import asyncio, gc, json, sys
from contextlib import suppress
from pathlib import Path
from textual.events import Key
from textual.worker import WorkerError
from companion.files.folders import Folders, demo_score
from companion.journal.log_entries import logged_attempts
from companion.score.readers.opening import read_score
from companion.score.passage import passage
from companion.session.drill import Drill
from companion.session.open_score import open_for_practice
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from tests.session.small_scores import Hand, silent

SCREENS = [("e", "escape"), ("l", "escape"), ("y", "escape"), ("v", "escape"), ("n", "n")]

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

async def day(folders, drills):
    read_score(demo_score(), folders.cache)
    score, hand, after = open_for_practice(demo_score(), folders), Hand(), []
    app = CompanionApp(folders, demo_score())
    async with app.run_test(size=(140, 40)) as pilot:
        await settle(app, pilot)
        for hour in range(8):
            for number in range(drills):
                await drill(app, pilot, folders, score, number, hand)
                while len(app.screen_stack) > 3:
                    await press(app, pilot, "escape")
                for key in SCREENS[number % len(SCREENS)]:
                    await press(app, pilot, key)
            gc.collect()
            after.append(resident())
    print(json.dumps({"MB": after, "attempts": len(logged_attempts(folders))}))

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
    benchmark.extra_info["memory after 8 h by 6 h"] = told["MB"][-1] / told["MB"][5]
    assert told["attempts"] >= 8 * DRILLS
    assert told["MB"][-1] <= told["MB"][5] * 1.03
