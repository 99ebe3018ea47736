"""A teacher's folder and a student's, and what happens in them."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

from companion.exercise.drill_goal import Target
from companion.files.folders import Folders, demo_score, folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome

TWO_DRILLS = """
format = 1
title = "The ferry"
due = 2030-05-21
[[drill]]
pattern = \"\"\"
Clap: 2/4 e3*3 e3*3 | h
Step: 2/4 e e e e | h
\"\"\"
tempo = 60
[[drill]]
score = "scores/ferry.musicxml"
part = "Viola"
bars = "B-B+1"
tempo = "60 to 72 by 4"
goal = { times = 2 }
"""


def teacher(folder: Path, text: str = TWO_DRILLS) -> Path:
    """An exercise with its score in a folder of its own."""
    (folder / "scores").mkdir(parents=True)
    (folder / "scores" / "ferry.musicxml").write_bytes(demo_score().read_bytes())
    path = folder / "ferry.toml"
    path.write_text(text, "utf-8")
    return path


def student(folder: Path) -> Folders:
    """A data folder of nobody else's."""
    return folders(folder)


def note(at: Folders, target: Target, tempo: int, *, times: int = 1, days: float = 0.01) -> None:
    """An attempt at a drill that held, some days from noon of tomorrow.

    From noon, for a practice day ends at four: two attempts within it stay in one day.
    """
    tomorrow = (datetime.now(UTC) + timedelta(days=1)).date()
    with Log.open(at.data) as log:
        log.note(
            Attempt(
                score_title=target.score_title,
                score_digest=target.bars.score_digest,
                score_path="x",
                part_id=target.bars.part_id,
                part_name=target.part_name,
                first_bar=target.bars.first,
                last_bar=target.bars.last,
                bars_label=target.bars_label,
                tempo=Fraction(tempo),
                beat=target.beat,
                outcome=Outcome.HELD,
                repetitions=times,
                at=datetime.combine(tomorrow, time(12), UTC) + timedelta(days=days),
            )
        )


def everything_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, with what it holds."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
