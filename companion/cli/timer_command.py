"""`companion timer start`, `stop`, `status`: minutes of what is no passage."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import (
    Subcommand,
    ask_json,
    ask_words,
    folders_of,
    print_json,
    word_asked,
)
from companion.journal.timing import (
    Stop,
    drop_timer,
    running_timer,
    start_timer,
    stop_timer,
    timer_told,
)
from companion.practice.entry import Activity, activity_named
from companion.practice.timer import Timer
from companion.session.typed_dates import minutes_typed, moment_typed
from companion.wording.log_sentences import entry_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """Start, stop or status."""
    ask_words(parser, WORDS, needed=True)


def run(args: argparse.Namespace) -> int:
    """Do what the word says."""
    word = word_asked(args, WORDS)
    return word.run(args) if word else 2


def _ask_start(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--what", metavar="WHAT", default=Activity.OTHER.value, help=", ".join(Activity)
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="in your own words")


def _start(args: argparse.Namespace) -> int:
    timer = start_timer(folders_of(args), activity_named(args.what), args.note)
    print(f"started at {timer.started:%H:%M}: {timer.what}")
    return 0


def _ask_stop(parser: argparse.ArgumentParser) -> None:
    when = parser.add_mutually_exclusive_group()
    when.add_argument("--until", metavar="TIME", help="when it ended: 18:30 or yesterday 18:30")
    when.add_argument("--minutes", metavar="N", help="how long")
    when.add_argument("--last-sign", action="store_true", help="it ended when the program last ran")
    when.add_argument("--discard", action="store_true", help="discard it")
    parser.add_argument("--note", metavar="TEXT", help="in your own words")


def _stop(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    if args.discard:
        print(f"discarded: {drop_timer(folders).what}")
        return 0
    how = Stop(
        until=moment_typed(args.until) if args.until else None,
        at_last_sign=args.last_sign,
        seconds=minutes_typed(args.minutes) if args.minutes else None,
        note=args.note,
    )
    print(f"noted: {entry_told(stop_timer(folders, how))}")
    return 0


def _status(args: argparse.Namespace) -> int:
    timer = running_timer(folders_of(args))
    if args.json:
        print_json({"timer": _plain(timer) if timer else None})
    else:
        print(f"{timer_told(timer)}." if timer else "No timer is running.")
    return 0


def _plain(timer: Timer) -> dict[str, object]:
    return {
        "id": timer.id,
        "what": timer.what.value,
        "note": timer.note,
        "started": timer.started.isoformat(),
        "last_sign": timer.last_sign.isoformat() if timer.last_sign else None,
    }


WORDS = (
    Subcommand("start", "start timing", _ask_start, _start),
    Subcommand("stop", "stop, and log the time", _ask_stop, _stop),
    Subcommand("status", "show the running timer", ask_json, _status),
)
"""Its words."""
