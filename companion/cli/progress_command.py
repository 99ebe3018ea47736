"""`companion progress`: minutes, a part bar by bar, one passage and why it stands so."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

from companion.cli.shared_options import (
    BARS_HELP,
    ask_json,
    ask_part,
    folders_of,
    open_score_of,
    print_json,
    whole,
)
from companion.files.folders import Folders
from companion.files.whole_file import write_whole
from companion.practice.attempt import Bars, now
from companion.practice.mastery.progress_series import Week
from companion.publish.charts import calendar_svg, curve_svg, heat_svg, write_picture
from companion.publish.text_charts import calendar_lines, curve, heat_lines
from companion.publish.week_page import week_page
from companion.score.bar_numbers import find_bars
from companion.session.open_score import part_meant
from companion.session.passage_progress import (
    History,
    PartProgress,
    monday_of,
    part_progress,
    passage_history,
    weeks_until,
)
from companion.session.typed_dates import day_typed
from companion.wording.mastery_sentences import WHAT_FALLS, mastery, share_told, state_rules
from companion.wording.phrases import bars_told, day_told, passage_told, written_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """[SCORE [--part P [--bars A-B]]] [--weeks N | --week [DAY] | --states] [-o OUT]."""
    parser.add_argument(
        "score", metavar="SCORE", nargs="?", help="show a part of this score bar by bar"
    )
    ask_part(parser)
    parser.add_argument(
        "--bars", metavar="A-B", help=f"one passage, and the reasons for its state: {BARS_HELP}"
    )
    parser.add_argument("--weeks", metavar="N", type=whole, default=12, help="weeks shown (12)")
    parser.add_argument(
        "--week", metavar="DAY", nargs="?", const="", help="one week as a page of Markdown"
    )
    parser.add_argument(
        "--states", action="store_true", help="the rules that move a passage up and down"
    )
    parser.add_argument("-o", "--out", metavar="OUT", help="OUT.svg, OUT.png; with --week OUT.md")
    ask_json(parser)


def run(args: argparse.Namespace) -> int:
    """Show what was asked for, or write it."""
    folders, at = folders_of(args), now()
    if args.states:
        for way, how, when in state_rules():
            print(f"{way:>5}  {how:<22}{when}")
        print(WHAT_FALLS)
        return 0
    if args.week is not None:
        return write_week(args, folders, at)
    if args.score is None:
        return show_minutes(args, weeks_until(folders, at, args.weeks))
    open_score = open_score_of(args)
    index = part_meant(open_score, args.part)
    if args.bars:
        first, last = find_bars(open_score.clock, args.bars)
        bars = Bars(open_score.digest, open_score.score.parts[index].id, first, last)
        return show_passage(args, passage_history(folders, bars, at))
    return show_part(args, part_progress(folders, open_score, index, at))


# What `companion progress` prints or writes: for people, for programs, as a picture.


def write_week(args: argparse.Namespace, folders: Folders, at: datetime) -> int:
    """A week as a page of Markdown, printed or written."""
    day = day_typed(args.week, is_past=True) if args.week else at.date()
    page = week_page(folders, monday_of(day), at)
    if args.out is None:
        print(page, end="")
        return 0
    out = Path(args.out).expanduser()
    write_whole(out, page.encode("utf-8"))
    print(written_told(out))
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
    title = f"{passage_told(one.bars, one.part_name, one.label)}, in {one.aims.beat}s a minute"
    if args.out:
        return _drawn(args, curve_svg(found.points, found.goal, title))
    if args.json:
        print_json(_record(found))
        return 0
    return _printed(_passage_told(found))


def _passage_told(found: History) -> Iterator[str]:
    one = found.stands
    judged = mastery(one, found.today)
    yield f"{one.title}: {passage_told(one.bars, one.part_name, one.label)} {judged.state}"
    yield from judged.reasons
    if judged.next:
        yield judged.next
    yield from curve(found.points, found.goal)


def _record(found: History) -> dict[str, object]:
    judged = mastery(found.stands, found.today)
    return {
        "first": found.stands.bars.first,
        "last": found.stands.bars.last,
        "printed": found.stands.label,
        "state": judged.state.value,
        "reasons": list(judged.reasons),
        "next": judged.next,
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
        print_json(
            {"bars": states, "printed": list(found.names), "share": str(found.share.holding)}
        )
        return 0
    return _printed(_part_told(found, title))


def _part_told(found: PartProgress, title: str) -> Iterator[str]:
    yield title
    yield share_told(found.share)
    yield from heat_lines(found.heat, found.names)
    for one, how in found.passages:
        due = f", due {day_told(one.planned)}" if one.planned else ""
        yield f"  {bars_told(one.bars.first, one.bars.last, one.label)}: {how.value}{due}"


def _drawn(args: argparse.Namespace, svg: str) -> int:
    out = Path(args.out).expanduser()
    write_picture(svg, out)
    print(written_told(out))
    return 0


def _printed(lines: Iterator[str]) -> int:
    for line in lines:
        print(line)
    return 0
