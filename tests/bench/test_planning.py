"""How long Today and the charts take over ten years: 100,000 attempts at 3,000 passages.

Measured against the same log read whole, in the same run, so that a slow machine does not
fail it. Run by hand:

    pytest tests/bench/test_planning.py -o addopts=--import-mode=importlib
"""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from random import Random
from time import process_time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings
from companion.journal.record import Corrected, Record
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.plan.habits import Habits
from companion.practice.plan.planner import plan_for
from companion.publish.charts import curve_svg
from companion.publish.text_charts import calendar_lines, curve
from companion.session.passage_progress import MOST, passage_history, weeks_until
from companion.session.todays_plan import DayRequest, today

ATTEMPTS, PASSAGES = 100_000, 3_000
NOW = datetime(2025, 12, 30, 18, tzinfo=UTC)
BEGIN = NOW - timedelta(days=3650)


def ten_years() -> Iterator[Attempt]:
    luck = Random(1)
    for number in range(ATTEMPTS):
        passage = int(luck.random() ** 1.5 * PASSAGES)
        first = 4 * (passage % 60) + 1
        yield Attempt(
            score_title=f"Study {passage // 60}",
            score_digest=f"{passage // 60:032x}",
            score_path=f"/scores/{passage // 60}.musicxml",
            part_id="P3",
            part_name="Viola",
            first_bar=first,
            last_bar=first + 3,
            bars_label=f"{first}–{first + 3}",
            tempo=Fraction(50 + luck.randrange(30)),
            beat="quarter",
            outcome=luck.choice(list(Outcome)),
            layers=luck.choice((("beat", "mine"), ("theirs",))),
            seconds=45.0,
            at=BEGIN + timedelta(seconds=number * 3650 * 86400 / ATTEMPTS),
        )


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    place = tmp_path_factory.mktemp("ten years")
    with Log.open(place) as log:
        log.merge(Record(tuple(Corrected(attempt) for attempt in ten_years())))
    found = Folders(place, place / "cache")
    all_standings(found)
    return found


def best(what: Callable[[], object], times: int = 5) -> float:
    """Processor seconds, the least of some."""
    found = []
    for _ in range(times):
        start = process_time()
        what()
        found.append(process_time() - start)
    return min(found)


def read_whole(folders: Folders) -> float:
    def whole() -> None:
        with Log.read_only(folders.data) as log:
            log.attempts()

    return best(whole, 1)


def test_today_takes_a_tenth_of_reading_the_log(
    folders: Folders, benchmark: BenchmarkFixture
) -> None:
    whole = read_whole(folders)
    standings = all_standings(folders)
    benchmark.extra_info |= {
        "whole_log_s": whole,
        "standings_s": best(lambda: all_standings(folders)),
        "plan_s": best(lambda: plan_for(standings, date(2025, 12, 30), 45, Habits())),
    }
    asked = best(lambda: today(folders, NOW, DayRequest(minutes=45)))
    benchmark.extra_info |= {"today_s": asked, "today_share": asked / whole}
    benchmark.pedantic(today, (folders, NOW, DayRequest(minutes=45)), rounds=3)  # type: ignore[no-untyped-call]
    assert asked <= whole / 10


def test_charts_take_a_tenth_of_reading_the_log(
    folders: Folders, benchmark: BenchmarkFixture
) -> None:
    with Log.read_only(folders.data) as log:
        most = max(log.passages(), key=lambda one: one.tries).bars

    def passage() -> None:
        found = passage_history(
            folders, Bars(most.score_digest, most.part_id, most.first, most.last), NOW
        )
        curve(found.points, found.goal)
        curve_svg(found.points, found.goal, "Viola")

    def minutes() -> None:
        list(calendar_lines(weeks_until(folders, NOW, MOST)))

    whole = read_whole(folders)
    curve_s, calendar_s = best(passage), best(minutes)
    benchmark.extra_info |= {"whole_log_s": whole, "curve_s": curve_s, "three_years_s": calendar_s}
    benchmark.pedantic(passage, rounds=3)  # type: ignore[no-untyped-call]
    assert curve_s <= whole / 10
    assert calendar_s <= whole / 10
