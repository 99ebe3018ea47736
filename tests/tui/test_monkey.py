"""Random keys, clicks, pastes, raw bytes and sizes of the terminal: the screen never dies, never
stops answering, can be left, and what it confirmed is in the log.

Every storm has a seed of its own, which decides the score (none, the built-in one, a quartet of
over 700 bars), the log (empty, or years of practice) and what was left when the app ended last.
A short storm of each kind is part of every run. COMPANION_MONKEY=100000 does so many actions, on
the log of a year, and asks that every screen was seen; COMPANION_MONKEY_FROM=500 begins with
another seed.
"""

from __future__ import annotations

import asyncio
import faulthandler
import os
import random
import shutil
import sys
import time
from codecs import getincrementaldecoder
from collections import Counter
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, suppress
from functools import partial
from pathlib import Path
from typing import IO, Any

import pytest
from textual._xterm_parser import XTermParser
from textual.events import Key, Resize
from textual.geometry import Size
from textual.pilot import Pilot
from textual.screen import Screen
from textual.worker import WorkerError

from companion.files.folders import Folders, demo_score
from companion.journal.log import FILE_NAME, Log
from companion.journal.practice_in_progress import keep_in_progress
from companion.journal.record import Record
from companion.journal.timing import start_timer
from companion.journal.unsaved_attempts import UnsavedAttempts, note_or_keep_unsaved
from companion.listening.taps import Calibration
from companion.practice.attempt import Attempt
from companion.practice.entry import Activity
from companion.session import drill
from companion.session.tapping import KEYBOARD, device_name, keep_calibration
from companion.sound.card import SilentCard
from companion.sound.player import CardPlayer
from companion.tui.app import CompanionApp
from companion.tui.screens import left_practice_screen
from companion.tui.screens.manual_screen import ManualScreen
from tests.bench.years import ten_years
from tests.findings.real_scores import CORPUS
from tests.session.practised import tried
from tests.session.small_scores import RATE
from tests.tui.practised_weeks import practised_viola, viola

ACTIONS = int(os.environ.get("COMPANION_MONKEY", "240"))
FIRST = int(os.environ.get("COMPANION_MONKEY_FROM", "0"))
IS_LONG = ACTIONS >= 10_000
AT_ONCE = 1000 if IS_LONG else 40
"""Actions in one life of the app."""
STUCK = 20
"""Seconds of the processor's time after which a key that was not dealt with is a fault."""
WALL = 15
"""Times as long as that by the clock, on a computer that others use too."""
HURRY = 20
"""Times as fast as a clock in which drills are played."""
QUARTET = CORPUS / "beethoven/opus133.mxl"

KEYS = (
    *"abcdefghijklmnoprstuvwxyzABCDEFGHIJKLMNOPRSTUVWXYZ0123456789+-?.,/ é漢",
    *("\r", "\t", "\x7f", "\x01", "\x0b", "\x10", "\x15", "\x1a"),
    *("\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D", "\x1b[5~", "\x1b[6~", "\x1b[H", "\x1b[F"),
    *("\x1b[Z", "\x1b[3~", "\x1bOP", "\x1bOQ", "\x1b[1;2A", "\x1b[1;2B", "escape", "escape"),
)
"""As a terminal sends them; a lone Escape by its name."""
PLAYED = ("m\r\r~ ~\r1", "m\r\r~ ~e2n", "m\r\r~ ~ud~\r1", " ~\r2", " ~e1", "~ ~\r13", "y\r\r~ ~e2")
WAYS = (
    *(*PLAYED, *PLAYED, "m\r\r~k", "m\r\rf ", "m\r\rR", "m\r\rp", "m\r\rv", "n\r\r~ \r"),
    *("l", "la", "lc", "y\r", "x\r", "x\r\r", "G", "h", "t\r", "w", "b\r ", "i", "v", "W\r", "s"),
    *("m\r\r~k ~jf~jf~j~j ",) * 2,  # taps that are judged
    *("T", "?", "\x1bOP", "\x1bOQ", "\x10", "j", "g13\r", "xn", "mO", "mG", "A", "a"),
)
"""What leads from the first screen, or from the map, to another; ~ waits until it is there."""
SIZES = (
    *((80, 24),) * 6,
    (10, 5),
    (1, 1),
    (2, 2),
    (200, 60),
    (60, 20),
    (140, 40),
    (30, 10),
    (80, 3),
)
PASTES = ("13-20", "\x1b[31m", "é" * 50, "x" * 3000, "3:2", "\n\n", "9" * 5000, "@1-@9", "\0")

seen: Counter[str] = Counter()
"""Screens, over all storms."""


class Terminal:
    """What a terminal sends, given to an app that has none."""

    def __init__(self, pilot: Pilot[None]) -> None:
        self._pilot = pilot
        self._parser = XTermParser()
        self._decode = getincrementaldecoder("utf-8")(errors="replace").decode
        self.sent: list[object] = []

    async def send(self, keys: str | bytes) -> None:
        """Bytes as they come; wait until they are dealt with."""
        self._give(keys)
        await self._dealt_with()

    def _give(self, keys: str | bytes) -> None:
        self.sent.append(keys)
        if keys == "escape":
            self._pilot.app.post_message(Key("escape", "\x1b"))
        else:
            data = keys if isinstance(keys, bytes) else keys.encode()
            driver = self._pilot.app._driver
            assert driver is not None
            if text := self._decode(data):  # nothing yet, of a sign of several bytes
                for event in (*self._parser.feed(text), *self._parser.tick()):
                    driver.process_message(event)

    async def _dealt_with(self) -> None:
        await asyncio.sleep(0)
        await self._pilot.pause(0)
        app = self._pilot.app
        assert isinstance(app, CompanionApp)
        while app.is_running and app._in_hand is not None:
            await self._pilot.pause(0)

    async def act(self, chance: random.Random) -> None:
        """One thing that hands can do, or a cat."""
        kind = chance.random()
        if kind < 0.72:
            for _ in range(chance.choice((1, 2, 4, 16))):  # faster than they are dealt with
                self._give(chance.choice(KEYS))
            await self._dealt_with()
        elif kind < 0.84:
            await self.go(chance)
        elif kind < 0.91:
            await self.click(chance)
        elif kind < 0.94:
            await self.resize(*chance.choice(SIZES))
        elif kind < 0.97:
            await self.send(f"\x1b[200~{chance.choice(PASTES)}\x1b[201~")
        else:
            await self.send(chance.randbytes(chance.randrange(1, 12)).replace(b"\x11", b""))

    async def go(self, chance: random.Random) -> None:
        """Some way back, then somewhere else."""
        for _ in range(chance.randrange(8)):
            await self.send("escape")
        way = chance.choice(WAYS)
        for key in (way,) if way[0] == "\x1b" else way:
            if key == "~":
                with suppress(WorkerError):  # it was called off by the next key
                    await self._pilot.app.workers.wait_for_complete()
                await self._pilot.pause(0.1)
            else:
                await self.send(key)

    async def resize(self, width: int, height: int) -> None:
        """Another window."""
        self.sent.append(size := Size(width, height))
        vars(self._pilot.app._driver)["_size"] = size
        self._pilot.app.post_message(Resize(size, size))
        await self._pilot.pause(0)

    async def click(self, chance: random.Random) -> None:
        """Either button, or the wheel; now and then it is not let go."""
        width, height = self._pilot.app.size
        at = f"{chance.randrange(width) + 1};{chance.randrange(height) + 1}"
        button = chance.choice((0, 0, 0, 2, 64, 65))
        released = f"\x1b[<{button};{at}m" if chance.random() < 0.9 else ""
        await self.send(f"\x1b[<{button};{at}M{released}")


@asynccontextmanager
async def answered(stacks: IO[str], within: float = STUCK) -> AsyncIterator[None]:
    """A fault if what is done inside is not dealt with in so many seconds. If the app's loop itself
    stands still, all ends, with the stack of every thread in the file."""
    begun = time.process_time()
    faulthandler.dump_traceback_later(2 * WALL * within, exit=True, file=stacks)
    try:
        async with asyncio.timeout(WALL * within):
            yield
    finally:
        faulthandler.cancel_dump_traceback_later()
    assert time.process_time() - begun < within


def hurried() -> float:
    return time.monotonic() * HURRY


@pytest.fixture
def confirmed(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """What the app was told is on the disk, and so told the player; drills are played fast."""
    ids: set[str] = set()

    def noted(folders: Folders, attempt: Attempt) -> UnsavedAttempts | None:
        unsaved = note_or_keep_unsaved(folders, attempt)
        assert unsaved is None
        ids.add(attempt.id)
        return unsaved

    monkeypatch.setattr(drill, "note_or_keep_unsaved", noted)
    monkeypatch.setattr(left_practice_screen, "note_or_keep_unsaved", noted)
    usual = drill.Drill.__init__.__kwdefaults__
    assert usual is not None
    monkeypatch.setitem(usual, "clock", hurried)
    card = partial(SilentCard, RATE, hurried)
    monkeypatch.setattr(drill, "player_for", lambda choice: (CardPlayer(card()), ""))
    monkeypatch.delenv("DISPLAY", raising=False)  # no viewer opens
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    return ids


@pytest.fixture(scope="session")
def years(tmp_path_factory: pytest.TempPathFactory) -> Path | None:
    """The log of a year, for a long run."""
    if not IS_LONG:
        return None
    folder, whole = tmp_path_factory.mktemp("years"), ten_years()
    with Log.open(folder) as log:
        log.merge(Record(whole.attempts[:10_000], whole.entries[:365]))
    return folder / FILE_NAME


@pytest.fixture(scope="session")
def kept_scores(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Scores that were read once already."""
    return tmp_path_factory.mktemp("cache")


def practised(folders: Folders, years: Path | None, seed: int) -> None:
    """Weeks of the demo and years of others; now and then, what the last start left behind."""
    if years is not None:
        folders.data.mkdir(mode=0o700, parents=True)
        shutil.copy(years, folders.data / FILE_NAME)
    practised_viola(folders)
    keep_calibration(folders, device_name(KEYBOARD, ""), Calibration(0.03, 0.005))
    if seed % 4 == 1:
        start_timer(folders, Activity.SCALES)
    if seed % 4 == 3:
        keep_in_progress(folders, [tried(viola(folders), 3, (14, 17), 60)])
        (left,) = (folders.data / "in-progress").iterdir()
        left.rename(left.with_stem("999999999"))  # no program that runs


def in_the_log(folders: Folders) -> set[str]:
    """Ids of attempts and free entries; the log is whole."""
    with Log.open(folders.data) as log:
        assert log.check() == []
        record = log.gather()
    return {one.attempt.id for one in record.attempts} | {one.id for one in record.entries}


@pytest.mark.parametrize("seed", range(FIRST, FIRST + max(6, ACTIONS // AT_ONCE)))
async def test_whatever_is_pressed_the_app_lives_and_loses_nothing(
    own_folder: Path,
    tmp_path: Path,
    kept_scores: Path,
    years: Path | None,
    confirmed: set[str],
    monkeypatch: pytest.MonkeyPatch,
    seed: int,
) -> None:
    monkeypatch.chdir(own_folder)  # where it writes what it is asked to write
    folders = Folders(own_folder / "companion", kept_scores)
    chance = random.Random(seed)
    if seed % 2:
        practised(folders, years, seed // 2)
    before = in_the_log(folders)
    score = (None, demo_score(), QUARTET)[seed // 2 % 3]
    done = 0
    with (tmp_path / "stacks.txt").open("w") as stacks:
        while done < AT_ONCE:  # it may be left on the way, and is opened again
            done += await storm(CompanionApp(folders, score), chance, AT_ONCE - done, stacks)
    assert before | confirmed <= in_the_log(folders)
    sys.stdout.write(f"seed {seed}: {done} actions, {len(confirmed)} attempts confirmed\n")


async def storm(app: CompanionApp, chance: random.Random, most: int, stacks: IO[str]) -> int:
    """How many actions it took until the app was left, at most so many and a few."""
    async with app.run_test(size=(80, 24)) as pilot:
        terminal = Terminal(pilot)
        try:
            while app.is_running and len(terminal.sent) < most:
                async with answered(stacks):
                    await terminal.act(chance)
                seen[type(app.screen_stack[-1]).__name__ if app.screen_stack else ""] += 1
            if app.is_running:
                async with answered(stacks, 3 * STUCK):
                    await leave(terminal, pilot)
            assert not app.is_running
        except BaseException as fault:
            sys.stdout.write(f"{fault!r} on {app.screen_stack}, after {terminal.sent[-60:]}\n")
            raise
    assert app.return_code == 0
    return len(terminal.sent)


async def leave(terminal: Terminal, pilot: Pilot[None]) -> None:
    """Back to the first screen, where a key still does something, and out."""
    await terminal.resize(80, 24)
    for _ in range(12):
        await terminal.send("escape")
        if not pilot.app.is_running:  # what was typed last led out
            return
    for _ in range(50):  # what is being written takes a moment to stop
        if len(pilot.app.screen_stack) == 1:
            break
        await pilot.pause(0.1)
        await pilot.press("escape")
    await pilot.press("f1")
    for _ in range(50):  # the machine may be busy
        if isinstance(pilot.app.screen, ManualScreen):
            break
        await pilot.pause(0.1)
    assert isinstance(pilot.app.screen, ManualScreen)
    await pilot.press("escape", "ctrl+q")
    await pilot.pause()


@pytest.mark.skipif(not IS_LONG, reason="a short storm does not come everywhere")
def test_the_storm_came_over_every_screen() -> None:
    ours = (one for one in screens_of(Screen) if one.__module__.startswith("companion"))
    bases = {base for one in screens_of(Screen) for base in one.__bases__}
    screens = {one.__name__ for one in ours if one not in bases and one.__name__[0] != "_"}
    sys.stdout.write(f"{seen}\n")
    assert screens - seen.keys() == set()


def screens_of(kind: type[Any]) -> Iterator[type[Any]]:
    for one in kind.__subclasses__():
        yield one
        yield from screens_of(one)
