"""`companion log`: what was practised, when and how it went; with a word, more than look."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace

from companion.cli.shared_options import (
    BARS_HELP,
    Subcommand,
    ask_json,
    ask_part,
    ask_words,
    folders_of,
    open_score_of,
    print_json,
    whole,
    word_asked,
)
from companion.errors import RequestError
from companion.files.file_kind import plain_file
from companion.files.score_paths import as_path
from companion.journal.log_entries import (
    EntryChange,
    add_entry,
    correct_entry,
    day_end_of,
    keep_day_end,
    latest_sessions,
    logged,
    logged_attempts,
    logged_entries,
    mark_unreadable,
    sessions_as_json,
)
from companion.journal.log_exchange import (
    FORMATS,
    back_up_log,
    check_log,
    export_log,
    import_log,
    log_as_json,
    restore_log,
)
from companion.journal.unreadable_rows import is_row_name
from companion.practice.attempt import Attempt, Outcome, now, outcome_named
from companion.practice.entry import Activity, LogEntry, activity_named
from companion.practice.goal import Occasion, OccasionKind
from companion.practice.practice_day import parse_day_end
from companion.publish.due_calendar import export_calendar
from companion.rhythm.tempo import parse_bpm
from companion.score.cache import digest
from companion.session.goals import date_named, dates, set_date
from companion.session.practice_away import PracticeAway, add_practice_away
from companion.session.typed_dates import day_typed, minutes_typed, moment_typed
from companion.wording.log_sentences import attempt_told, entry_told, session_told
from companion.wording.phrases import written_told

_EMPTY = "Nothing is in the log for this. Begin with companion demo, or companion open SCORE."

_SHOWN = 8
"""Letters of an id that `--ids` shows."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--json] [--ids] [--sessions] [--part P] [--score SCORE] [--last N] [WORD …]."""
    ask_json(parser)
    parser.add_argument("--ids", action="store_true", help="begin each line with its id")
    parser.add_argument(
        "--sessions",
        action="store_true",
        help="join what followed without a long break, across all scores",
    )
    parser.add_argument("--part", metavar="P", help="only this part, by name or id")
    parser.add_argument("--score", metavar="SCORE", help="only this score")
    parser.add_argument("--last", metavar="N", type=whole, help="only the N latest lines")
    parser.epilog = "Without a word it shows the log, newest first."
    ask_words(parser, WORDS, needed=False)


def run(args: argparse.Namespace) -> int:
    """Do what the word says; without one print the log, newest first."""
    if word := word_asked(args, WORDS):
        return word.run(args)
    if args.last is not None and args.last < 1:
        raise RequestError(f"--last {args.last} is less than 1", next="Choose 1 or more.")
    if args.sessions:
        return _sessions(args)
    key = digest(plain_file(as_path(args.score)).read_bytes()) if args.score else None
    folders = folders_of(args)
    if args.json:
        tried = logged_attempts(folders, part=args.part, digest=key, last=args.last)
        free = [] if args.part or key else logged_entries(folders, last=args.last)
        print_json(log_as_json(tried, free))
        return 0
    found = logged(folders, part=args.part, digest=key, last=args.last)
    for line in _told(found, with_ids=args.ids):
        print(line)
    if not found:
        print(_EMPTY)
    return 0


def _sessions(args: argparse.Namespace) -> int:
    found = latest_sessions(folders_of(args), args.last)
    if args.json:
        print_json({"sessions": sessions_as_json(found)})
        return 0
    for session in found:
        print(session_told(session))
    if not found:
        print(_EMPTY)
    return 0


def _told(found: list[Attempt | LogEntry], *, with_ids: bool) -> Iterator[str]:
    for one in found:
        told = attempt_told(one) if isinstance(one, Attempt) else entry_told(one)
        yield f"{one.id[:_SHOWN]} · {told}" if with_ids else told


# What is put into the log by hand: `log add`, `correct` and `day`.


def _ask_add(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--what", metavar="WHAT", help=", ".join(Activity))
    parser.add_argument("--score", metavar="SCORE", help="a passage of this score instead")
    ask_part(parser)
    parser.add_argument("--bars", metavar="A-B", help=BARS_HELP)
    parser.add_argument("--tempo", metavar="BPM", help="felt beats a minute of that part")
    parser.add_argument("--outcome", metavar="WORD", help=f"how it went: {', '.join(Outcome)}")
    parser.add_argument("--click", action="store_true", help="of a passage: with a click")
    parser.add_argument(
        "--minutes", metavar="N", help="how long; for a passage, once through if left out"
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="in your own words")
    parser.add_argument(
        "--at",
        metavar="TIME",
        help="when it ended: 18:30, yesterday, thursday 18:30, 2026-03-01; default: now",
    )


_OF_PASSAGE = ("part", "bars", "tempo", "outcome")


def _add(args: argparse.Namespace) -> int:
    given = [name for name in _OF_PASSAGE if getattr(args, name)]
    if args.score:
        return _add_passage(args, given)
    if given or args.click:
        raise RequestError(
            f"--{(given or ['click'])[0]} belongs to a passage, and no score is named",
            next="Add --score.",
        )
    if not args.what or not args.minutes:
        raise RequestError(
            "practice without a score needs --what and --minutes",
            next="Give both, or --score with --bars, --tempo and --outcome.",
        )
    entry = LogEntry(
        what=activity_named(args.what),
        seconds=minutes_typed(args.minutes),
        note=args.note,
        at=moment_typed(args.at) if args.at else now(),
    )
    print(f"noted: {entry_told(add_entry(folders_of(args), entry))}")
    return 0


def _add_passage(args: argparse.Namespace, given: list[str]) -> int:
    missing = [f"--{name}" for name in _OF_PASSAGE[1:] if name not in given]
    if missing or args.what:
        told = f"needs {', '.join(missing)} too" if missing else "has no --what"
        raise RequestError(f"a passage {told}", next="Give --score, --bars, --tempo and --outcome.")
    practice = PracticeAway(
        part=args.part or "",
        bars=args.bars,
        bpm=parse_bpm(args.tempo),
        outcome=outcome_named(args.outcome),
        at=moment_typed(args.at) if args.at else now(),
        seconds=minutes_typed(args.minutes) if args.minutes else None,
        note=args.note,
        layers=("beat",) if args.click else (),
    )
    noted = add_practice_away(folders_of(args), open_score_of(args), practice)
    print(f"noted: {attempt_told(noted)}")
    return 0


def _ask_correct(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("id", metavar="ID", help="as companion log --ids shows it")
    parser.add_argument("--outcome", metavar="WORD", help=f"of an attempt: {', '.join(Outcome)}")
    parser.add_argument("--note", metavar="TEXT", help="a new note")
    parser.add_argument("--what", metavar="WHAT", help=f"of a free entry: {', '.join(Activity)}")
    parser.add_argument("--minutes", metavar="N", help="of a free entry")
    parser.add_argument("--at", metavar="TIME", help="of a free entry: when it ended")
    back = parser.add_mutually_exclusive_group()
    back.add_argument("--withdraw", action="store_true", help="delete it; --restore undoes that")
    back.add_argument("--restore", action="store_true", help="bring back what was deleted")
    parser.epilog = "The earlier version is kept; companion log export --format json has it."


def _correct(args: argparse.Namespace) -> int:
    if is_row_name(args.id):
        return _mark_unreadable(args)
    change = EntryChange(
        outcome=outcome_named(args.outcome) if args.outcome else None,
        note=args.note,
        what=activity_named(args.what) if args.what else None,
        seconds=minutes_typed(args.minutes) if args.minutes else None,
        withdraw=args.withdraw if args.withdraw or args.restore else None,
        at=moment_typed(args.at) if args.at else None,
    )
    found = correct_entry(folders_of(args), args.id, change)
    told = attempt_told(found) if isinstance(found, Attempt) else entry_told(found)
    print(f"withdrawn: {told}" if found.is_withdrawn else f"now: {told}")
    if args.withdraw:
        print(f"To bring it back: companion log correct {found.id[:_SHOWN]} --restore")
    return 0


def _mark_unreadable(args: argparse.Namespace) -> int:
    if not args.withdraw and not args.restore:
        raise RequestError("it cannot be read", where=args.id, next="Add --withdraw to delete it.")
    mark_unreadable(folders_of(args), args.id, is_deleted=args.withdraw)
    if args.withdraw:
        print(f"deleted. To bring it back: companion log correct {args.id} --restore")
    else:
        print(f"{args.id} is back.")
    return 0


def _ask_day(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("hour", metavar="HOUR", nargs="?", help="such as 4 or 3:30")


def _day(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    if args.hour:
        keep_day_end(folders, parse_day_end(args.hour))
    print(f"A day of practice ends at {day_end_of(folders):%H:%M}.")
    return 0


# Concerts and lessons, put down, moved and called off: `log date`.


def _ask_date(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "day",
        metavar="DAY",
        nargs="?",
        help="thursday, 2026-05-02; if left out, list the dates",
    )
    parser.add_argument(
        "--what", choices=[kind.value for kind in OccasionKind], help="kind of date"
    )
    parser.add_argument("--name", metavar="TEXT", help="your own name for it")
    parser.add_argument("--score", metavar="SCORE", help="the score it is for")
    parser.add_argument("--move", metavar="DATE", help="change this date, by its day or its id")
    parser.add_argument("--off", action="store_true", help="with --move: cancel it")


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
        raise RequestError("a date needs a kind", next="Add --what concert or lesson.")
    print(_date_told(set_date(folders, _changed(before, args))))
    return 0


def _changed(before: Occasion, args: argparse.Namespace) -> Occasion:
    about = digest(plain_file(as_path(args.score)).read_bytes()) if args.score else None
    return replace(
        before,
        day=day_typed(args.day) if args.day else before.day,
        kind=OccasionKind(args.what) if args.what else before.kind,
        name=before.name if args.name is None else args.name,
        score_digest=before.score_digest if about is None else about,
        is_withdrawn=args.off,
    )


def _date_told(occasion: Occasion) -> str:
    off = "cancelled" if occasion.is_withdrawn else ""
    day, kind = occasion.day.isoformat(), occasion.kind.value
    return " · ".join(filter(None, (day, kind, occasion.name, off)))


# The log as a file: `log export`, `import`, `backup`, `restore` and `check`.


def _ask_export(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--format",
        choices=(*FORMATS, "ics"),
        required=True,
        help="csv: a table; json: everything, for import; ics: what is due, for a calendar",
    )
    parser.add_argument("-o", "--out", metavar="FILE", required=True, help="output file")


def _export(args: argparse.Namespace) -> int:
    folders, out = folders_of(args), as_path(args.out)
    is_calendar = args.format == "ics"
    done = (
        export_calendar(folders, out, now())
        if is_calendar
        else export_log(folders, args.format, out)
    )
    print(written_told(done.path, done.told))
    return 0


def _ask_file(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE")


def _import(args: argparse.Namespace) -> int:
    joined = import_log(folders_of(args), as_path(args.file))
    new = joined.merged
    counts = (
        ("attempts", new.attempts),
        ("corrections", new.corrections),
        ("free entries", new.entries),
        ("goals", new.goals),
        ("dates", new.occasions),
        ("corrected editions", joined.editions),
    )
    told = ", ".join(f"{what} {count}" for what, count in counts if count)
    print(f"new: {told}" if told else "It has nothing new.")
    return 0


def _backup(args: argparse.Namespace) -> int:
    path = as_path(args.file)
    carried = back_up_log(folders_of(args), path)
    print(written_told(path, "a copy of the whole log"))
    if carried:
        print(
            "It does not hold the bars of corrected editions; companion log export --format json "
            "does."
        )
    return 0


def _restore(args: argparse.Namespace) -> int:
    kept = restore_log(folders_of(args), as_path(args.file))
    print(f"restored; the earlier log is kept as {kept}" if kept else "restored")
    return 0


def _ask_nothing(parser: argparse.ArgumentParser) -> None:
    """It takes no arguments."""


def _check(args: argparse.Namespace) -> int:
    found = check_log(folders_of(args))
    for problem in found:
        print(problem)
    if not found:
        print("The log has no faults.")
    return 1 if found else 0


WORDS = (
    Subcommand(
        "add", "add practice away from the screen: scales, a lesson, a passage", _ask_add, _add
    ),
    Subcommand(
        "correct", "correct or delete an entry; all versions are kept", _ask_correct, _correct
    ),
    Subcommand("day", "show or set the hour at which a practice day ends", _ask_day, _day),
    Subcommand("date", "add a concert or a lesson; alone, list the dates", _ask_date, _date),
    Subcommand("export", "write the log to a file for other programs", _ask_export, _export),
    Subcommand("import", "merge a JSON export into the log", _ask_file, _import),
    Subcommand("backup", "copy the whole log into one file", _ask_file, _backup),
    Subcommand(
        "restore", "replace the log with a backup; the old log is kept", _ask_file, _restore
    ),
    Subcommand("check", "check the log for faults", _ask_nothing, _check),
)
"""What the command does besides showing the log."""
