"""What the app costs, in processor seconds, against a bare app of the same toolkit.

Each is a process of its own without a terminal: to its first paint, and for each of some keys.

    pytest tests/bench/test_app.py -o addopts=--import-mode=importlib
"""

import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders, demo_score
from companion.score.readers.opening import read_score
from tests.bench.test_reading import best, run

KEYS = 300

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
        yield Input("a" * 400)
        yield Footer()

app = Bare()
{TO_END}"""
"""A cursor in a line of text."""

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


def test_the_first_paint_costs_little_more_than_that_of_a_bare_app(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    share = seconds(OURS, 0, str(tmp_path)) / seconds(BARE, 0)
    benchmark.extra_info["paint_by_bare_app"] = share
    benchmark.pedantic(run, ([sys.executable, "-c", BARE, "0"],), rounds=1)  # type: ignore[no-untyped-call]
    assert share <= 2


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
