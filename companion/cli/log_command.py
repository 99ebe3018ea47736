"""`companion log`: what was practised, when and how it went; with a word, more than look."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from companion.cli import log_dates_command, log_entries_command, log_files_command
from companion.cli.shared_options import ask_json, ask_words, folders_of, print_json, word_asked
from companion.errors import RequestError
from companion.files.score_paths import as_path, existing_file
from companion.journal.log_entries import (
    logged_attempts,
    logged_entries,
    session_told,
    sessions_as_json,
    sittings,
)
from companion.journal.log_exchange import log_as_json
from companion.practice.attempt import Attempt
from companion.practice.entry import LogEntry
from companion.score.cache import digest
from companion.wording.log_sentences import attempt_told, entry_told

_EMPTY = "Nothing is in the log for this. Begin with companion demo, or companion open SCORE."

WORDS = (*log_entries_command.WORDS, *log_dates_command.WORDS, *log_files_command.WORDS)
"""What the command does beside showing the log."""

_SHOWN = 8
"""Letters of an id that `--ids` shows."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--json] [--ids] [--sessions] [--part P] [--score SCORE] [--last N] [WORD …]."""
    ask_json(parser)
    parser.add_argument("--ids", action="store_true", help="begin each line with its id")
    parser.add_argument(
        "--sessions",
        action="store_true",
        help="tell what followed without a long break as one, of all scores",
    )
    parser.add_argument("--part", metavar="P", help="only this part, by name or id")
    parser.add_argument("--score", metavar="SCORE", help="only this score, wherever it lay then")
    parser.add_argument("--last", metavar="N", type=int, help="only the N latest lines")
    parser.epilog = "Without a word it shows the log, newest first."
    ask_words(parser, WORDS, needed=False)


def run(args: argparse.Namespace) -> int:
    """Do what the word says; without one print the log, newest first."""
    if word := word_asked(args, WORDS):
        return word.run(args)
    if args.last is not None and args.last < 1:
        raise RequestError(f"--last {args.last} asks for nothing", next="Ask for 1 or more.")
    if args.sessions:
        return _sessions(args)
    key = digest(existing_file(as_path(args.score)).read_bytes()) if args.score else None
    folders = folders_of(args)
    tried = logged_attempts(folders, part=args.part, digest=key, last=args.last)
    free = [] if args.part or key else logged_entries(folders, last=args.last)
    if args.json:
        print_json(log_as_json(tried, free))
        return 0
    found: list[Attempt | LogEntry] = [*tried, *free]
    newest = sorted(found, key=lambda one: one.at.timestamp(), reverse=True)[: args.last]
    for line in _told(newest, with_ids=args.ids):
        print(line)
    if not found:
        print(_EMPTY)
    return 0


def _sessions(args: argparse.Namespace) -> int:
    found = sittings(folders_of(args), args.last)
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
