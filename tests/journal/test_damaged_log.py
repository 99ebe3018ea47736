"""Logs damaged at random: every word of `companion log` answers in a sentence, restore works.

COMPANION_DAMAGE=600 tries so many; a few are part of every run.
"""

import os
import random
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log import FILE_NAME, Log
from companion.journal.log_exchange import back_up_log, check_log, export_log, restore_log
from companion.journal.mastery_cache import all_standings
from companion.journal.schema import NewerLogError
from tests.journal.conftest import Noting


@pytest.fixture(name="whole")
def whole_log(tmp_path: Path, played: Noting) -> Path:
    """A log with attempts, corrections and a good backup beside it."""
    with Log.open(tmp_path / "whole") as log:
        for minute in range(60):
            attempt = played(minute, note="vor dem Frühstück", first_bar=1 + minute % 9)
            log.note(attempt)
            if minute % 5 == 0:
                log.correct(attempt.id, note="again")
        log.back_up(tmp_path / "backup.db")
    return tmp_path / "whole" / FILE_NAME


def damage_bytes(chance: random.Random, content: bytearray) -> None:
    kind = chance.choice(["bits", "beginning", "end", "page"])
    if kind == "bits":
        for _ in range(chance.randint(1, 30)):
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    elif kind == "beginning":
        for _ in range(chance.randint(1, 4)):
            content[chance.randrange(100)] = chance.randrange(256)
    elif kind == "end":
        del content[chance.randrange(len(content)) :]
    else:
        start = chance.randrange(len(content) // 4096) * 4096
        content[start : start + 4096] = bytes(4096)


def damage_schema(chance: random.Random, path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as log:
        log.execute("PRAGMA writable_schema = ON")
        asked = "SELECT name, sql FROM sqlite_schema WHERE sql NOT NULL"
        name, text = chance.choice(log.execute(asked).fetchall())
        at = chance.randrange(len(text))
        spoiled = text[:at] + chr(chance.randrange(1, 255)) + text[at + 1 :]
        if chance.random() < 0.2:
            log.execute(f"PRAGMA user_version = {-chance.randint(1, 9)}")
        log.execute("UPDATE sqlite_schema SET sql = ? WHERE name = ?", (spoiled, name))


@pytest.mark.parametrize("seed", range(int(os.environ.get("COMPANION_DAMAGE", "40"))))
def test_a_damaged_log_is_told_in_a_sentence_and_replaced(
    tmp_path: Path, whole: Path, seed: int
) -> None:
    chance = random.Random(seed)
    place = tmp_path / "damaged" / FILE_NAME
    place.parent.mkdir()
    content = bytearray(whole.read_bytes())
    if chance.random() < 0.3:
        place.write_bytes(content)
        damage_schema(chance, place)
    else:
        damage_bytes(chance, content)
        place.write_bytes(content)
    folders = Folders(place.parent, tmp_path / "cache")
    for read in (
        lambda: Log.read_only(folders.data).attempts(),
        lambda: check_log(folders),
        lambda: all_standings(folders),
        lambda: export_log(folders, "csv", tmp_path / "out.csv"),
        lambda: export_log(folders, "json", tmp_path / "out.json"),
        lambda: back_up_log(folders, tmp_path / "new.db"),
    ):
        with suppress(CompanionError):  # whatever else comes through is the fault looked for
            read()
    try:
        restore_log(folders, tmp_path / "backup.db")
    except NewerLogError:
        return  # it may well be one, and says that it can be moved away
    assert check_log(folders) == []
    with Log.read_only(folders.data) as log:
        assert len(log.attempts()) == 60
