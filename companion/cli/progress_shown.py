"""What `companion progress` prints or writes: for people, for programs, as a picture."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

from companion.cli.asking import print_json
from companion.desk.bars_told import bars_told
from companion.desk.folders import Folders
from companion.desk.moments import day_typed
from companion.desk.progress.cells import calendar_lines, heat_lines
from companion.desk.progress.curve import curve
from companion.desk.progress.history import History
from companion.desk.progress.page import week_page
from companion.desk.progress.part import PartProgress, share_told
from companion.desk.progress.picture import write_picture
from companion.desk.progress.svg import calendar_svg, curve_svg, heat_svg
from companion.desk.progress.weeks import monday_of
from companion.errors import CompanionError
from companion.practice.dates_told import day_told
from companion.practice.progress import Week
from companion.practice.standing import Standing


def write_week(args: argparse.Namespace, folders: Folders, at: datetime) -> int:
    """A week as a page of Markdown, printed or written."""
    day = day_typed(args.week) if args.week else at.date()
    page = week_page(folders, monday_of(day), at)
    if args.out is None:
        print(page, end="")
        return 0
    out = Path(args.out).expanduser()
    try:
        out.write_text(page, "utf-8")
    except OSError as problem:
        raise CompanionError(
            f"this page cannot be written ({problem.strerror})",
            where=str(out),
            next="Choose another folder.",
        ) from None
    print(out)
    return 0


def show_minutes(args: argparse.Namespace, weeks: list[Week]) -> int:
    """Minutes a day, week by week."""
    title = f"Minutes a day, {len(weeks)} weeks"
    if args.out:
        return _drawn(args, calendar_svg(weeks, title))
    if args.json:
        print_json(
            {
                "weeks": [
                    {"monday": week.monday.isoformat(), "minutes": list(week.minutes)}
                    for week in weeks
                ]
            }
        )
        return 0
    return _printed(calendar_lines(weeks))


def show_passage(args: argparse.Namespace, found: History) -> int:
    """One passage: how it stands, why, and its tempo over time."""
    one = found.stands
    title = f"{one.part_name} {_bars(one)}, in {one.aims.beat}s a minute"
    if args.out:
        return _drawn(args, curve_svg(found.points, found.goal, title))
    if args.json:
        print_json(_record(found))
        return 0
    return _printed(_passage_told(found))


def _passage_told(found: History) -> Iterator[str]:
    one = found.stands
    yield f"{one.title}: {one.part_name} {_bars(one)} {found.judged.state.value}"
    yield from found.judged.reasons
    if found.judged.next:
        yield found.judged.next
    yield from curve(found.points, found.goal)


def _record(found: History) -> dict[str, object]:
    return {
        "state": found.judged.state.value,
        "reasons": list(found.judged.reasons),
        "next": found.judged.next,
        "goal": str(found.goal) if found.goal else None,
        "beat": found.stands.aims.beat,
        "due": date.fromordinal(found.stands.due).isoformat() if found.stands.due else None,
        "days": [
            {
                "day": point.day.isoformat(),
                "tempo": str(point.tempo),
                "held": point.has_held,
                "alone": point.is_alone,
            }
            for point in found.points
        ],
    }


def show_part(args: argparse.Namespace, found: PartProgress) -> int:
    """A whole part, bar by bar."""
    title = f"{found.title}: {found.part_name}"
    if args.out:
        return _drawn(args, heat_svg(found.heat, found.names, title))
    if args.json:
        states = [how.value if how else None for how in found.heat]
        print_json({"bars": states, "share": str(found.share.holding)})
        return 0
    return _printed(_part_told(found, title))


def _part_told(found: PartProgress, title: str) -> Iterator[str]:
    yield title
    yield share_told(found.share)
    yield from heat_lines(found.heat, found.names)
    for one, how in found.passages:
        due = f", to come back {day_told(one.planned)}" if one.planned else ""
        yield f"  {_bars(one)}: {how.value}{due}"


def _bars(one: Standing) -> str:
    return bars_told(one.bars.first, one.bars.last, one.label)


def _drawn(args: argparse.Namespace, svg: str) -> int:
    out = Path(args.out).expanduser()
    write_picture(svg, out)
    print(out)
    return 0


def _printed(lines: Iterator[str]) -> int:
    for line in lines:
        print(line)
    return 0
