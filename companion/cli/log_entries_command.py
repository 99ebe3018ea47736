"""`companion log add`, `correct_entry` and `day`: what is put into the log by hand."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import Subcommand, folders_of
from companion.journal.log_entries import (
    EntryChange,
    add_entry,
    correct_entry,
    day_end_of,
    keep_day_end,
)
from companion.practice.attempt import Attempt, Outcome, now, outcome_named
from companion.practice.entry import Activity, LogEntry, activity_named
from companion.practice.practice_day import parse_day_end
from companion.session.typed_dates import minutes_typed, moment_typed
from companion.wording.log_sentences import attempt_told, entry_told


def _ask_add(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--what", metavar="WHAT", required=True, help=", ".join(Activity))
    parser.add_argument("--minutes", metavar="N", required=True, help="how long it was")
    parser.add_argument("--note", metavar="TEXT", default="", help="in your own words")
    parser.add_argument(
        "--at", metavar="TIME", help="when it ended: 18:30, 2026-03-01 or both; now if not given"
    )


def _add(args: argparse.Namespace) -> int:
    entry = LogEntry(
        what=activity_named(args.what),
        seconds=minutes_typed(args.minutes),
        note=args.note,
        at=moment_typed(args.at) if args.at else now(),
    )
    print(f"noted: {entry_told(add_entry(folders_of(args), entry))}")
    return 0


def _ask_correct(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("id", metavar="ID", help="as companion log --ids shows it, or longer")
    parser.add_argument("--outcome", metavar="WORD", help=f"of an attempt: {', '.join(Outcome)}")
    parser.add_argument("--note", metavar="TEXT", help="in place of the one there was")
    parser.add_argument("--what", metavar="WHAT", help=f"of a free entry: {', '.join(Activity)}")
    parser.add_argument("--minutes", metavar="N", help="of a free entry")
    parser.add_argument("--withdraw", action="store_true", help="take a free entry back")
    parser.epilog = "What it said before is kept, and is in companion log export --format json."


def _correct(args: argparse.Namespace) -> int:
    change = EntryChange(
        outcome=outcome_named(args.outcome) if args.outcome else None,
        note=args.note,
        what=activity_named(args.what) if args.what else None,
        seconds=minutes_typed(args.minutes) if args.minutes else None,
        withdraw=args.withdraw,
    )
    found = correct_entry(folders_of(args), args.id, change)
    told = attempt_told(found) if isinstance(found, Attempt) else entry_told(found)
    print(f"withdrawn: {told}" if args.withdraw else f"now: {told}")
    return 0


def _ask_day(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("hour", metavar="HOUR", nargs="?", help="such as 4 or 3:30")


def _day(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    if args.hour:
        keep_day_end(folders, parse_day_end(args.hour))
    print(f"A day of practice ends at {day_end_of(folders):%H:%M}.")
    return 0


WORDS = (
    Subcommand("add", "note practice that is no passage: scales, a lesson …", _ask_add, _add),
    Subcommand("correct", "correct an entry; what it said before is kept", _ask_correct, _correct),
    Subcommand("day", "show or set the hour at which a day of practice ends", _ask_day, _day),
)
"""Its words."""
