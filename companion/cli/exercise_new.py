"""`companion exercise new` and `make`: exercises by asking, and by rule."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from random import SystemRandom
from typing import Any

from companion.cli.exercise_questions import QUESTIONS, Question
from companion.cli.words import Word
from companion.desk.exercises.writing import beside, exercise_answered, write_exercise
from companion.desk.finding import as_path, existing
from companion.errors import RequestError
from companion.exercise.composing.compose import Order, compose
from companion.exercise.composing.ranges import RANGES


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
        "On a terminal it asks for what matters and was not given; an empty answer leaves a "
        "thing out. A score from another folder is copied beside the exercise."
    )


def _ask_out(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--out", metavar="FILE", help="where to; named after the title if left out"
    )
    parser.add_argument("--again", action="store_true", help="overwrite a file of that name")


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
        answers["score"], scores = beside(existing(as_path(answers["score"])), path)
    made = exercise_answered({**answers, **({"goal": goal} if goal else {})})
    written = write_exercise(made, path, scores, again=args.again)
    print(f"{written}: {made.title}")
    print(f"Look at it: companion exercise show {written}")
    return 0


def _ask_for_the_rest(given: dict[str, Any]) -> None:
    """Ask on the terminal for what matters and was not said on the command line."""
    for one in QUESTIONS:
        if given[one.key] is None and one.is_asked(given):
            typed = _typed(one)
            given[one.key] = ([typed] if one.is_many else typed) if typed else None


def _typed(question: Question) -> str:
    try:
        return input(f"{question.asks} ").strip()
    except EOFError:
        return ""


def _out(args: argparse.Namespace, title: str) -> Path:
    if args.out:
        return as_path(args.out)
    words = "".join(letter if letter.isalnum() else " " for letter in title.casefold()).split()
    return Path("_".join(words)[:60] or "exercise").with_suffix(".toml")


def _ask_make(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ratio", metavar="M:N", default="3:2", help="yours against theirs (3:2 if left out)"
    )
    parser.add_argument("--meter", metavar="METER", default="6/8", help="6/8 if left out")
    parser.add_argument("--bars", metavar="N", type=int, default=8, help="8 if left out")
    parser.add_argument(
        "--seed", metavar="N", type=int, help="the same seed makes the same exercise"
    )
    parser.add_argument(
        "--range", choices=list(RANGES), default="violin", help="for which instrument"
    )
    parser.add_argument("--key", metavar="KEY", default="D", help='such as Bb or "F# minor"')
    parser.add_argument("--level", choices=["beat", "bar"], default="beat", help="what is divided")
    _ask_out(parser)


def _make(args: argparse.Namespace) -> int:
    seed = SystemRandom().randrange(1, 100_000) if args.seed is None else args.seed
    mine, theirs = _ratio(args.ratio)
    order = Order(mine, theirs, args.meter, args.bars, seed, args.range, args.key, args.level)
    made = compose(order)
    named = f"reading {mine} {theirs} {args.range} {seed}"
    written = write_exercise(made, _out(args, named), again=args.again)
    print(f"{written}: {made.title}, {args.bars} bars for {args.range}, seed {seed}")
    return 0


def _ratio(text: str) -> tuple[int, int]:
    mine, _, theirs = text.partition(":")
    if not (mine.isdecimal() and theirs.isdecimal() and len(text) < 8):
        raise RequestError(f"“{text}” is not a ratio", next="Write 3:2.")
    return int(mine), int(theirs)


WORDS = (
    Word("new", "write an exercise file, asking a few questions", _ask_new, _new),
    Word("make", "compose a fresh reading exercise", _ask_make, _make),
)
"""Its words."""
