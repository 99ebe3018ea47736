"""`companion exercise new` and `make`: exercises by asking, and by rule."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from random import SystemRandom
from typing import Any

from companion.cli.shared_options import Subcommand, folders_of, whole
from companion.errors import CompanionError, RequestError
from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.sight_reading import HARDEST, Order, Reading, compose
from companion.exercise.sight_reading_line import RANGES
from companion.files.file_kind import plain_file
from companion.files.score_paths import as_path
from companion.score.bar_numbers import find_bars, find_part
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.readers.opening import read_score
from companion.session.open_score import open_for_practice, part_meant
from companion.session.write_exercise import (
    exercise_answered,
    file_name_of,
    score_name_in,
    write_exercise,
)
from companion.wording.phrases import written_told


def _ask_new(parser: argparse.ArgumentParser) -> None:
    for question in QUESTIONS:
        parser.add_argument(
            f"--{question.key}",
            dest=question.key,
            metavar=question.metavar,
            action="append" if question.is_many else "store",
            help=question.does,
        )
    _ask_out(parser)
    parser.epilog = (
        "On a terminal it asks for what is missing; an empty answer leaves it out. "
        "A score from another folder is copied next to the exercise."
    )


def _ask_out(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--out", metavar="FILE", help="output file; default: named after the title"
    )
    parser.add_argument("--again", action="store_true", help="overwrite an existing file")


def _new(args: argparse.Namespace) -> int:
    given = {one.key: getattr(args, one.key) for one in QUESTIONS}
    if sys.stdin.isatty():
        _ask_for_the_rest(given)
    answers: dict[str, Any] = {}
    goal: dict[str, Any] = {}
    for one in QUESTIONS:
        if given[one.key] is not None:
            place = goal if one.is_of_goal else answers
            place[one.key.removeprefix("goal-")] = one.value(given[one.key])
    if not answers.get("title"):
        raise RequestError("an exercise needs a title", next='Say --title "…".')
    path = _out(args, answers["title"])
    scores: tuple[Path, ...] = ()
    if "score" in answers:
        score = plain_file(as_path(answers["score"]))
        if not (answers.get("part") or answers.get("pattern")):
            open_score = open_for_practice(score, folders_of(args))
            answers["part"] = open_score.score.parts[part_meant(open_score, None)].name
        answers["score"], scores = score_name_in(score, path)
    made = exercise_answered({**answers, **({"goal": goal} if goal else {})})
    written = write_exercise(made, path, scores, again=args.again)
    print(written_told(written, made.title))
    print(f"Look at it: companion exercise show {written}")
    return 0


def _ask_for_the_rest(given: dict[str, Any]) -> None:
    """Ask on the terminal for what is missing on the command line; what cannot be is asked
    again."""
    score = _score_of(given["score"]) if given["score"] else None
    for one in QUESTIONS:
        if given[one.key] is not None or not one.is_asked(given):
            continue
        if one.key == "part" and score is not None:
            names = (f"{at} {part.name}" for at, part in enumerate(score.score.parts, 1))
            print(f"Parts: {', '.join(names)}")
        typed = _typed(one, score)
        given[one.key] = ([typed] if one.is_many else typed) if typed else None
        if one.key == "score" and typed:
            score = _score_of(typed)


def _score_of(typed: str) -> Clock:
    return lay(read_score(plain_file(as_path(typed))).score)


def _typed(question: ExerciseQuestion, score: Clock | None) -> str:
    """An answer that can be, or nothing."""
    while True:
        try:
            typed = input(f"{question.asks} ").strip()
        except EOFError:
            return ""
        try:
            if typed or question.key == "title":
                _check_answer(question, typed, score)
            return typed
        except CompanionError as fault:
            print(fault.sentence())


def _check_answer(question: ExerciseQuestion, typed: str, score: Clock | None) -> None:
    """Raises CompanionError if the answer cannot be."""
    value = question.value(typed)
    key = question.key.removeprefix("goal-")
    answers: dict[str, Any] = {"title": "x", "pattern": "2/4 h"}
    if key in ("score", "part", "bars"):
        answers.pop("pattern")
        answers |= {"score": "x.musicxml"} | ({key: value} if key != "score" else {})
    else:
        answers |= {"goal": {key: value}} if question.is_of_goal else {key: value}
    exercise_answered(answers)
    if key == "pattern":
        read_pattern(typed)
    elif key == "score":
        _score_of(typed)
    elif key == "part" and score is not None:
        find_part(score.score, typed)
    elif key == "bars" and score is not None:
        find_bars(score, typed)


def _out(args: argparse.Namespace, title: str) -> Path:
    if args.out:
        return as_path(args.out)
    return Path(file_name_of(title)).with_suffix(".toml")


def _ask_make(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ratio", metavar="M:N", default="3:2", help="yours against theirs; default: 3:2"
    )
    parser.add_argument(
        "--meter", metavar="METER", help="default: 6/8, or 3/4 if it shows no ratio"
    )
    parser.add_argument("--bars", metavar="N", type=whole, default=8, help="default: 8")
    parser.add_argument(
        "--seed", metavar="N", type=whole, help="the same seed makes the same exercise"
    )
    parser.add_argument(
        "--range", choices=list(RANGES), default="violin", help="for which instrument"
    )
    parser.add_argument("--key", metavar="KEY", default="D", help='such as Bb or "F# minor"')
    parser.add_argument("--span", choices=["beat", "bar"], default="beat", help="what is divided")
    parser.add_argument(
        "--level",
        choices=[*map(str, range(1, HARDEST + 1)), "beat", "bar"],
        metavar="N",
        help="how hard, 1 to 9, and so how fast; default: as easy as it can be",
    )
    parser.add_argument(
        "--shows",
        choices=[one.value for one in Reading],
        default=Reading.RATIO.value,
        help="the ratio, hemiolas across bars, or pulses beside the beat; default: ratio",
    )
    _ask_out(parser)
    parser.epilog = "The file says how it was made: the same seed makes the same notes again."


def _make(args: argparse.Namespace) -> int:
    seed = SystemRandom().randrange(1, 100_000) if args.seed is None else args.seed
    mine, theirs = _ratio(args.ratio)
    reading = Reading(args.shows)
    is_span = args.level in ("beat", "bar")  # what --span was called before
    order = Order(
        mine,
        theirs,
        args.meter or ("6/8" if reading is Reading.RATIO else "3/4"),
        args.bars,
        seed,
        args.range,
        args.key,
        args.level if is_span else args.span,
        int(args.level) if args.level and not is_span else None,
        reading,
    )
    made = compose(order)
    what = f"{mine} {theirs}" if reading is Reading.RATIO else reading.value
    named = f"reading {what} {args.range} {seed}"
    written = write_exercise(made, _out(args, named), again=args.again, made_by=_told(order))
    print(
        f"{written}: {made.title}, {args.bars} bars for {args.range}, level {made.level}, "
        f"seed {seed}"
    )
    return 0


def _told(order: Order) -> str:
    """The command that makes the same exercise again."""
    ratio = f" --ratio {order.mine}:{order.theirs} --span {order.span}"
    level = f" --level {order.level}" if order.level else ""
    return (
        f"companion exercise make --shows {order.reading}"
        f"{ratio if order.reading is Reading.RATIO else ''} --meter {order.meter} "
        f'--bars {order.bars} --range "{order.instrument}" --key "{order.key}"{level} '
        f"--seed {order.seed}"
    )


def _ratio(text: str) -> tuple[int, int]:
    mine, _, theirs = text.partition(":")
    if not (mine.isdecimal() and theirs.isdecimal() and len(text) < 8):
        raise RequestError(f"“{text}” is not a ratio", next="Write 3:2.")
    return int(mine), int(theirs)


WORDS = (
    Subcommand("new", "write an exercise file, asking a few questions", _ask_new, _new),
    Subcommand("make", "compose a new reading exercise", _ask_make, _make),
)
"""Its words."""


# What `companion exercise new` asks, on the command line and on the terminal: one table.


@dataclass(frozen=True, slots=True)
class ExerciseQuestion:
    """One thing an exercise can say."""

    key: str
    """The option, and the key of the file; `goal-` before those of the goal."""
    metavar: str
    """What stands for the answer in the help."""
    does: str
    asks: str = ""
    """How it is asked on the terminal; empty if it is not."""
    is_number: bool = False
    """Whether the file has a number there."""
    is_many: bool = False
    """Whether it may be given several times, a line each."""
    unless: str = ""
    """The key that makes the question idle."""

    @property
    def is_of_goal(self) -> bool:
        """Whether it belongs to the goal."""
        return self.key.startswith("goal-")

    def is_asked(self, given: Mapping[str, Any]) -> bool:
        """Whether it is asked on the terminal, given what is known so far."""
        return bool(self.asks) and not (self.unless and given.get(self.unless))

    def value(self, answer: str | list[str]) -> object:
        """The answer as the file would have it; a number where it reads as one."""
        text = "\n".join(answer) if isinstance(answer, list) else answer
        if self.is_number:
            try:
                return float(text) if "." in text else int(text)
            except ValueError:
                return text
        return text


QUESTIONS = (
    ExerciseQuestion("title", "TEXT", "what the student reads first", "Title?"),
    ExerciseQuestion("for", "NAME", "student's name", "For whom?"),
    ExerciseQuestion("due", "DAY", "due date, such as 2026-05-03", "Due, such as 2026-05-03?"),
    ExerciseQuestion("score", "FILE", "a score to practise in", "Score file?", unless="pattern"),
    ExerciseQuestion(
        "pattern",
        "NOTES",
        "notes in the short notation, instead of a score; once for each line",
        "Or notes, such as 2/4 q e e | h?",
        is_many=True,
        unless="score",
    ),
    ExerciseQuestion("key", "KEY", "the key of the notes, such as D"),
    ExerciseQuestion(
        "part", "PART", "the student's part; default: the one you chose", "Part?", unless="pattern"
    ),
    ExerciseQuestion("bars", "A-B", "which bars", "Bars, such as 9-16?", unless="pattern"),
    ExerciseQuestion(
        "tempo",
        "PLAN",
        "60, or a plan such as “60 to 96 by 4, twice each”",
        "Tempo, such as 60, or 60 to 96 by 4?",
        is_number=True,
    ),
    ExerciseQuestion("layers", "LIST", "click layers, with commas"),
    ExerciseQuestion("count-in", "N", "bars counted in", is_number=True),
    ExerciseQuestion("repeat", "N", "times through", is_number=True),
    ExerciseQuestion("silences", "LIST", "when the click is silent, such as “every 4”"),
    ExerciseQuestion("goal-tempo", "BPM", "the tempo to reach", is_number=True),
    ExerciseQuestion("goal-outcome", "WORD", "result to reach: fell apart, shaky, held, secure"),
    ExerciseQuestion("goal-times", "N", "times through on one day", is_number=True),
    ExerciseQuestion("goal-days", "N", "number of days", "On how many days must it hold?", True),
    ExerciseQuestion("listen", "TEXT", "what to listen for", "What should they listen for?"),
    ExerciseQuestion("shows", "LIST", "what it shows, such as “3:2 in the beat”"),
    ExerciseQuestion("level", "N", "how hard it is, 1 to 9", is_number=True),
    ExerciseQuestion("instructions", "TEXT", "instructions, plain or Markdown", "Instructions?"),
)
"""In the order in which they are asked."""
