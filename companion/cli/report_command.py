"""`companion report -o FILE.json`: what goes back to the teacher."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.errors import RequestError
from companion.files.score_paths import as_path
from companion.practice.attempt import now
from companion.publish.report.report_file import ABOUT
from companion.publish.report.student_report import (
    ReportRequest,
    Sent,
    attempts_in,
    make_report,
    send_report,
    sent_told,
)
from companion.session.typed_dates import day_typed
from companion.wording.phrases import written_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """What it shall tell, and where to."""
    parser.add_argument(
        "--exercise",
        action="append",
        default=[],
        metavar="EXERCISE",
        help="only this exercise of your list, by number or title; repeatable",
    )
    parser.add_argument("--since", metavar="DATE", help="from this day on, such as 2026-05-02")
    parser.add_argument(
        "--name", default="", metavar="WHO", help="your name, as the teacher knows you"
    )
    parser.add_argument("--note", default="", metavar="TEXT", help="a message to your teacher")
    parser.add_argument(
        "-o", "--out", required=True, metavar="FILE", help="the file to send, ending in .json"
    )
    parser.add_argument(
        "--page", metavar="PAGE", help="a page to read; default: FILE ending in .html"
    )
    ask_json(parser)
    parser.epilog = (
        "It holds attempts, results, minutes and goals, not your own notes or your file names. "
        f"{ABOUT}"
    )


def run(args: argparse.Namespace) -> int:
    """Write both and tell where they are."""
    file = as_path(args.out)
    if not file.name:
        raise RequestError("-o names no file", next="Write one such as -o report.json.")
    page = as_path(args.page) if args.page else None
    asked = ReportRequest(
        name=args.name or args.player or "",
        note=args.note,
        since=day_typed(args.since, is_past=True) if args.since else None,
        exercises=tuple(args.exercise),
    )
    sent = send_report(make_report(folders_of(args), asked, now()), file, page)
    if args.json:
        print_json(_record(sent))
        return 0
    print(written_told(sent.file, sent_told(sent)))
    print(written_told(sent.page, "the same as a page"))
    if not sent.report.name:
        print("It has no name; add one with --name.")
    return 0


def _record(sent: Sent) -> dict[str, object]:
    report = sent.report
    return {
        "file": str(sent.file),
        "page": str(sent.page),
        "attempts": attempts_in(report),
        "passages": len(report.passages),
        "exercises": len(report.exercises),
        "minutes": round(sum(report.minutes.values()), 1),
    }
