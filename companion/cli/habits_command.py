"""`companion habits`: the numbers a day's plan is made with, shown and set."""

from __future__ import annotations

import argparse

import msgspec

from companion.cli.shared_options import ask_json, folders_of, print_json, whole
from companion.journal.log_entries import day_end_of, keep_day_end
from companion.practice.plan.habits import Habits
from companion.practice.practice_day import parse_day_end
from companion.session.todays_plan import habits_of, set_habits
from companion.wording.plan_sentences import DAY_ENDS_TOLD, HABITS_TOLD

_DAY_ENDS = "day_ends"


def arguments(parser: argparse.ArgumentParser) -> None:
    """One option for each habit."""
    for name, told in HABITS_TOLD.items():
        parser.add_argument(_option(name), metavar="N", type=whole, help=told)
    parser.add_argument("--day-ends", metavar="HOUR", help=DAY_ENDS_TOLD)
    parser.add_argument("--usual", action="store_true", help="reset to the defaults first")
    ask_json(parser)
    parser.epilog = (
        "None of this is medical advice: rest, and stop when something hurts; about pain ask "
        "your teacher or a doctor."
    )


def run(args: argparse.Namespace) -> int:
    """Set what was asked for, and show them all."""
    folders = folders_of(args)
    wanted = {name: value for name in HABITS_TOLD if (value := getattr(args, name)) is not None}
    ends = parse_day_end(args.day_ends) if args.day_ends else None
    habits = Habits() if args.usual else habits_of(folders)
    if wanted or args.usual:
        habits = Habits(**{**msgspec.structs.asdict(habits), **wanted})
        set_habits(folders, habits)
    if ends is not None:
        keep_day_end(folders, ends)
    now = f"{day_end_of(folders):%H:%M}"
    if args.json:
        print_json({**msgspec.structs.asdict(habits), _DAY_ENDS: now})
        return 0
    for name, told in HABITS_TOLD.items():
        print(f"{_word(name):<14}{getattr(habits, name):>5}  {told}")
    print(f"{_word(_DAY_ENDS):<14}{now:>5}  {DAY_ENDS_TOLD}")
    return 0


def _word(name: str) -> str:
    return name.replace("_", "-")


def _option(name: str) -> str:
    return f"--{_word(name)}"
