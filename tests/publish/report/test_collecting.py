"""From files to the class table, its CSV and its page."""

import csv
import io
from pathlib import Path

from companion.publish.report.class_export import HEADER, class_csv
from companion.publish.report.class_page import class_page
from companion.publish.report.class_table import collect
from companion.publish.report.report_file import write_report
from tests.practice.reported import passage, report
from tests.publish.handout.reading import read

ODD = '=HYPERLINK("http://x","<b>Ada</b>")'


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
    content = class_csv(collect([tmp_path]).students)
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
    page = read(class_page(collect([tmp_path])))
    assert not page.all("script") + page.all("b") + page.all("a")
    assert ODD in page.text and "<script>alert(1)</script>" in page.text
    assert "Study in two meters, bars 1–4" in page.text and "75 %" in page.text
    assert [text for level, text in page.headings if level == 2] == [
        "Who practised",
        "Bars that are hard for many",
        "Student by student",
    ]


def test_a_class_of_five_hundred_is_collected(tmp_path: Path) -> None:
    for number in range(500):
        one = report(f"Student {number:03}", *(passage(at, at + 7, "fsh") for at in (1, 9, 17)))
        (tmp_path / f"{number}.json").write_bytes(write_report(one))
    collected = collect([tmp_path])
    assert (collected.reports, len(collected.students)) == (500, 500)
    assert [(one.first, one.last, one.students) for one in collected.hard] == [
        (1, 24, 500),
    ]
