"""From files to the class table, its CSV and its page."""

import csv
import io
from datetime import date
from pathlib import Path

from companion.publish.report.class_export import HEADER, class_csv
from companion.publish.report.class_grid import class_grid
from companion.publish.report.class_page import behind_told, class_page, idle_told
from companion.publish.report.class_table import collect
from companion.publish.report.report_file import write_report
from tests.practice.reported import drill, exercise, passage, report
from tests.publish.handout.reading import read

ODD = '=HYPERLINK("http://x","<b>Ada</b>")'


DAY = date(2026, 3, 8)


def page_of(folder: Path) -> str:
    collected = collect([folder])
    return class_page(collected, class_grid(collected.students, DAY))


def put(folder: Path, **reports: bytes) -> Path:
    for name, content in reports.items():
        (folder / f"{name}.json").write_bytes(content)
    return folder


def test_of_a_folder_all_reports_are_taken_and_the_rest_is_named(tmp_path: Path) -> None:
    good = write_report(report("Ada", passage(1, 4, "fh")))
    put(
        tmp_path,
        good=good,
        edited=good.replace(b'"fell apart"', b'"secure"'),
        foreign=b'{"scores": []}',
        newer=good.replace(b'"format": 1', b'"format": 9'),
    )
    collected = collect([tmp_path, tmp_path / "gone.json"])
    assert [one.name for one in collected.students] == ["Ada"]
    told = [one.sentence() for one in collected.left_out]
    assert len(told) == 4
    for word, sentence in zip(
        ("edited", "not a practice", "format 9", "no such"), told, strict=True
    ):
        assert word in sentence


def test_no_name_is_a_formula_in_the_spreadsheet(tmp_path: Path) -> None:
    put(tmp_path, a=write_report(report(ODD, passage(1, 4, "fh"))))
    content = class_csv(class_grid(collect([tmp_path]).students, DAY).rows)
    rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
    assert tuple(rows[0]) == HEADER
    assert rows[0]["student"] == f"'{ODD}"
    assert (rows[0]["bars"], rows[0]["attempts"], rows[0]["held"]) == ("1–4", "2", "1")


def test_names_are_only_text_on_the_page(tmp_path: Path) -> None:
    put(
        tmp_path,
        a=write_report(report(ODD, passage(1, 4, "ff"), note="<script>alert(1)</script>")),
        b=write_report(report("Ben", passage(1, 4, "fh"))),
    )
    page = read(page_of(tmp_path))
    assert len(page.all("script")) == 1 and not page.all("b") + page.all("a")
    assert ODD in page.text and "<script>alert(1)</script>" in page.text
    assert "Study in two meters, bars 1–4" in page.text and "75 %" in page.text
    assert [text for level, text in page.headings if level == 2] == [
        "Who is behind?",
        "The last seven days",
        "Bars that are hard for many",
        "Student by student",
    ]


def test_who_is_behind_comes_first_and_what_is_not_due_is_no_fault(tmp_path: Path) -> None:
    def of(name: str, first: str, second: str, made: str = "2026-03-08T20:00:00+01:00") -> bytes:
        ferry = exercise("Ferry", drill(first, reached=60), due="2026-03-05")
        bridge = exercise("Bridge", drill(second), due="2026-03-07")
        later = exercise("Later", drill("assigned"), due="2026-03-08")
        return write_report(report(name, exercises=(ferry, bridge, later), made=made))

    put(
        tmp_path,
        a=of("Ada", "done", "done"),
        b=of("Ben", "done", "in progress", made="2026-03-06T20:00:00+01:00"),
        c=of("Cleo", "in progress", "assigned"),
    )
    collected = collect([tmp_path])
    grid = class_grid(collected.students, DAY)
    assert [row.student.name for row in grid.rows] == ["Cleo", "Ben", "Ada"]
    assert behind_told(grid) == [
        "Cleo: Ferry (3 days), Bridge (1 day)",
        "Ben: Bridge (1 day); the report is of 6 March 2026",
    ]
    assert idle_told(grid) == ""
    page = read(class_page(collected, grid))
    assert "2 of 3 students:" in page.text and "60 of 72" in page.text


def test_who_did_not_practise_in_the_last_seven_days_is_named(tmp_path: Path) -> None:
    put(
        tmp_path,
        a=write_report(report("Ada", minutes={"2026-03-02": 10})),
        b=write_report(report("Ben", minutes={"2026-03-01": 10, "2026-03-09": 10})),
    )
    grid = class_grid(collect([tmp_path]).students, DAY)
    assert [row.week for row in grid.rows] == [(10.0, *[0.0] * 6), (0.0,) * 7]
    assert idle_told(grid) == "No practice in the last seven days: Ben."


def test_the_lines_of_drills_are_filled(tmp_path: Path) -> None:
    bowed = drill("in progress", goal=72, reached=66, last_day="2026-03-04", title="bowed")
    ferry = exercise("=Ferry", bowed, due="2026-03-05")
    put(tmp_path, a=write_report(report("Ada", passage(1, 4, "hf"), exercises=(ferry,))))
    content = class_csv(class_grid(collect([tmp_path]).students, DAY).rows)
    passage_line, line = csv.DictReader(io.StringIO(content.decode("utf-8-sig")))
    assert {key: line[key] for key in ("score", "part", "bars", "tempo", "goal_tempo", "beat")} == {
        "score": "bowed",
        "part": "Clap",
        "bars": "1–4",
        "tempo": "66",
        "goal_tempo": "72",
        "beat": "quarter",
    }
    assert (line["exercise"], line["due"], line["days_overdue"]) == ("'=Ferry", "2026-03-05", "3")
    assert (line["outcome"], line["last_practised"]) == ("held", "2026-03-04")
    assert (passage_line["tempo"], passage_line["outcome"]) == ("60", "fell apart")


def test_a_class_of_five_hundred_is_collected(tmp_path: Path) -> None:
    for number in range(500):
        one = report(f"Student {number:03}", *(passage(at, at + 7, "fsh") for at in (1, 9, 17)))
        (tmp_path / f"{number}.json").write_bytes(write_report(one))
    collected = collect([tmp_path])
    assert (collected.reports, len(collected.students)) == (500, 500)
    assert [(one.first, one.last, one.students) for one in collected.hard] == [
        (1, 24, 500),
    ]
