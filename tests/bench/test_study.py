"""Analysing a quartet against reading it, in the same run; and how the time grows.

pytest tests/bench -o addopts=--import-mode=importlib
"""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from pytest_benchmark.fixture import BenchmarkFixture

from companion.findings.all_findings import find_all
from companion.score.readers import score_source
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import Opened
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from tests.bench.longer import repeated
from tests.bench.test_reading import best, corpus, map_command, parse_alone, run


def stand_of(source: bytes) -> OpenScore:
    return laid_with_choices(Opened(read_musicxml(source, "x"), "0" * 32, Path("x")), Choices())


def seconds(act: Callable[[], object], times: int) -> float:
    spent = []
    for _ in range(times):
        start = perf_counter()
        act()
        spent.append(perf_counter() - start)
    return min(spent)


def test_a_quartet_is_analysed_no_slower_than_it_is_read_cold(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    score = corpus("beethoven/opus132.mxl")
    cold = min(run(map_command(score, tmp_path / str(n))).seconds for n in range(3))
    open_score = stand_of(score_source.read(score).musicxml)
    analysed = seconds(lambda: find_all(open_score.clock, open_score.conflicts), 3)
    benchmark.extra_info["share_of_a_cold_map"] = analysed / cold
    benchmark.pedantic(find_all, (open_score.clock, open_score.conflicts), rounds=1)  # type: ignore[no-untyped-call]
    assert analysed <= cold


def test_a_study_sheet_is_written_in_a_tenth_of_the_general_librarys_reading(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    """A whole process each, the score read before; processor seconds."""
    score = corpus("beethoven/opus132.mxl")
    words = [sys.executable, "-m", "companion", "--data-dir", str(tmp_path)]
    words += ["study", str(score), "--part", "viola"]
    run(words)
    share = best(words, 3).processor / parse_alone(score).processor
    benchmark.extra_info["study_processor_share"] = share
    benchmark.pedantic(run, (words,), rounds=1)  # type: ignore[no-untyped-call]
    assert share <= 1


def test_analysis_grows_with_the_notes_and_little_faster(benchmark: BenchmarkFixture) -> None:
    once = score_source.read(corpus("beethoven/opus59no2/movement1.mxl")).musicxml
    short, long = stand_of(once), stand_of(repeated(once, 10))
    growth = seconds(lambda: find_all(long.clock, long.conflicts), 2) / seconds(
        lambda: find_all(short.clock, short.conflicts), 3
    )
    benchmark.extra_info["growth_for_ten_times_the_notes"] = growth
    benchmark.pedantic(find_all, (short.clock, short.conflicts), rounds=1)  # type: ignore[no-untyped-call]
    assert growth <= 20
