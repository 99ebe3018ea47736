"""A walk through every screen of the app on the demo, after three weeks of practice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.pilot import Pilot
from textual.widgets import Input

from companion.files.folders import Folders, demo_score
from companion.library.recent_scores import note_opened
from companion.tui.app import CompanionApp
from tests.tui.practised_weeks import clock, practised_viola


@dataclass(frozen=True, slots=True)
class Step:
    """One screen: the keys that lead there from the one before, and those that lead back."""

    name: str
    keys: tuple[str, ...] = ()
    back: tuple[str, ...] = ()


def _over(name: str, *keys: str) -> Step:
    """A screen that Escape leaves at once."""
    return Step(name, keys, ("escape",))


WALK = (
    Step("first", (), ()),
    _over("goals", "G"),
    _over("habits", "h"),
    _over("timer", "t"),
    _over("manual", "f1"),
    _over("colours", "f2"),
    Step("beat", ("b",), ()),
    _over("which beat", "N"),
    Step("beat from far", ("f",), ("f", "escape")),
    Step("map", ("enter", "n"), ()),
    _over("help", "question_mark"),
    _over("list", "j"),
    _over("go to", "g"),
    _over("assumed", "a"),
    _over("write", "W"),
    _over("study", "e"),
    _over("part", "v"),
    Step("progress", ("w",), ()),
    Step("progress of a passage", ("1",), ()),
    Step("weeks", ("3",), ("escape",)),
    _over("today", "y"),
    Step("exercises", ("x",), ()),
    Step("sheet", ("enter",), ("escape", "escape")),
    Step("log", ("l",), ()),
    _over("correction", "c"),
    Step("add a passage", ("a",), ("escape", "escape")),
    Step("passage", ("enter",), ()),
    Step("lanes", ("n",), ("n",)),
    _over("goal", "G"),
    _over("new exercise", "x"),
    Step("drill", ("enter",), ()),
    _over("tempo plan", "p"),
    _over("layers", "w"),
    _over("silences", "x"),
    _over("who plays along", "O"),
    _over("sound", "v"),
    Step("from far", ("f",), ("f",)),
    _over("taps", "k"),
)


def opened(folders: Folders) -> CompanionApp:
    """The app on the evening after, on its first screen, the demo opened before."""
    open_score = practised_viola(folders)
    note_opened(folders, open_score, clock())
    app = CompanionApp(folders, clock=clock)
    app.animation_level = "none"
    return app


async def settled(pilot: Pilot[None]) -> None:
    """Whatever is looked for in a thread has been found and drawn."""
    for _ in range(2):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
    for field in pilot.app.screen.query(Input):
        field.cursor_blink = False


async def walk(pilot: Pilot[None], look: Callable[[str], object]) -> None:
    """Go through every screen; `look` is told where we are, and may be awaited."""
    await settled(pilot)
    for step in WALK:
        for key in step.keys:
            await pilot.press(key)
            await settled(pilot)
        seen = look(step.name)
        if hasattr(seen, "__await__"):
            await seen
        for key in step.back:
            await pilot.press(key)
            await settled(pilot)
    assert demo_score().exists()
