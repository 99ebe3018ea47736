"""`companion today`: what today is for, given the minutes there are."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial

import msgspec

from companion.cli.shared_options import (
    ask_json,
    ask_part,
    folders_of,
    open_score_of,
    print_json,
    whole,
)
from companion.practice.attempt import now
from companion.practice.plan import day_plan
from companion.practice.plan.day_plan import DayPlan
from companion.session.todays_plan import DayRequest, Today, change_plan, today
from companion.wording.exercise_sentences import due_told
from companion.wording.phrases import counted, day_told
from companion.wording.plan_sentences import item_told, minutes_told, reason_told, warnings_told

_NOTHING_DUE = "Nothing is due. Set a goal, or name a score: companion today --score SCORE"
_ALL_SKIPPED = "All skipped; companion today --afresh makes a new plan."


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--minutes N] [--score SCORE [--part P]] and what to do with the plan."""
    parser.add_argument("--minutes", metavar="N", type=whole, help="minutes you have")
    parser.add_argument("--score", metavar="SCORE", help="only this score, with new passages too")
    ask_part(parser)
    parser.add_argument(
        "--accept",
        action="store_true",
        help="accept the plan; what is not played is planned again tomorrow",
    )
    parser.add_argument("--skip", metavar="N", type=whole, help="skip item N today")
    parser.add_argument("--replace", metavar="N", type=whole, help="another item instead of N")
    parser.add_argument(
        "--move", metavar=("N", "TO"), type=whole, nargs=2, help="move item N to place TO"
    )
    parser.add_argument(
        "--afresh", action="store_true", help="make a new plan; skipped items may return"
    )
    ask_json(parser)
    parser.epilog = (
        "A passage is due when the scheduler expects it to fade. The scheduler was made for facts; "
        "that it suits playing is an assumption. Rest, and stop if something hurts: about pain, "
        "ask your teacher or a doctor."
    )


def run(args: argparse.Namespace) -> int:
    """Show the plan, changed where that is asked for."""
    folders = folders_of(args)
    day_request = DayRequest(
        minutes=args.minutes,
        open_score=open_score_of(args) if args.score else None,
        part=args.part or "",
        is_afresh=args.afresh,
    )
    shown = today(folders, now(), day_request)
    for how in _changes(args):
        shown = change_plan(folders, shown, how)
    if args.json:
        print_json(_record(shown))
    else:
        for line in today_told(shown):
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


def today_told(shown: Today) -> Iterator[str]:
    """The plan in lines for a person."""
    plan = shown.plan
    taken = ", accepted" if plan.is_accepted else ""
    day = date.fromisoformat(plan.day)
    yield f"{day_told(day)}, {counted(plan.minutes, 'minute')}{taken}"
    for number, (item, is_done) in enumerate(zip(plan.items, shown.done, strict=True), 1):
        mark = "✓" if is_done else " "
        yield f"{number:>3} {mark} {minutes_told(item):>6}  {item_told(item, day)}"
    if not any(item.is_passage for item in plan.items):
        yield _ALL_SKIPPED if plan.skipped else _NOTHING_DUE
    yield from (due_told(one, day) for one in shown.due)
    for warning in warnings_told(plan):
        yield f"Note: {warning}"


def _record(shown: Today) -> object:
    plan, day = shown.plan, date.fromisoformat(shown.plan.day)
    told = msgspec.to_builtins(plan)
    records = (*told["items"], *told["spare"])
    for item, record in zip((*plan.items, *plan.spare), records, strict=True):
        record |= {"why": reason_told(item, day), "reason": record["why"]}
    return told | {
        "warnings": list(warnings_told(plan)),
        "done": list(shown.done),
        "due": [due_told(one, day) for one in shown.due],
    }
