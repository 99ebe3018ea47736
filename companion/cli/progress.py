"""`companion progress`: minutes, a part bar by bar, one passage and why it stands so."""

from __future__ import annotations

import argparse

from companion.cli.asking import ask_json, folders_of, stand_of
from companion.cli.progress_shown import show_minutes, show_part, show_passage, write_week
from companion.desk.progress.history import history
from companion.desk.progress.part import part_progress
from companion.desk.progress.weeks import weeks_until
from companion.desk.stand import Stand
from companion.errors import RequestError
from companion.practice.attempt import now
from companion.practice.bars import Bars
from companion.practice.mastery_states import rows
from companion.score.address import find_bars, find_part


def arguments(parser: argparse.ArgumentParser) -> None:
    """[SCORE [--part P [--bars A-B]]] [--weeks N | --week [DAY] | --states] [-o OUT]."""
    parser.add_argument("score", metavar="SCORE", nargs="?", help="a score: its part bar by bar")
    parser.add_argument("--part", metavar="P", help="the part; else the one I chose")
    parser.add_argument("--bars", metavar="A-B", help="one passage, and why it stands so")
    parser.add_argument("--weeks", metavar="N", type=int, default=12, help="weeks shown (12)")
    parser.add_argument(
        "--week", metavar="DAY", nargs="?", const="", help="one week as a page of Markdown"
    )
    parser.add_argument("--states", action="store_true", help="what moves a passage up and down")
    parser.add_argument("-o", "--out", metavar="OUT", help="OUT.svg, OUT.png; with --week OUT.md")
    ask_json(parser)


def run(args: argparse.Namespace) -> int:
    """Show what was asked for, or write it."""
    folders, at = folders_of(args), now()
    if args.states:
        for way, how, when in rows():
            print(f"{way:>5}  {how:<22}{when}")
        return 0
    if args.week is not None:
        return write_week(args, folders, at)
    if args.score is None:
        return show_minutes(args, weeks_until(folders, at, args.weeks))
    stand = stand_of(args)
    index = _part(stand, args.part or "")
    if args.bars:
        first, last = find_bars(stand.clock, args.bars)
        bars = Bars(stand.digest, stand.score.parts[index].id, first, last)
        return show_passage(args, history(folders, bars, at))
    return show_part(args, part_progress(folders, stand, index, at))


def _part(stand: Stand, named: str) -> int:
    chosen = named or stand.choices.part
    if not chosen:
        raise RequestError(
            "it is not settled which part is yours", next="Add --part, or use companion settle."
        )
    return find_part(stand.score, chosen)
