"""A day at the stand: what eight hours of practice leave in memory, and how soon a key is seen.

The day is a process of its own with a clock that is pushed: eight hours, each with as many
drills as COMPANION_DAY says, begun, changed, rated and left, with the other screens between
them. A key's time runs from the byte written to a pseudo-terminal to the last byte that the
screen changed by, beside a bare app of the same toolkit.

    pytest tests/bench/test_long_day.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import fcntl
import json
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders, demo_score
from companion.score.readers.opening import read_score
from tests.bench.test_app import BARE
from tests.findings.real_scores import CORPUS

DRILLS = int(os.environ.get("COMPANION_DAY", "130"))
"""In each of the eight hours."""
KEYS = 200
STILL = 0.06
"""Seconds without a byte after which the screen is as it will be."""
LONG_SCORE = CORPUS / "beethoven/opus132.mxl"

DAY = """
import asyncio, json, sys
from pathlib import Path
from textual.events import Key
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
            after.append(resident())
    print(json.dumps({"MB": after, "attempts": len(logged_attempts(folders))}))

place = Path(sys.argv[1])
asyncio.run(day(Folders(place, place / "cache"), int(sys.argv[2])))
"""


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_eight_hours_leave_no_more_in_memory_than_one(
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
    benchmark.extra_info["memory_after_8_h_by_1_h"] = told["MB"][-1] / told["MB"][0]
    assert told["attempts"] >= 8 * DRILLS


class Seen:
    """A program in a pseudo-terminal of 140 by 40."""

    def __init__(self, words: list[str], surroundings: dict[str, str]) -> None:
        self.process, self.screen = pty.fork()
        if not self.process:
            os.environ.update(surroundings, TERM="xterm-256color", COMPANION_SOUND="silent")
            os.execv(sys.executable, [sys.executable, *words])
        fcntl.ioctl(self.screen, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 140, 0, 0))

    def quiet_after(self, still: float) -> float:
        """Read until nothing came for so long; when the last byte came."""
        last = time.perf_counter()
        while select.select([self.screen], [], [], still)[0]:
            os.read(self.screen, 65536)
            last = time.perf_counter()
        return last

    def press(self, keys: bytes) -> float:
        """Seconds until the screen had changed."""
        begun = time.perf_counter()
        os.write(self.screen, keys)
        return max(0.0, self.quiet_after(STILL) - begun)

    def times(self, keys: list[bytes]) -> list[float]:
        """Of every key, in order; the program ends."""
        self.quiet_after(3)
        found = sorted(self.press(key) for key in keys)
        os.kill(self.process, 9)
        os.waitpid(self.process, 0)
        os.close(self.screen)
        return found


@pytest.mark.parametrize("score", [demo_score(), LONG_SCORE], ids=lambda path: path.stem)
def test_a_key_on_the_map_is_seen_at_once(
    tmp_path: Path, benchmark: BenchmarkFixture, score: Path
) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    read_score(score, folders.cache)
    ways = [b"\x1b[C", b"\x1b[B", b"n", b"\x1b[C", b"\x1b[A", b"\x1b[D", b"n", b"p"]
    keys = [ways[number % len(ways)] for number in range(KEYS)]
    data = {"COMPANION_DATA": str(tmp_path)}
    opened = ["-m", "companion", "open", str(score)]
    ours = benchmark.pedantic(lambda: Seen(opened, data).times(keys), rounds=1)  # type: ignore[no-untyped-call]
    bare = Seen(["-c", BARE.replace("asyncio.run(main(app))", "app.run()"), "0"], data).times(
        [b"\x1b[C"] * KEYS
    )
    middle, late = KEYS // 2, KEYS * 95 // 100
    benchmark.extra_info |= {
        "key_ms_median": ours[middle] * 1000,
        "key_ms_95th": ours[late] * 1000,
        "bare_ms_95th": bare[late] * 1000,
        "key_95th_by_bare_app": ours[late] / max(bare[late], 0.001),
    }
