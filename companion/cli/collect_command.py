"""`companion collect REPORT…`: the table of a class."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.errors import CompanionError, RequestError
from companion.files.score_paths import as_path
from companion.files.whole_file import write_whole
from companion.practice.attempt import now
from companion.publish.report.class_export import class_csv, class_record
from companion.publish.report.class_grid import ClassGrid, class_grid
from companion.publish.report.class_page import (
    COLUMNS,
    behind_told,
    class_page,
    failing,
    idle_told,
    summary,
)
from companion.publish.report.class_students import Answers, SameName
from companion.publish.report.class_table import (
    Collected,
    HardBars,
    answers_of,
    collect,
    keep_answers,
)
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
    for option, who in (("--same", "one student's two machines"), ("--different", "two students")):
        parser.add_argument(
            option,
            action="append",
            default=[],
            metavar="ID=ID",
            help=f"two logs of one name are {who}; kept for the next time",
        )
    ask_json(parser)
    parser.epilog = (
        "Files that are damaged, edited, from a later version or not reports are named and left "
        "out. A student may send several reports: nothing is counted twice. If two logs have the "
        "same name and nothing in common, they are kept apart, and on a terminal you are asked. "
        + ABOUT
    )


def run(args: argparse.Namespace) -> int:
    """Print the table, write the files, name what was left out."""
    collected = _collected(args)
    for problem in collected.left_out:
        print(f"companion: left out: {safe_text(problem.sentence(), 500)}", file=sys.stderr)
    if not collected.reports:
        raise CompanionError(
            "there are no reports here", next="Name files made by companion report."
        )
    grid = class_grid(collected.students, now().date())
    if args.csv:
        _write(as_path(args.csv), class_csv(grid.rows))
    if args.html:
        _write(as_path(args.html), class_page(collected, grid).encode())
    if args.json:
        print_json(class_record(collected, grid))
        return 0
    for line in _told(collected, grid):
        print(line)
    return 0


def _collected(args: argparse.Namespace) -> Collected:
    """The class, once it is known who is who so far as the teacher says."""
    folders = folders_of(args)
    answers = answers_of(folders)
    said = [(one, True) for one in args.same] + [(one, False) for one in args.different]
    _answer(answers, said)
    paths = [as_path(one) for one in args.reports]
    collected = collect(paths, answers)
    if collected.unclear and sys.stdin.isatty() and not args.json:
        said += _asked(collected.unclear)
        _answer(answers, said)
        collected = collect(paths, answers)
    if said:
        keep_answers(folders, answers)
    return collected


def _answer(answers: Answers, said: Sequence[tuple[str, bool]]) -> None:
    """Take what was said of pairs of ids in the place of what was said before."""
    for text, is_one in said:
        one, equals, other = text.partition("=")
        pair = (one.strip(), other.strip())
        if not equals or not all(re.fullmatch("[0-9a-f]{4,64}", id_) for id_ in pair):
            raise RequestError(f"“{text}” does not name two logs", next="Write 3f2a…=91bc….")
        for said_before in (answers.one_student, answers.two_students):
            said_before[:] = [known for known in said_before if set(known) != set(pair)]
        (answers.one_student if is_one else answers.two_students).append(pair)


def _asked(unclear: Sequence[SameName]) -> Iterator[tuple[str, bool]]:
    """Ask on the terminal; an empty answer leaves it open."""
    for one in unclear:
        here = " and ".join(one.players)
        print(f"Two logs are called “{safe_text(one.name)}” ({here}).")
        try:
            typed = input("Are they one student's two machines? (y/n) ").strip().casefold()
        except EOFError:
            return
        if typed[:1] in ("y", "n"):
            yield "=".join(one.players), typed[0] == "y"


def _write(path: Path, content: bytes) -> None:
    write_whole(path, content)


def _told(collected: Collected, grid: ClassGrid) -> Iterator[str]:
    by_name = sorted(grid.rows, key=lambda one: one.student.name.casefold())
    rows = [COLUMNS, *map(summary, by_name)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (word.ljust(width) for word, width in zip(row, widths, strict=True))
        yield "  ".join(cells).rstrip()
    if late := behind_told(grid):
        yield from ("", "Behind:", *(f"  {line}" for line in late))
    if idle := idle_told(grid):
        yield from ("", idle)
    for one in collected.unclear:
        first, second = one.players
        yield ""
        yield f"Two logs are called “{safe_text(one.name)}”. One student's two machines?"
        yield f"  Then add --same {first}={second}; else --different {first}={second}."
    if collected.hard:
        yield ""
        yield "Hard for many:"
    yield from map(_hard_told, collected.hard[:_SHOWN_HARD])


def _hard_told(bars: HardBars) -> str:
    where = safe_text(bars_told(bars.first, bars.last, bars.label))
    parts = safe_text(", ".join(bars.parts))
    return (
        f"  {safe_text(bars.title)}, {where}: {failing(bars)} of attempts did not hold "
        f"({counted(bars.students, 'student')}; {parts})"
    )
