"""The step to the second form of the log, never edited again.

Free entries, goals and dates are said and said again, never overwritten: a row is one
saying, the latest (by stated_utc, then id) holds, and the union of two machines' rows is
their merged log. A timer is one row, so that it survives the process that started it.

`passage` is no record: triggers keep it in step with the attempts, so that a day's plan
asks three thousand rows and not a hundred thousand. Its stamp is drawn anew at each change
of a passage's attempts: what was worked out under one stamp holds while the stamp stands.
"""

from __future__ import annotations

_MOMENT = "GLOB '????-??-??T??:??:??.??????Z'"

_SAID = f"""
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

SECOND = (
    "ALTER TABLE attempt ADD COLUMN"
    " judgement TEXT CHECK (judgement IS NULL OR judgement GLOB '{*}')",
    # The minutes of a day are read from this index alone.
    "DROP INDEX attempt_by_time",
    "CREATE INDEX attempt_by_time ON attempt (at_utc, utc_offset, seconds)",
    "CREATE TABLE activity (word TEXT NOT NULL PRIMARY KEY) STRICT, WITHOUT ROWID",
    "INSERT INTO activity VALUES ('scales'), ('sight-reading'), ('rehearsal'), ('lesson'),"
    " ('away from the instrument'), ('other')",
    f"""CREATE TABLE entry ({_SAID}
        entry_id TEXT NOT NULL CHECK (length(entry_id) = 36),
        at_utc TEXT NOT NULL CHECK (at_utc {_MOMENT}),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        what TEXT NOT NULL REFERENCES activity (word),
        seconds REAL NOT NULL CHECK (seconds >= 0),
        note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX entry_by_thing ON entry (entry_id, stated_utc, id)",
    "CREATE INDEX entry_by_time ON entry (at_utc)",
    f"""CREATE TABLE goal ({_SAID}{_BARS}
        score_title TEXT NOT NULL,
        part_name TEXT NOT NULL,
        bars_label TEXT NOT NULL,
        tempo TEXT NOT NULL CHECK (tempo GLOB '[1-9]*' AND NOT tempo GLOB '*[^0-9/]*'),
        beat TEXT NOT NULL CHECK (beat <> ''),
        occasion_id TEXT CHECK (length(occasion_id) = 36)
    ) STRICT""",
    "CREATE INDEX goal_by_thing"
    " ON goal (score_digest, part_id, first_bar, last_bar, stated_utc, id)",
    f"""CREATE TABLE occasion ({_SAID}
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
"""The statements of the step."""
