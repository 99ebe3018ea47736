"""Rooms stay light: what a fresh interpreter loads when one room is opened."""

import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).parents[2]
HEAVY = {"music21", "verovio", "numpy", "mido", "textual", "miniaudio", "lxml", "sqlite3"}


def loaded(code: str) -> set[str]:
    told = subprocess.run(
        [sys.executable, "-c", f"import sys\n{code}\nprint(*sys.modules, file=sys.stderr)"],
        check=True,
        capture_output=True,
        text=True,
        cwd=HOME,
    )
    return {name.split(".")[0] for name in told.stderr.split()}


@pytest.mark.parametrize(
    ("opened", "may_load"),
    [
        ("import companion.findings.conflicts", set()),
        ("import companion.score.laying, companion.score.readers.opening", set()),
        ("import companion.click.plan.plan, companion.click.plan.layers", set()),
        ("import companion.practice.attempt", set()),
        ("import companion.cli.main", set()),
        ("import companion.tui.app", {"textual", "sqlite3"}),
    ],
)
def test_a_room_loads_only_what_it_needs(opened: str, may_load: set[str]) -> None:
    assert loaded(opened) & HEAVY <= may_load


def test_help_answers_without_any_heavy_library() -> None:
    told = loaded(
        "from companion.cli.main import main\ntry: main(['--help'])\nexcept SystemExit: pass"
    )
    assert not told & HEAVY
