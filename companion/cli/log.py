"""`companion log`: what was practised, when and how it went, in lines or as JSON."""

from __future__ import annotations

import argparse

from companion.cli.asking import ask_json, folders_of, print_json
from companion.desk.attempts import attempts
from companion.desk.finding import as_path, existing
from companion.desk.telling_attempts import attempt_told
from companion.errors import RequestError
from companion.practice.attempt import Attempt
from companion.score.cache import digest

EMPTY = "Nothing is in the log for this. Begin with companion demo, or companion open SCORE."


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--json] [--part P] [--score SCORE] [--last N]."""
    ask_json(parser)
    parser.add_argument("--part", metavar="P", help="only this part, by name or id")
    parser.add_argument("--score", metavar="SCORE", help="only this score, wherever it lay then")
    parser.add_argument("--last", metavar="N", type=int, help="only the N latest attempts")


def run(args: argparse.Namespace) -> int:
    """Print the log, newest first."""
    if args.last is not None and args.last < 1:
        raise RequestError(f"--last {args.last} asks for nothing", next="Ask for 1 or more.")
    key = digest(existing(as_path(args.score)).read_bytes()) if args.score else None
    found = attempts(folders_of(args), part=args.part, digest=key, last=args.last)
    if args.json:
        print_json({"attempts": [_plain(attempt) for attempt in found]})
    else:
        for attempt in found:
            print(attempt_told(attempt))
        if not found:
            print(EMPTY)
    return 0


def _plain(attempt: Attempt) -> dict[str, object]:
    """An attempt for a program: exact tempo as a fraction in text, time as ISO 8601."""
    return {
        "id": attempt.id,
        "at": attempt.at.isoformat(),
        "score": {
            "title": attempt.score_title,
            "digest": attempt.score_digest,
            "path": attempt.score_path,
        },
        "part": {"id": attempt.part_id, "name": attempt.part_name},
        "first": attempt.first_bar,
        "last": attempt.last_bar,
        "printed": attempt.bars_label,
        "tempo": str(attempt.tempo),
        "beat": attempt.beat,
        "layers": list(attempt.layers),
        "repetitions": attempt.repetitions,
        "seconds": attempt.seconds,
        "outcome": attempt.outcome.value,
        "note": attempt.note,
    }
