"""An attempt to note down, different in what a test says of it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from companion.practice.attempt import Attempt, Outcome

Noting = Callable[..., Attempt]
PLAYER = Path(__file__).with_name("player.py")


@pytest.fixture
def played() -> Noting:
    """Builds an attempt of bars 13 to 20 at 72; keyword arguments say what was different."""

    def build(minute: int = 0, **different: object) -> Attempt:
        evening = datetime(2026, 3, 1, 18, 0, tzinfo=timezone(timedelta(hours=2)))
        fields: dict[str, Any] = {
            "score_title": "Study in two meters",
            "score_digest": "5e" * 32,
            "score_path": "/scores/study.musicxml",
            "part_id": "P2",
            "part_name": "Violin II",
            "first_bar": 13,
            "last_bar": 20,
            "bars_label": "13–20",
            "tempo": Fraction(72),
            "beat": "dotted quarter",
            "layers": ("click", "Viola"),
            "repetitions": 3,
            "seconds": 61.25,
            "outcome": Outcome.HELD,
            "note": "",
            "at": evening + timedelta(minutes=minute),
        }
        fields.update(different)
        return Attempt(**fields)

    return build


@pytest.fixture
def player() -> list[str]:
    """The command that starts a second player at the same log."""
    return [sys.executable, str(PLAYER)]
