"""How fast the reports of a class become a page, against the plain reading of their JSON.

Five hundred students, each with a term of 240 attempts. Run by hand:

    pytest tests/bench/test_collecting.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from time import process_time

import pytest

from companion.publish.report.class_export import class_csv
from companion.publish.report.class_grid import class_grid
from companion.publish.report.class_page import class_page
from companion.publish.report.class_table import collect
from companion.publish.report.report_file import write_report
from tests.practice.reported import passage, report

MOST = 6.0
"""Times as long as the standard library takes to read the same files, at most."""


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("reports")
    for number in range(500):
        places = (passage(at, at + 7, "fshk" * 5) for at in range(1, 97, 8))
        one = report(f"Student {number}", *places, player=f"{number:016x}")
        (folder / f"{number}.json").write_bytes(write_report(one))
    return folder


def collected(folder: Path) -> None:
    """The page and the spreadsheet of a class."""
    found = collect([folder])
    grid = class_grid(found.students, date(2026, 3, 8))
    class_page(found, grid)
    class_csv(grid.rows)


def parsed(folder: Path) -> None:
    """The same files as plain objects."""
    assert len([json.loads(path.read_bytes()) for path in folder.glob("*.json")]) == 500


def seconds(work: Callable[[Path], None], folder: Path) -> float:
    """Processor time, the least of three."""
    runs = []
    for _ in range(3):
        begin = process_time()
        work(folder)
        runs.append(process_time() - begin)
    return min(runs)


def test_a_class_is_collected_in_a_few_times_what_reading_takes(reports: Path) -> None:
    ours, plain = seconds(collected, reports), seconds(parsed, reports)
    assert ours < MOST * plain, f"500 reports: {ours:.2f} s, plain reading {plain:.2f} s"
