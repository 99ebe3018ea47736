"""`companion today`: what today is for, given the minutes there are."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial

import msgspec

from companion.cli.shared_options import ask_json, folders_of, print_json, stand_of
from companion.practice.attempt import now
from companion.practice.plan import day_plan
from companion.practice.plan.day_plan import DayPlan
from companion.session.todays_plan import DayRequest, Today, change_plan, today
from companion.wording.exercise_sentences import due_told
from companion.wording.phrases import day_told
from companion.wording.plan_sentences import item_told, minutes_told, planned_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--minutes N] [--score SCORE [--part P]] and what to do with the plan."""
    parser.add_argument("--minutes", metavar="N", type=int, help="minutes there are")
    parser.add_argument(
        "--score", metavar="SCORE", help="only this score, with passages nobody chose yet"
    )
    parser.add_argument("--part", metavar="P", help="my part of it")
    parser.add_argument("--accept", action="store_true", help="take it; what is left comes back")
    parser.add_argument("--skip", metavar="N", type=int, help="leave item N out today")
    parser.add_argument("--replace", metavar="N", type=int, help="something else for item N")
    parser.add_argument(
        "--move", metavar=("N", "TO"), type=int, nargs=2, help="item N to the place TO"
    )
    parser.add_argument("--afresh", action="store_true", help="make the plan anew")
    ask_json(parser)
    parser.epilog = (
        "Passages come back when the scheduler expects them to fade; it was made for facts, "
        "and that it fits playing is an assumption. Rest, and stop when something hurts: "
        "about pain ask your teacher or a doctor."
    )


def run(args: argparse.Namespace) -> int:
    """Show the plan, changed where that is asked for."""
    folders = folders_of(args)
    day_request = DayRequest(
        minutes=args.minutes,
        open_score=stand_of(args) if args.score else None,
        part=args.part or "",
        is_afresh=args.afresh,
    )
    shown = today(folders, now(), day_request)
    for how in _changes(args):
        shown = change_plan(folders, shown, how)
    if args.json:
        print_json(_record(shown))
    else:
        for line in told(shown):
            print(line)
    return 0


def _changes(args: argparse.Namespace) -> Iterator[Callable[[DayPlan], DayPlan]]:
    """What is to be done, in an order in which every number means what is shown."""
    if args.replace is not None:
        yield partial(day_plan.replaced, number=args.replace)
    if args.move is not None:
        yield partial(day_plan.moved_item, number=args.move[0], to=args.move[1])
    if args.skip is not None:
        yield partial(day_plan.skipped, number=args.skip)
    if args.accept:
        yield day_plan.accepted


def told(shown: Today) -> Iterator[str]:
    """The plan in lines for a person."""
    plan = shown.plan
    taken = ", accepted" if plan.is_accepted else ""
    yield f"{day_told(date.fromisoformat(plan.day))}, {planned_told(plan.minutes)}{taken}"
    for number, (item, is_done) in enumerate(zip(plan.items, shown.done, strict=True), 1):
        mark = "✓" if is_done else " "
        yield f"{number:>3} {mark} {minutes_told(item):>6}  {item_told(item)}"
    if not any(item.is_passage for item in plan.items):
        yield "Nothing to come back to. Set a goal, or name a score: companion today --score SCORE"
    yield from due_told(shown.due, date.fromisoformat(plan.day))
    for warning in plan.warnings:
        yield f"Note: {warning}"


def _record(shown: Today) -> object:
    plan: dict[str, object] = msgspec.to_builtins(shown.plan)
    due = list(due_told(shown.due, date.fromisoformat(shown.plan.day)))
    return {**plan, "done": list(shown.done), "due": due}
