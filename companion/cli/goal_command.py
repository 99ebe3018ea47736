"""`companion goal`: what practice is for, set, listed and given up."""

from __future__ import annotations

import argparse
from datetime import date

from companion.cli.shared_options import (
    BARS_HELP,
    ask_json,
    ask_part,
    folders_of,
    open_score_of,
    print_json,
)
from companion.errors import RequestError
from companion.practice.attempt import Bars
from companion.practice.goal import Goal, OccasionKind
from companion.rhythm.tempo import parse_bpm
from companion.score.bar_numbers import find_bars
from companion.session.goals import give_up_goal, goals, set_goal_by
from companion.session.open_score import part_meant
from companion.session.typed_dates import day_to_come
from companion.wording.plan_sentences import goal_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """[SCORE [--part P] --bars A-B (--tempo BPM [--by DATE] | --off)]."""
    parser.add_argument("score", metavar="SCORE", nargs="?", help="if left out, list the goals")
    ask_part(parser)
    parser.add_argument("--bars", metavar="A-B", help=BARS_HELP)
    parser.add_argument("--tempo", metavar="BPM", help="felt beats a minute of that part")
    parser.add_argument("--by", metavar="DATE", help="a day, such as thursday or 2026-05-02")
    parser.add_argument(
        "--for",
        dest="what",
        choices=[kind.value for kind in OccasionKind],
        help="kind of day; default: as the log has that day, else concert",
    )
    parser.add_argument("--off", action="store_true", help="remove the goal of these bars")
    ask_json(parser)
    parser.epilog = (
        "A new goal replaces the earlier one. For dates without a goal: companion log date."
    )


def run(args: argparse.Namespace) -> int:
    """Do it and tell it."""
    if not args.score:
        return _listed(args)
    if not (args.bars and (args.tempo or args.off)):
        raise RequestError(
            "a goal needs --bars and --tempo", next="Give both, or --bars and --off."
        )
    goal, by = _given_up(args) if args.off else _set(args)
    if args.json:
        print_json(_record(goal, by))
    else:
        print(("removed: " if args.off else "") + goal_told(goal, by))
    return 0


def _listed(args: argparse.Namespace) -> int:
    found = goals(folders_of(args))
    if args.json:
        print_json({"goals": [_record(goal, by) for goal, by in found]})
        return 0
    for goal, by in found:
        print(goal_told(goal, by))
    if not found:
        print("No goals are set. Set one: companion goal SCORE --bars … --tempo …")
    return 0


def _given_up(args: argparse.Namespace) -> tuple[Goal, date | None]:
    open_score = open_score_of(args)
    part = open_score.score.parts[part_meant(open_score, args.part)].id
    first, last = find_bars(open_score.clock, args.bars)
    return give_up_goal(folders_of(args), Bars(open_score.digest, part, first, last)), None


def _set(args: argparse.Namespace) -> tuple[Goal, date | None]:
    by = day_to_come(args.by) if args.by else None
    bpm = parse_bpm(args.tempo)
    open_score = open_score_of(args)
    what = OccasionKind(args.what) if args.what else None
    return set_goal_by(folders_of(args), open_score, args.part or "", args.bars, bpm, by, what), by


def _record(goal: Goal, by: date | None) -> dict[str, object]:
    return {
        "score": {"title": goal.score_title, "digest": goal.bars.score_digest},
        "part": {"id": goal.bars.part_id, "name": goal.part_name},
        "first": goal.bars.first,
        "last": goal.bars.last,
        "printed": goal.bars_label,
        "tempo": str(goal.tempo),
        "beat": goal.beat,
        "by": by.isoformat() if by else None,
    }
