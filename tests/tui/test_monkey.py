"""Random keys, clicks, pastes and window sizes over every screen: nothing ends the app, no
attempt is lost, and afterwards it still does as it is told.

By hand, with more actions: `COMPANION_MONKEY=100000 pytest tests/tui/test_monkey.py -s`. What
was done last stands below a fault; threads work meanwhile, so a seed does not repeat exactly.
"""

from __future__ import annotations

import asyncio
import os
import random
import sys
from collections import Counter, deque
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

import companion.session.drill as drills
from companion.files.folders import Folders, demo_score
from companion.journal.log import Log
from companion.practice.attempt import Attempt
from companion.score.passage import Passage
from companion.session import exercise_drill
from companion.session.drill import Drill
from companion.session.open_score import OpenScore
from companion.tui.app import CompanionApp
from companion.tui.screens import drill_screen
from companion.tui.screens.opening_screen import OpeningScreen
from tests.session.small_scores import Hand, silent
from tests.tui.practised_weeks import clock, practised_viola

ACTIONS = int(os.environ.get("COMPANION_MONKEY", "100"))
ROUND = 400
"""Actions between two starts of the app."""
SOON = 60.0
"""Seconds after which an app that answers nothing counts as stopped, on any machine."""

# Neither / nor ~ is typed, so that nothing outside the test's own folder is read or written.
CHARACTERS = [chr(code) for code in range(33, 126) if chr(code) not in "/~qQ"] + ["é", "²", "漢"]
NAMED = (
    "up down left right home end pageup pagedown enter enter enter escape escape tab shift+tab "
    "space space backspace delete insert f1 ctrl+p ctrl+u ctrl+a ctrl+k ctrl+w ctrl+left "
    "shift+left shift+right shift+up shift+down ctrl+home ctrl+end ctrl+z f10"
).split()
ENDS = {"q", "ctrl+q", "ctrl+c", "ctrl+d"}
SIZES = [(1, 1), (2, 1), (1, 24), (10, 5), (20, 3), (80, 24), (80, 24), (140, 40), (200, 60)]
PASTED = [
    "",
    "13-20",
    "69",
    "2027-03-01",
    "yesterday",
    "9" * 5000,
    "[bold]x[/] \x1b[31m \x00\x07\u202e",
    "four\nlines\r\nof\ttext",
    "😀" * 300,
    "3:2 mixed",
    "-1",
    "1/0",
    "²",
]


@dataclass
class Monkey:
    """One hand on the keyboard and one on the mouse, both guided by luck."""

    luck: random.Random
    hand: Hand
    pasted: list[str]
    last: deque[str] = field(default_factory=lambda: deque(maxlen=40))
    seen: Counter[str] = field(default_factory=Counter)
    """Actions by the screen that was shown."""

    async def act(self, pilot: Pilot[None]) -> None:
        """Do one thing, and wait until the app has dealt with it."""
        app = pilot.app
        shown = type(app.screen).__name__
        self.seen[shown] += 1
        if shown == "DrillScreen" and self.luck.random() < 0.15:
            await self._practise(pilot)
            return
        kind = self.luck.choices(
            ("bound", "key", "click", "paste", "size", "wait"), (50, 30, 8, 4, 3, 5)
        )[0]
        if kind == "bound":
            keys = [key for key in app.screen.active_bindings if key not in ENDS]
            told = self._press(app, self.luck.choice(keys or ["escape"]))
        elif kind == "key":
            keys = self.luck.choices(CHARACTERS + NAMED * 3, k=self.luck.choice((1, 1, 2, 8)))
            told = " ".join(self._press(app, key) for key in keys)
        elif kind == "click":
            at = tuple(self.luck.randrange(most) for most in app.size)
            told = f"click {at}"
            await pilot.click(offset=(at[0], at[1]), times=self.luck.choice((1, 1, 2)))
        elif kind == "paste":
            told = self.luck.choice(self.pasted)
            app.post_message(events.Paste(told))
        elif kind == "size":
            size = self.luck.choice(SIZES)
            told = f"size {size}"
            await pilot.resize_terminal(*size)
        else:
            seconds = self.luck.choice((0.1, 2.0, 20.0))
            told = f"{seconds} s go by"
            self.hand.push(seconds)
            await asyncio.sleep(0.04)
        self.last.append(f"{shown}: {told[:60]!a}")
        await pilot.pause(0)

    async def _practise(self, pilot: Pilot[None]) -> None:
        """What luck alone would seldom do: play on for a while, and say how it went."""
        outcome = self.luck.choice("1234")
        self.last.append(f"practise, {outcome}")
        self._press(pilot.app, "space")
        await pilot.pause(0.02)
        for _ in range(8):
            self.hand.push(4.0)
            await pilot.pause(0.04)
        for key in ("e", outcome):
            self._press(pilot.app, key)
            await pilot.pause(0.02)

    def _press(self, app: CompanionApp | object, key: str) -> str:
        assert isinstance(app, CompanionApp)
        character = key if len(key) == 1 else {"space": " "}.get(key)
        app.post_message(events.Key(_character_to_key(key) if len(key) == 1 else key, character))
        return key


@pytest.fixture
def noted(monkeypatch: pytest.MonkeyPatch) -> list[Attempt]:
    """Every attempt of which a drill said that it is noted."""
    found: list[Attempt] = []
    real = Drill.attempt

    def attempt(self: Drill, *words: object, **more: object) -> Attempt:
        found.append(real(self, *words, **more))  # type: ignore[arg-type]
        return found[-1]

    monkeypatch.setattr(Drill, "attempt", attempt)
    return found


@pytest.fixture
def hand(monkeypatch: pytest.MonkeyPatch) -> Hand:
    """The clock of every drill."""
    moving = Hand()

    def open_drill(open_score: OpenScore, passage: Passage, folders: Folders) -> Drill:
        return Drill(open_score, passage, folders, silent(moving), clock=moving)

    for module in (drills, drill_screen, exercise_drill):
        monkeypatch.setattr(module, "open_drill", open_drill)
    return moving


def logged(folders: Folders) -> set[str]:
    """The ids of everything in the log, deleted or not."""
    with Log.open(folders.data) as log:
        record = log.gather()
    return {one.attempt.id for one in record.attempts} | {one.id for one in record.entries}


@asynccontextmanager
async def practising(
    folders: Folders, path: Path | None, monkey: Monkey
) -> AsyncIterator[Pilot[None]]:
    """The app; a fault in it is told with what was done before."""
    app = CompanionApp(folders, path, clock=clock)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            yield pilot
    except BaseException as fault:
        fault.add_note("\n".join(["What was done:", *monkey.last]))
        raise


async def leave(pilot: Pilot[None]) -> None:
    """Escape leads to the first screen, and q ends the app."""
    app = pilot.app
    await pilot.resize_terminal(80, 24)
    for _ in range(60):
        if isinstance(app.screen, OpeningScreen):
            break
        app.post_message(events.Key("escape", None))
        await pilot.pause(0.05)
    assert isinstance(app.screen, OpeningScreen), f"Escape does not leave {app.screen}"
    for key, character in (("escape", None), ("q", "q")):
        app.post_message(events.Key(key, character))
        await pilot.pause(0.1)
    assert app._exit, f"q does not end the app; the keys go to {app.focused}"


@pytest.mark.parametrize("is_practised", [False, True], ids=["empty log", "full log"])
@pytest.mark.parametrize("seed", [1, 2])
async def test_nothing_typed_clicked_or_pasted_ends_the_app_or_loses_an_attempt(
    seed: int,
    is_practised: bool,
    demo: Path,
    app_folders: Folders,
    noted: list[Attempt],
    hand: Hand,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    if is_practised:
        practised_viola(app_folders)
    monkey = Monkey(random.Random(seed), hand, [*PASTED, str(demo), str(tmp_path)])
    known = logged(app_folders)
    done = 0
    while done < ACTIONS:
        path = demo_score() if monkey.luck.random() < 0.7 else None
        async with practising(app_folders, path, monkey) as pilot:
            for _ in range(min(ROUND, ACTIONS - done)):
                await asyncio.wait_for(monkey.act(pilot), SOON)
                done += 1
                if pilot.app._exit or pilot.app._exception:
                    break
            else:
                await asyncio.wait_for(leave(pilot), SOON)
        now_known = logged(app_folders)
        known |= {one.id for one in noted}
        assert known <= now_known, "something noted is not in the log"
        known = now_known
        sys.stdout.write(f"{done} actions, {len(known)} in the log, {dict(monkey.seen)}\n")
    assert not (app_folders.data / "faults").exists()
