"""A folder of its own for every test, and small scores whose bars can be read off the page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Attempt, Outcome
from companion.rhythm.meter import parse
from companion.score.model import Mark, Note, Part, PartBar, Score
from companion.score.readers.opening import Opened, read_score
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from tests.score.written import pulses

TICKS = 12

Laid = Callable[..., OpenScore]
"""A score on the stand from a line of bars for each part."""


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing of the player's own is read or written, no sound is made, colours are ours."""
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("COMPANION_DATA", str(home / "companion"))
    monkeypatch.setenv("COMPANION_SOUND", "silent")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    return home


@pytest.fixture
def app_folders(own_folder: Path) -> Folders:
    """Empty folders."""
    return Folders(own_folder / "companion", own_folder / "companion" / "cache")


@pytest.fixture
def demo(app_folders: Folders) -> Path:
    """The built-in score, read once already."""
    read_score(demo_score(), app_folders.cache)
    return demo_score()


@pytest.fixture
def laid() -> Laid:
    """Builds a stand from lines such as `Viola="6/8 6/8r 2/4"`; r is a bar of rest.

    `letters` are rehearsal marks by bar, `labels` the printed numbers.
    """

    def build(
        lines: dict[str, str],
        *,
        mine: str | None = None,
        letters: dict[int, str] | None = None,
        labels: list[str] | None = None,
    ) -> OpenScore:
        parts = tuple(
            Part(f"P{number}", name, _bars(line.split(), letters or {}, labels))
            for number, (name, line) in enumerate(lines.items(), 1)
        )
        opened = Opened(Score("Study", "", TICKS, parts), "5e" * 16, Path("study.musicxml"))
        return laid_with_choices(opened, Choices(mine))

    return build


def _bars(
    words: list[str], letters: dict[int, str], labels: list[str] | None
) -> tuple[PartBar, ...]:
    return tuple(
        _bar(word, labels[index] if labels else str(index + 1), letters.get(index + 1, ""))
        for index, word in enumerate(words)
    )


def _bar(word: str, label: str, letter: str) -> PartBar:
    """One bar filled by the pulses of its meter, or by a whole-bar rest."""
    meter = word.removesuffix("r")
    length = int(parse(meter).length * TICKS)
    marks = (Mark(0, "rehearsal", letter),) if letter else ()
    if word.endswith("r"):
        return PartBar(label, meter, 0, (Note(0, length, fills_bar=True),), marks)
    notes, at = [], 0
    for pulse in pulses(meter):
        notes.append(Note(at, int(pulse * TICKS), "D4"))
        at += int(pulse * TICKS)
    return PartBar(label, meter, length, tuple(notes), marks)


@pytest.fixture
def practised() -> Callable[..., Attempt]:
    """Builds an attempt of bars 14 to 21 at 60; keyword arguments say what was different."""

    def build(minute: int = 0, **different: object) -> Attempt:
        evening = datetime(2026, 3, 1, 18, 20, tzinfo=timezone(timedelta(hours=1)))
        fields: dict[str, Any] = {
            "score_title": "Study in two meters",
            "score_digest": "5e" * 16,
            "score_path": "/scores/study.musicxml",
            "part_id": "P4",
            "part_name": "Cello",
            "first_bar": 14,
            "last_bar": 21,
            "bars_label": "13–20",
            "tempo": Fraction(60),
            "beat": "dotted quarter",
            "outcome": Outcome.HELD,
            "layers": ("mine", "beat"),
            "at": evening + timedelta(minutes=minute),
            "id": f"00000000-0000-4000-8000-{minute:012d}",
        }
        return Attempt(**(fields | different))

    return build
