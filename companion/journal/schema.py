"""The tables of the practice log, as numbered steps that are never edited again.

A log written today is opened years from now: every form it ever had is a step
here, each one transaction with its `user_version`, so that a log is always in
one whole form. Steps are plain text, not made from today's Python names, which
may change. Attempts and revisions know each other by UUID, so that the logs of
two machines can be joined row by row; `seq` is only the order of arrival here.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from companion.journal.database import JournalError, transaction


class NewerLogError(JournalError):
    """The log is from a newer companion, and is left as it is."""


SchemaStep = tuple[str, ...]
"""The statements that lead from one form of the log to the next."""

APPLICATION_ID = 0x50726163
"""Marks the file as a practice log ("Prac" in ASCII) among SQLite files."""

_FIRST: SchemaStep = (
    f"PRAGMA application_id = {APPLICATION_ID}",
    """CREATE TABLE outcome (
        word TEXT NOT NULL PRIMARY KEY,
        rank INTEGER NOT NULL UNIQUE
    ) STRICT, WITHOUT ROWID""",
    "INSERT INTO outcome VALUES ('fell apart', 1), ('shaky', 2), ('held', 3), ('secure', 4)",
    # at_utc has one width, so text order is time order; utc_offset is seconds east:
    # date(at_utc, utc_offset || ' seconds') is the player's day.
    # tempo is a fraction in lowest terms: '72', '145/2'. layers is a JSON list of names.
    """CREATE TABLE attempt (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        at_utc TEXT NOT NULL CHECK (at_utc GLOB '????-??-??T??:??:??.??????Z'),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        score_title TEXT NOT NULL,
        score_digest TEXT NOT NULL CHECK (score_digest GLOB '[0-9a-f]*'),
        score_path TEXT NOT NULL,
        part_id TEXT NOT NULL CHECK (part_id <> ''),
        part_name TEXT NOT NULL,
        first_bar INTEGER NOT NULL CHECK (first_bar >= 1),
        last_bar INTEGER NOT NULL CHECK (last_bar >= first_bar),
        bars_label TEXT NOT NULL,
        tempo TEXT NOT NULL CHECK (tempo GLOB '[1-9]*' AND NOT tempo GLOB '*[^0-9/]*'),
        beat TEXT NOT NULL CHECK (beat <> ''),
        layers TEXT NOT NULL CHECK (layers GLOB '[[]*]'),
        repetitions INTEGER NOT NULL CHECK (repetitions >= 0),
        seconds REAL NOT NULL CHECK (seconds >= 0),
        outcome TEXT NOT NULL REFERENCES outcome (word),
        note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX attempt_by_time ON attempt (at_utc)",
    "CREATE INDEX attempt_by_passage"
    " ON attempt (score_digest, part_id, first_bar, last_bar, at_utc)",
    # What an attempt said before a correction, and what it said after: with both,
    # corrections made on two machines can be put in order and replayed.
    """CREATE TABLE revision (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        attempt_id TEXT NOT NULL REFERENCES attempt (id),
        at_utc TEXT NOT NULL CHECK (at_utc GLOB '????-??-??T??:??:??.??????Z'),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        earlier_outcome TEXT NOT NULL REFERENCES outcome (word),
        earlier_note TEXT NOT NULL,
        later_outcome TEXT NOT NULL REFERENCES outcome (word),
        later_note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX revision_by_attempt ON revision (attempt_id)",
)

# The second step. Free entries, goals and dates are revised, never overwritten: a row is one
# revision, the latest (by stated_utc, then id) holds, and the union of two machines' rows is
# their merged log. A timer is one row, so that it survives the process that started it.
#
# `passage` is no record: triggers keep it in step with the attempts, so that a day's plan
# asks three thousand rows and not a hundred thousand. Its stamp is drawn again at each change
# of a passage's attempts: what was worked out under one stamp holds while the stamp stands.

_MOMENT = "GLOB '????-??-??T??:??:??.??????Z'"

_REVISION = f"""
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        stated_utc TEXT NOT NULL CHECK (stated_utc {_MOMENT}),
        stated_offset INTEGER NOT NULL CHECK (abs(stated_offset) < 86400),
        withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),"""

_BARS = """
        score_digest TEXT NOT NULL CHECK (score_digest GLOB '[0-9a-f]*'),
        part_id TEXT NOT NULL CHECK (part_id <> ''),
        first_bar INTEGER NOT NULL CHECK (first_bar >= 1),
        last_bar INTEGER NOT NULL CHECK (last_bar >= first_bar),"""

_STAMP = "lower(hex(randomblob(8)))"

_SAME_BARS = (
    "score_digest = NEW.score_digest AND part_id = NEW.part_id"
    " AND first_bar = NEW.first_bar AND last_bar = NEW.last_bar"
)

_SECOND: SchemaStep = (
    "ALTER TABLE attempt ADD COLUMN"
    " judgement TEXT CHECK (judgement IS NULL OR judgement GLOB '{*}')",
    # The minutes of a day are read from this index alone.
    "DROP INDEX attempt_by_time",
    "CREATE INDEX attempt_by_time ON attempt (at_utc, utc_offset, seconds)",
    "CREATE TABLE activity (word TEXT NOT NULL PRIMARY KEY) STRICT, WITHOUT ROWID",
    "INSERT INTO activity VALUES ('scales'), ('sight-reading'), ('rehearsal'), ('lesson'),"
    " ('away from the instrument'), ('other')",
    f"""CREATE TABLE entry ({_REVISION}
        entry_id TEXT NOT NULL CHECK (length(entry_id) = 36),
        at_utc TEXT NOT NULL CHECK (at_utc {_MOMENT}),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        what TEXT NOT NULL REFERENCES activity (word),
        seconds REAL NOT NULL CHECK (seconds >= 0),
        note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX entry_by_thing ON entry (entry_id, stated_utc, id)",
    "CREATE INDEX entry_by_time ON entry (at_utc)",
    f"""CREATE TABLE goal ({_REVISION}{_BARS}
        score_title TEXT NOT NULL,
        part_name TEXT NOT NULL,
        bars_label TEXT NOT NULL,
        tempo TEXT NOT NULL CHECK (tempo GLOB '[1-9]*' AND NOT tempo GLOB '*[^0-9/]*'),
        beat TEXT NOT NULL CHECK (beat <> ''),
        occasion_id TEXT CHECK (length(occasion_id) = 36)
    ) STRICT""",
    "CREATE INDEX goal_by_thing"
    " ON goal (score_digest, part_id, first_bar, last_bar, stated_utc, id)",
    f"""CREATE TABLE occasion ({_REVISION}
        occasion_id TEXT NOT NULL CHECK (length(occasion_id) = 36),
        kind TEXT NOT NULL CHECK (kind IN ('concert', 'lesson', 'rehearsal', 'other')),
        day TEXT NOT NULL CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
        name TEXT NOT NULL,
        score_digest TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX occasion_by_thing ON occasion (occasion_id, stated_utc, id)",
    f"""CREATE TABLE timer (
        only INTEGER PRIMARY KEY CHECK (only = 1),
        id TEXT NOT NULL CHECK (length(id) = 36),
        what TEXT NOT NULL REFERENCES activity (word),
        note TEXT NOT NULL,
        started_utc TEXT NOT NULL CHECK (started_utc {_MOMENT}),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        last_sign_utc TEXT CHECK (last_sign_utc {_MOMENT}),
        signs_every REAL NOT NULL CHECK (signs_every >= 0)
    ) STRICT""",
    "CREATE TABLE setting (name TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL)"
    " STRICT, WITHOUT ROWID",
    f"""CREATE TABLE passage ({_BARS}
        tries INTEGER NOT NULL CHECK (tries > 0),
        latest INTEGER NOT NULL REFERENCES attempt (seq),
        stamp TEXT NOT NULL,
        PRIMARY KEY (score_digest, part_id, first_bar, last_bar)
    ) STRICT, WITHOUT ROWID""",
    # Of attempts at the same microsecond the later arrival is the latest, as everywhere.
    f"""INSERT INTO passage
        SELECT score_digest, part_id, first_bar, last_bar, count(*),
            (SELECT seq FROM attempt AS one
             WHERE one.score_digest = attempt.score_digest AND one.part_id = attempt.part_id
               AND one.first_bar = attempt.first_bar AND one.last_bar = attempt.last_bar
             ORDER BY at_utc DESC, seq DESC LIMIT 1),
            {_STAMP}
        FROM attempt GROUP BY score_digest, part_id, first_bar, last_bar""",
    f"""CREATE TRIGGER attempt_tried AFTER INSERT ON attempt BEGIN
        INSERT INTO passage VALUES
            (NEW.score_digest, NEW.part_id, NEW.first_bar, NEW.last_bar, 1, NEW.seq, {_STAMP})
        ON CONFLICT (score_digest, part_id, first_bar, last_bar) DO UPDATE SET
            tries = tries + 1,
            latest = (SELECT seq FROM attempt WHERE {_SAME_BARS}
                      ORDER BY at_utc DESC, seq DESC LIMIT 1),
            stamp = excluded.stamp;
    END""",
    f"""CREATE TRIGGER attempt_corrected AFTER UPDATE ON attempt BEGIN
        UPDATE passage SET stamp = {_STAMP} WHERE {_SAME_BARS};
    END""",
)

# The third step. Silences and who played along were told among the layers, if at all. What
# says so there is moved; `fields.py` does the same for exports and reports of before.

_THIRD: SchemaStep = (
    "ALTER TABLE attempt ADD COLUMN silences TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE attempt ADD COLUMN accompaniment TEXT NOT NULL DEFAULT '[]'"
    " CHECK (accompaniment GLOB '[[]*]')",
    """UPDATE attempt SET
        silences = coalesce((SELECT group_concat(value, ', ') FROM (SELECT value FROM
            json_each(layers) WHERE value GLOB 'silent*' ORDER BY key)), ''),
        accompaniment = (SELECT json_group_array(value) FROM
            json_each(layers) WHERE value = 'drone'),
        layers = (SELECT json_group_array(value) FROM (SELECT value FROM
            json_each(layers) WHERE value NOT GLOB 'silent*' AND value <> 'drone' ORDER BY key))
        WHERE layers GLOB '*"silent*' OR layers GLOB '*"drone"*'""",
)

# The fourth step. What was heard of an attempt, beside the player's own word; all of it or none.

_FOURTH: SchemaStep = (
    "ALTER TABLE attempt ADD COLUMN heard_outcome TEXT REFERENCES outcome (word)",
    "ALTER TABLE attempt ADD COLUMN heard_by TEXT CHECK (heard_by IN ('taps', 'take'))",
    "ALTER TABLE attempt ADD COLUMN heard_sides TEXT CHECK (heard_sides GLOB '[[]*]')",
    "ALTER TABLE attempt ADD COLUMN heard_missed INTEGER CHECK (heard_missed >= 0)",
    # With the outcome goes everything else that is told of it.
    "ALTER TABLE attempt ADD COLUMN heard_added INTEGER CHECK (heard_added >= 0)"
    " CHECK (heard_outcome IS NULL OR (heard_by IS NOT NULL AND heard_sides IS NOT NULL"
    " AND heard_missed IS NOT NULL AND heard_added IS NOT NULL))",
)

# The fifth step. An attempt that was noted by mistake is withdrawn, and a correction says so; it
# is no longer one of its passage's, and can be brought back.

_COUNTED = f"FROM attempt WHERE {_SAME_BARS} AND withdrawn = 0"
_LATEST_COUNTED = f"(SELECT seq {_COUNTED} ORDER BY at_utc DESC, seq DESC LIMIT 1)"
_NO_FLAG = "INTEGER NOT NULL DEFAULT 0"

_FIFTH: SchemaStep = (
    f"ALTER TABLE attempt ADD COLUMN withdrawn {_NO_FLAG} CHECK (withdrawn IN (0, 1))",
    "ALTER TABLE revision ADD COLUMN"
    f" earlier_withdrawn {_NO_FLAG} CHECK (earlier_withdrawn IN (0, 1))",
    f"ALTER TABLE revision ADD COLUMN later_withdrawn {_NO_FLAG} CHECK (later_withdrawn IN (0, 1))",
    "DROP INDEX attempt_by_time",
    "CREATE INDEX attempt_by_time ON attempt (at_utc, utc_offset, seconds, withdrawn)",
    "DROP TRIGGER attempt_tried",
    "DROP TRIGGER attempt_corrected",
    f"""CREATE TRIGGER attempt_tried AFTER INSERT ON attempt WHEN NEW.withdrawn = 0 BEGIN
        INSERT INTO passage VALUES
            (NEW.score_digest, NEW.part_id, NEW.first_bar, NEW.last_bar, 1, NEW.seq, {_STAMP})
        ON CONFLICT (score_digest, part_id, first_bar, last_bar) DO UPDATE SET
            tries = tries + 1, latest = {_LATEST_COUNTED}, stamp = excluded.stamp;
    END""",
    f"""CREATE TRIGGER attempt_corrected AFTER UPDATE ON attempt BEGIN
        DELETE FROM passage WHERE {_SAME_BARS};
        INSERT INTO passage
            SELECT NEW.score_digest, NEW.part_id, NEW.first_bar, NEW.last_bar,
                (SELECT count(*) {_COUNTED}), {_LATEST_COUNTED}, {_STAMP}
            WHERE EXISTS (SELECT 1 {_COUNTED});
    END""",
)

STEPS: tuple[SchemaStep, ...] = (_FIRST, _SECOND, _THIRD, _FOURTH, _FIFTH)
"""Step n leads to version n. New ones are added at the end."""


def version(connection: sqlite3.Connection) -> int:
    """The form the log is in; 0 before the first step."""
    found = connection.execute("PRAGMA user_version").fetchone()
    if not found:  # so SQLite answers if the schema cannot be read
        raise sqlite3.DatabaseError("its tables cannot be read")
    return int(found[0])


def has_tables(connection: sqlite3.Connection) -> bool:
    """Whether anything has been laid out in the file."""
    found: int = connection.execute("SELECT EXISTS (SELECT 1 FROM sqlite_schema)").fetchone()[0]
    return bool(found)


def bring_up_to_date(
    connection: sqlite3.Connection, path: Path, steps: tuple[SchemaStep, ...] = STEPS
) -> None:
    """Takes the log through the steps it has not seen, each in one transaction.

    Raises JournalError, the file untouched, for a log from a newer version and
    for another program's database.
    """
    refuse_newer(version(connection), path, newest=len(steps))
    while version(connection) < len(steps):
        with transaction(connection):
            _take_next_step(connection, path, steps)


def _take_next_step(
    connection: sqlite3.Connection, path: Path, steps: tuple[SchemaStep, ...]
) -> None:
    done = version(connection)
    if done >= len(steps):  # another process took it while this one waited for the pen
        return
    if done == 0 and has_tables(connection):
        raise not_a_log(path)
    for statement in steps[done]:
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {done + 1}")


def refuse_newer(found: int, path: Path, newest: int = len(STEPS)) -> None:
    """Raises JournalError when version `found` is beyond what this program knows."""
    if found < 0:
        raise JournalError(
            "The practice log is damaged: the number of its form is below zero",
            where=str(path),
            next="Put a backup in its place: companion log restore FILE.",
        )
    if found > newest:
        raise NewerLogError(
            f"This practice log was written by a newer companion (form {found} of the log;"
            f" this one knows up to {newest}), and is left as it is",
            where=str(path),
            next="Bring companion up to date here, or move the file elsewhere first.",
        )


def not_a_log(path: Path) -> JournalError:
    """The refusal of a file that is something else."""
    return JournalError(
        "This is not a practice log, and is left as it is",
        where=str(path),
        next="Move it elsewhere, or choose another folder.",
    )
