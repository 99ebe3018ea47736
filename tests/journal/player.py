"""A second player, in a process of its own: notes attempts and says each id once it is noted."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

from companion.errors import CompanionError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome


def say(words: str) -> None:
    """One line, out of this process before the next thing happens."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


def attempt(number: int) -> Attempt:
    """The same eight bars, a little faster each time."""
    return Attempt(
        score_title="Study in two meters",
        score_digest="5e" * 32,
        score_path="/scores/study.musicxml",
        part_id="P3",
        part_name="Viola",
        first_bar=13,
        last_bar=20,
        bars_label="13–20",
        tempo=Fraction(60) + Fraction(number, 2),
        beat="quarter",
        outcome=Outcome.SHAKY,
        note="again, from the upbeat " * 8,
    )


def play(folder: Path, times: int, largest_file: int) -> None:
    """Notes `times` attempts; files larger than `largest_file` bytes are refused (0: no limit)."""
    if largest_file:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))
    say("ready")
    with Log.open(folder, patience=30) as log:
        for number in range(times):
            noted = attempt(number)
            log.note(noted)
            say(noted.id)


if __name__ == "__main__":
    try:
        play(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
    except CompanionError as problem:
        say(f"trouble: {problem.sentence()}")
        sys.exit(problem.exit_status)
