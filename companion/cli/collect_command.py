"""`companion collect REPORT…`: the table of a class."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from companion.cli.shared_options import ask_json, print_json
from companion.errors import CompanionError
from companion.files.score_paths import as_path
from companion.files.whole_file import write_whole
from companion.publish.report.class_export import class_csv, class_record
from companion.publish.report.class_page import (
    COLUMNS,
    class_page,
    failing,
    summary,
)
from companion.publish.report.class_table import Collected, collect
from companion.publish.report.report_file import ABOUT
from companion.publish.report.report_page import safe_text
from companion.wording.phrases import bars_told, counted

_SHOWN_HARD = 5


def arguments(parser: argparse.ArgumentParser) -> None:
    """The reports, and where the tables go."""
    parser.add_argument(
        "reports",
        nargs="+",
        metavar="REPORT",
        help="files made by companion report, or folders of them",
    )
    parser.add_argument(
        "--csv", metavar="FILE", help="write a spreadsheet: a line for each passage and drill"
    )
    parser.add_argument("--html", metavar="FILE", help="write a web page")
    ask_json(parser)
    parser.epilog = (
        "Files that are damaged, edited, from a later version or not reports are named and left "
        "out. Reports with the same name belong to one student; nothing is counted twice. " + ABOUT
    )


def run(args: argparse.Namespace) -> int:
    """Print the table, write the files, name what was left out."""
    collected = collect(as_path(one) for one in args.reports)
    for problem in collected.left_out:
        print(f"companion: left out: {safe_text(problem.sentence(), 500)}", file=sys.stderr)
    if not collected.reports:
        raise CompanionError(
            "there are no reports here", next="Name files made by companion report."
        )
    if args.csv:
        _write(as_path(args.csv), class_csv(collected.students))
    if args.html:
        _write(as_path(args.html), class_page(collected).encode())
    if args.json:
        print_json(class_record(collected))
        return 0
    for line in _told(collected):
        print(line)
    return 0


def _write(path: Path, content: bytes) -> None:
    write_whole(path, content)


def _told(collected: Collected) -> Iterator[str]:
    rows = [COLUMNS, *map(summary, collected.students)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (word.ljust(width) for word, width in zip(row, widths, strict=True))
        yield "  ".join(cells).rstrip()
    if collected.hard:
        yield ""
        yield "Hard for many:"
    for one in collected.hard[:_SHOWN_HARD]:
        yield (
            f"  {safe_text(one.title)}, {safe_text(bars_told(one.first, one.last, one.label))}: "
            f"{failing(one)} of attempts did not hold "
            f"({counted(one.students, 'student')}; {safe_text(', '.join(one.parts))})"
        )
