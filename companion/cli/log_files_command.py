"""`companion log export`, `import`, `backup`, `restore` and `check`."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import Subcommand, folders_of
from companion.files.score_paths import as_path
from companion.journal.log_exchange import (
    FORMATS,
    back_up_log,
    check_log,
    export_log,
    import_log,
    restore_log,
)
from companion.practice.attempt import now
from companion.publish.due_calendar import export_calendar


def _ask_export(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--format",
        choices=(*FORMATS, "ics"),
        required=True,
        help="csv: a table; json: all of it, for import; ics: what is due, for a calendar",
    )
    parser.add_argument("-o", "--out", metavar="FILE", required=True, help="where to")


def _export(args: argparse.Namespace) -> int:
    folders, out = folders_of(args), as_path(args.out)
    is_calendar = args.format == "ics"
    done = (
        export_calendar(folders, out, now())
        if is_calendar
        else export_log(folders, args.format, out)
    )
    print(f"{done.path}: {done.told}")
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
    print(f"new here: {told}" if told else "Nothing in it was new here.")
    return 0


def _backup(args: argparse.Namespace) -> int:
    path = as_path(args.file)
    carried = back_up_log(folders_of(args), path)
    print(f"{path}: a copy of the whole log")
    if carried:
        print(
            "Which bars of corrected editions are which is kept beside the log and not in it: "
            "companion log export --format json has that too."
        )
    return 0


def _restore(args: argparse.Namespace) -> int:
    kept = restore_log(folders_of(args), as_path(args.file))
    print(f"restored; the log that was here is kept as {kept}" if kept else "restored")
    return 0


def _ask_nothing(parser: argparse.ArgumentParser) -> None:
    """It takes no arguments."""


def _check(args: argparse.Namespace) -> int:
    found = check_log(folders_of(args))
    for problem in found:
        print(problem)
    if not found:
        print("The log is whole.")
    return 1 if found else 0


WORDS = (
    Subcommand("export", "write the log to a file for other programs", _ask_export, _export),
    Subcommand(
        "import", "join a JSON export, of another machine too, to the log", _ask_file, _import
    ),
    Subcommand("backup", "copy the whole log into one file", _ask_file, _backup),
    Subcommand("restore", "put a backup in the log's place; that one is kept", _ask_file, _restore),
    Subcommand("check", "look whether the log is whole", _ask_nothing, _check),
)
"""Its words."""
