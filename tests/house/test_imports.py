"""Packages stay light: what a fresh interpreter loads when one of them is opened."""

import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).parents[2]
HEAVY = {
    *("music21", "verovio", "numpy", "mido", "textual", "rich", "miniaudio", "lxml", "sqlite3"),
    *("fsrs", "reportlab", "soundfile", "resvg_py", "textual_image", "PIL"),
}
MAY_LOAD: dict[str, set[str]] = {
    "files.folders": set(),
    "rhythm.meter": set(),
    "score.laying": set(),
    "score.readers.opening": set(),
    "findings.all_findings": set(),
    "part.extraction": {"lxml"},
    "click.plan.plan": set(),
    "click.words.layer_words": set(),
    "click.synth.render": {"numpy"},
    "click.export.midi": {"mido"},
    "sound.player": set(),
    "listening.hearing": {"numpy"},
    "practice.mastery.standing": set(),
    "practice.proposed_outcome": set(),
    "practice.plan.planner": set(),
    "journal.log": {"sqlite3"},
    "exercise.file.exercise_file": set(),
    "session.open_score": set(),
    "session.drill": {"sqlite3"},
    "session.listening": set(),
    "session.tapping": {"sqlite3"},
    "library.index": set(),
    "wording.phrases": set(),
    "publish.study_sheet": set(),
    "publish.charts": set(),
    "publish.handout.handout": {"lxml", "numpy", "sqlite3"},
    "cli.main": set(),
    "cli.map_command": set(),
    "tui.app": {"textual", "rich", "sqlite3"},
}
"""Where a package begins → the heavy libraries that may come with it."""


def loaded(code: str) -> set[str]:
    told = subprocess.run(
        [sys.executable, "-c", f"import sys\n{code}\nprint(*sys.modules, file=sys.stderr)"],
        check=True,
        capture_output=True,
        text=True,
        cwd=HOME,
    )
    return {name.split(".")[0] for name in told.stderr.split()}


@pytest.mark.parametrize("module", MAY_LOAD)
def test_a_package_loads_only_what_it_needs(module: str) -> None:
    assert loaded(f"import companion.{module}") & HEAVY <= MAY_LOAD[module]


def test_every_package_is_looked_at() -> None:
    packages = {path.parent.name for path in (HOME / "companion").glob("*/__init__.py")}
    assert packages == {module.split(".")[0] for module in MAY_LOAD}


def test_help_answers_without_any_heavy_library() -> None:
    told = loaded(
        "from companion.cli.main import main\ntry: main(['--help'])\nexcept SystemExit: pass"
    )
    assert not told & (HEAVY | {"dataclasses", "msgspec"})
