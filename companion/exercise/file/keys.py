"""The keys of an exercise file: the one table from which reader, schema and help are made.

A key that is not here does not exist. `format` is raised when a file of today would mean
something else; a new key does not raise it.
"""

from __future__ import annotations

from companion.click.layer_words import BOTH
from companion.click.layers import Layer
from companion.exercise.file.kinds import Choice, Day, Either, Listed, Number, Text
from companion.exercise.file.shapes import (
    CLAIMS,
    FADE,
    KEY_NAME,
    LAYER,
    PLAIN_PATH,
    RATIO,
    SHOWS_TOLD,
    SILENCE,
    SILENCES,
    TEMPO_PLAN,
)
from companion.exercise.file.tables import Key, Needs, OneOf, Table, Tables
from companion.practice.outcome import Outcome
from companion.rhythm.tempo import FASTEST, SLOWEST

FORMAT = 1
"""The version that is written, and the latest that is read."""

MOST_DRILLS = 60
"""Drills in one file at most."""

_BPM = Number(SLOWEST, FASTEST, "felt beats a minute")
_PLAN = Text(80, 'a tempo plan such as "60 to 96 by 4, twice each"', TEMPO_PLAN)

GOAL = Table(
    "a goal",
    (
        Key(
            "tempo",
            _BPM,
            "Felt beats a minute; the end of the tempo plan if left out.",
            also=("bpm",),
        ),
        Key("outcome", Choice(tuple(Outcome)), "How it must go; held if left out."),
        Key("times", Number(1, 999, "times", True), "Times through on one day; 1 if left out."),
        Key("days", Number(1, 60, "days", True), "On so many different days; 1 if left out."),
    ),
)
DRILL = Table(
    "a drill",
    (
        Key("title", Text(200, "a short title"), "What the drill is called.", also=("name",)),
        Key(
            "pattern",
            Text(10_000, "notes in the short notation, in quotes"),
            "The notes, one line a part.",
            also=("notes", "rhythm", "music"),
        ),
        Key(
            "score",
            Text(240, "the name of a score file beside this one", PLAIN_PATH),
            "A score beside this file, or in a folder below it.",
            also=("file", "path"),
        ),
        Key("abc", Text(10_000, "a few bars of ABC, in quotes"), "The notes in ABC."),
        Key(
            "key",
            Text(10, "a key such as D, Bb or F# minor", KEY_NAME),
            "The key signature of a pattern; C if left out.",
        ),
        Key(
            "part",
            Either((Number(1, 99, "", True), Text(100, "a part's name in quotes"))),
            "The student's part, by name or number; the first if left out.",
            also=("voice", "instrument"),
        ),
        Key(
            "bars",
            Either((Number(1, 99_999, "", True), Text(60, 'bars such as "9-16"'))),
            "Which bars; all of them if left out.",
            also=("measures", "bar"),
        ),
        Key(
            "tempo",
            Either((_BPM, _PLAN)),
            "Felt beats a minute of that part, or a tempo plan; the score's own mark if left out.",
            also=("bpm", "speed", "ladder", "ramp"),
        ),
        Key(
            "layers",
            Listed(LAYER, "layers of the click, joined by commas", (*Layer, BOTH)),
            "What the click sounds: beat, mine and theirs if left out.",
            also=("click", "layer"),
        ),
        Key("count-in", Number(0, 16, "bars", True), "Bars counted in; 1 if left out."),
        Key(
            "repeat",
            Number(1, 999, "times", True),
            "Times through; as many as the tempo plan takes if left out.",
            also=("times",),
        ),
        Key(
            "silences",
            Listed(SILENCE, 'silences such as "every 4" or "growing"', SILENCES),
            "Where the click leaves.",
            also=("rests", "gaps", "silence"),
        ),
        Key(
            "fades",
            Listed(FADE, 'fades such as "theirs out over 4"'),
            "Layers that come or go over the times through.",
            also=("fade",),
        ),
        Key("seed", Number(0, 2**31, "", True), "Which shuffle random silences are."),
        Key("goal", GOAL, "What is to be reached.", also=("aim", "target")),
        Key("listen", Text(2_000, "a sentence or two"), "What to listen for.", also=("hear",)),
        Key(
            "shows",
            Listed(rf"{RATIO}|{'|'.join(CLAIMS)}", SHOWS_TOLD, CLAIMS),
            "What it is there to show, mine first in a ratio; check looks whether it does.",
            also=("claims", "teaches"),
        ),
    ),
    (
        OneOf(("pattern", "score", "abc")),
        Needs("key", "pattern"),
        Needs("seed", "silences"),
    ),
)
EXERCISE = Table(
    "an exercise",
    (
        Key(
            "format",
            Number(1, FORMAT, "", True),
            "1, the version of this page.",
            is_needed=True,
            also=("version",),
            example="format = 1",
        ),
        Key(
            "title",
            Text(200, "a title"),
            "What the student reads first.",
            is_needed=True,
            also=("name",),
            example='title = "…"',
        ),
        Key("for", Text(200, "a name or a class"), "Whom it is for.", also=("student", "to")),
        Key("due", Day(), "By when.", also=("deadline", "date", "until")),
        Key("level", Number(1, 9, "", True), "How hard it is, 1 to 9.", also=("grade",)),
        Key(
            "instructions",
            Text(20_000, "text, which may be Markdown"),
            "What to do, in your own words.",
            also=("text", "description", "notes"),
        ),
        Key(
            "drill",
            Tables(DRILL, MOST_DRILLS),
            "What to play, each drill under a line [[drill]].",
            is_needed=True,
            also=("drills", "exercise"),
            example="[[drill]]",
        ),
    ),
)
