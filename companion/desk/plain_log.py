"""What `companion log --json` prints: attempts and entries in the form of the JSON export."""

from __future__ import annotations

from collections.abc import Sequence

from companion.practice.attempt import Attempt
from companion.practice.entry import Entry


def plain_log(attempts: Sequence[Attempt], entries: Sequence[Entry]) -> dict[str, object]:
    """As lists, dictionaries, text and numbers."""
    from msgspec import to_builtins

    from companion.journal.plainly import plain_attempt, plain_entry

    return {
        "attempts": to_builtins([plain_attempt(attempt) for attempt in attempts]),
        "entries": to_builtins([plain_entry(entry) for entry in entries]),
    }
