"""`companion log date`: concerts and lessons, put down, moved and called off."""

from __future__ import annotations

import argparse
from dataclasses import replace

from companion.cli.shared_options import Subcommand, folders_of
from companion.errors import RequestError
from companion.files.score_paths import as_path, existing_file
from companion.practice.goal import Occasion, OccasionKind
from companion.score.cache import digest
from companion.session.goals import date_named, dates, set_date
from companion.session.typed_dates import day_typed


def _ask_date(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("day", metavar="DAY", nargs="?", help="2026-05-02; none: list the dates")
    parser.add_argument("--what", choices=[kind.value for kind in OccasionKind], help="what it is")
    parser.add_argument("--name", metavar="TEXT", help="your own name for it")
    parser.add_argument("--score", metavar="SCORE", help="the score it is about, if it is one")
    parser.add_argument("--move", metavar="DATE", help="change this date, by its day or its id")
    parser.add_argument("--off", action="store_true", help="with --move: it is called off")


def _date(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    if not args.day and not args.move:
        for occasion in dates(folders):
            print(f"{occasion.id[:8]} · {_date_told(occasion)}")
        return 0
    if args.move:
        before = date_named(folders, args.move)
    elif args.day and args.what:
        before = Occasion(day=day_typed(args.day), kind=OccasionKind(args.what))
    else:
        raise RequestError("a date needs to say what it is", next="Add --what concert or lesson.")
    print(_date_told(set_date(folders, _changed(before, args))))
    return 0


def _changed(before: Occasion, args: argparse.Namespace) -> Occasion:
    about = digest(existing_file(as_path(args.score)).read_bytes()) if args.score else None
    return replace(
        before,
        day=day_typed(args.day) if args.day else before.day,
        kind=OccasionKind(args.what) if args.what else before.kind,
        name=before.name if args.name is None else args.name,
        score_digest=before.score_digest if about is None else about,
        is_withdrawn=args.off,
    )


def _date_told(occasion: Occasion) -> str:
    off = "called off" if occasion.is_withdrawn else ""
    day, kind = occasion.day.isoformat(), occasion.kind.value
    return " · ".join(filter(None, (day, kind, occasion.name, off)))


WORDS = (
    Subcommand("date", "put down a concert or a lesson; alone, list the dates", _ask_date, _date),
)
"""Its words."""
