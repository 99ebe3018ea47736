"""What moment it is for a screen: the app's own clock, which a test sets."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from textual.app import App

from companion.practice.attempt import now


def clock_of(app: App[Any]) -> Callable[[], datetime]:
    """Says what moment it is, with its UTC offset; in another app than ours too."""
    clock: Callable[[], datetime] = getattr(app, "clock", now)
    return clock
