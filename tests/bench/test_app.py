"""What the app costs, in processor seconds, against a bare app of the same toolkit.

Each is a process of its own without a terminal: to its first frame, and for each of some keys.

    pytest tests/bench/test_app.py -o addopts=--import-mode=importlib
"""

import asyncio
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders, demo_score
from companion.journal.log import Log
from companion.library.recent_scores import note_opened
from companion.practice.attempt import now
from companion.score.readers.opening import read_score
from companion.session.open_score import choose_part, open_for_practice
from companion.tui.app import CompanionApp
from tests.bench.test_reading import QUARTETS, Run, best, corpus, least, run
from tests.bench.years import ten_years
from tests.tui.test_bytes_sent import MOST, Counter

KEYS = 300
TIMES = 7

TO_FIRST_FRAME = """
import os, sys

os.environ |= {"TERM": "xterm-256color", "COLORTERM": "truecolor"}
from textual.app import App

display = App._display

def ending(app, screen, painted):
    display(app, screen, painted)
    if painted is not None and not app._batch_count and type(screen).__name__ == sys.argv[1]:
        painted.render_segments(app.console)
        os._exit(0)

App._display = ending
"""
"""The first frame that a terminal would get of a screen is drawn as for a terminal."""

BARE_FRAME = f"""{TO_FIRST_FRAME}
from textual.widgets import Footer, Input

class Bare(App):
    def compose(self):
        yield Input("a" * 400)
        yield Footer()

Bare().run(headless=True, size=(140, 40))
"""

OUR_FRAME = f"""{TO_FIRST_FRAME}
import gc
from pathlib import Path
gc.set_threshold(200_000)  # as companion.__main__ has it
from companion.cli import open_command
from companion.files.folders import Folders
from companion.tui.app import CompanionApp

path = Path(sys.argv[3]) if len(sys.argv) > 3 else None
app = CompanionApp(Folders(Path(sys.argv[2]), Path(sys.argv[2]) / "cache"), path)
app.run(headless=True, size=(140, 40))
"""

TO_END = """
async def main(app):
    async with app.run_test(size=(140, 40)) as pilot:
        await app.workers.wait_for_complete()
        for _ in range(int(sys.argv[1])):
            app.post_message(Key("right", None))
            await pilot.pause(0)

asyncio.run(main(app))
"""

BARE = f"""
import asyncio, sys
from textual.app import App
from textual.events import Key
from textual.widgets import Footer, Input

class Bare(App):
    def compose(self):
        line = Input("a" * 400)
        line.cursor_blink = False
        yield line
        yield Footer()

app = Bare()
{TO_END}"""
"""A cursor in a line of text; it does not blink, so that the screen is still between keys."""

OURS = f"""
import asyncio, sys
from pathlib import Path
from textual.events import Key
from companion.files.folders import Folders
from companion.tui.app import CompanionApp

path = Path(sys.argv[3]) if len(sys.argv) > 3 else None
app = CompanionApp(Folders(Path(sys.argv[2]), Path(sys.argv[2]) / "cache"), path)
{TO_END}"""
"""A cursor on the map; without a score the first screen."""


def seconds(script: str, keys: int, *more: str) -> float:
    return best([sys.executable, "-c", script, str(keys), *more], 3).processor


@pytest.fixture(scope="module")
def long_use(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    """3,000 passages in the log, a quartet of 1,124 bars opened last."""
    data = tmp_path_factory.mktemp("long-use")
    folders = Folders(data, data / "cache")
    with Log.open(data) as log:
        log.merge(ten_years())
    for score in (demo_score(), corpus(QUARTETS[0])):
        open_score = open_for_practice(score, folders)
        assert open_score.periods is not None  # they are kept then
        note_opened(folders, open_score, now())
    choose_part(open_score, folders, 2)
    return folders


@pytest.mark.parametrize(
    ("screen", "score"),
    [
        ("OpeningScreen", None),
        ("MapScreen", demo_score()),
        ("MapScreen", corpus(QUARTETS[0])),
    ],
    ids=["first screen", "demo", "quartet"],
)
def test_the_first_paint_costs_half_as_much_again_as_that_of_a_bare_app(
    screen: str, score: Path | None, long_use: Folders, benchmark: BenchmarkFixture
) -> None:
    words = [screen, str(long_use.data), *([str(score)] if score else [])]
    bare = ["Screen"]
    theirs, ours = list[Run](), list[Run]()
    for _ in range(TIMES):  # in turn, so that both meet the same machine
        theirs.append(run([sys.executable, "-c", BARE_FRAME, *bare]))
        ours.append(run([sys.executable, "-c", OUR_FRAME, *words]))
    share = least(ours).processor / least(theirs).processor
    benchmark.extra_info["paint_by_bare_app"] = share
    benchmark.extra_info["paint_by_bare_app, wall"] = least(ours).seconds / least(theirs).seconds
    benchmark.pedantic(run, ([sys.executable, "-c", BARE_FRAME, *bare],), rounds=1)  # type: ignore[no-untyped-call]
    assert share <= 1.5


def test_a_key_on_the_map_costs_little_more_than_in_a_line_of_text(
    tmp_path: Path, benchmark: BenchmarkFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    read_score(demo_score(), folders.cache)
    ours = [str(tmp_path), str(demo_score())]
    ours_s = (seconds(OURS, KEYS, *ours) - seconds(OURS, 0, *ours)) / KEYS
    bare_s = (seconds(BARE, KEYS) - seconds(BARE, 0)) / KEYS
    benchmark.extra_info |= {"key_ms": ours_s * 1000, "key_by_bare_app": ours_s / bare_s}
    benchmark.pedantic(run, ([sys.executable, "-c", BARE, "0"],), rounds=1)  # type: ignore[no-untyped-call]
    assert ours_s <= 0.02


def test_what_a_key_sends_to_the_terminal(
    long_use: Folders, benchmark: BenchmarkFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    counter = Counter(monkeypatch)

    async def walk() -> dict[str, int]:
        async with CompanionApp(long_use, corpus(QUARTETS[0])).run_test(size=(140, 40)) as pilot:
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            return await counter.sent(pilot, *["right", "down", "left", "up"] * 2, "pagedown")

    found = asyncio.run(walk())
    benchmark.extra_info["bytes of a step"] = max(found[key] for key in ("right", "left"))
    benchmark.extra_info["bytes of a page"] = found["pagedown"]
    benchmark.pedantic(len, ("",), rounds=1)  # type: ignore[no-untyped-call]
    assert max(found.values()) <= MOST
