"""`companion goal SCORE --part P --bars A-B --tempo BPM [--by DATE]`: what practice is for."""

from __future__ import annotations

import argparse

from companion.cli.asking import ask_json, ask_score, folders_of, print_json, stand_of
from companion.desk.goal_by import set_goal_by
from companion.desk.moments import day_typed
from companion.desk.telling_attempts import number_told
from companion.practice.dates_told import day_told
from companion.practice.occasion import Kind
from companion.rhythm.tempo import parse_bpm


def arguments(parser: argparse.ArgumentParser) -> None:
    """The passage, the tempo it is to hold at, and by when."""
    ask_score(parser)
    parser.add_argument("--part", required=True, help="name, beginning of one, or number from 1")
    parser.add_argument(
        "--bars", required=True, metavar="A-B", help="such as 97-100, II:225-230 or C-C+3"
    )
    parser.add_argument(
        "--tempo", required=True, metavar="BPM", help="felt beats a minute of that part"
    )
    parser.add_argument("--by", metavar="DATE", help="a day, such as 2026-05-02")
    parser.add_argument(
        "--for",
        dest="what",
        choices=[kind.value for kind in Kind],
        default=Kind.CONCERT.value,
        help="what that day is (concert)",
    )
    ask_json(parser)
    parser.epilog = "A goal set again replaces the one before; companion log goal lists them."


def run(args: argparse.Namespace) -> int:
    """Set the goal and tell it."""
    by = day_typed(args.by) if args.by else None
    bpm = parse_bpm(args.tempo)
    stand = stand_of(args)
    goal = set_goal_by(folders_of(args), stand, args.part, args.bars, bpm, by, Kind(args.what))
    if args.json:
        print_json(
            {
                "score": {"title": goal.score_title, "digest": goal.bars.score_digest},
                "part": {"id": goal.bars.part_id, "name": goal.part_name},
                "first": goal.bars.first,
                "last": goal.bars.last,
                "printed": goal.bars_label,
                "tempo": str(goal.tempo),
                "beat": goal.beat,
                "by": by.isoformat() if by else None,
            }
        )
    else:
        until = f", by {day_told(by)}" if by else ""
        tempo = f"{goal.beat} = {number_told(goal.tempo)}"
        print(f"{goal.score_title}: {goal.part_name} {goal.bars_label}, {tempo}{until}")
    return 0
