"""The class page in a real browser: nothing foreign runs, columns sort, it prints."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.files.folders import folders
from companion.publish.report.class_grid import class_grid
from companion.publish.report.class_page import class_page
from companion.publish.report.class_table import collect
from companion.publish.report.report_file import write_report
from companion.publish.report.report_page import report_page
from companion.publish.report.student_report import ReportRequest, make_report, send_report
from companion.session.open_exercise import check_exercise, open_exercise
from companion.session.write_exercise import write_exercise, write_pack
from tests.practice.reported import drill, exercise, passage, report
from tests.publish.handout.browser import Browser, browsing, needs_browser
from tests.publish.report.test_collecting import DAY

pytestmark = needs_browser

HOSTILE = (
    "<script>document.title='ran'</script>",
    "<img src=x onerror=\"document.title='ran'\">",
    "</table></main></style></script><svg onload=\"document.title='ran'\">",
    '" onmouseover="document.title=\'ran\'" x="',
    "javascript:document.title='ran'",
    "<!--",
)
ROWS = """
return [...document.querySelectorAll('table.class tbody')].map(
  body => [...body.rows].map(row => row.cells[0].textContent));
"""
HOVER = """
for (const one of document.querySelectorAll('*')) one.dispatchEvent(new Event('mouseover'));
"""
PRESS = "document.querySelectorAll('table.class')[0].querySelectorAll('th button')[{}].click()"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browsing(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


def class_of_three(folder: Path) -> Path:
    reports = folder / "reports"
    reports.mkdir()
    for name, state, reached, bridge in (
        ("Ben", "in progress", 60, 50),
        ("Ada", "done", 72, 40),
        ("Cleo", "assigned", 0, 30),
    ):
        ferry = exercise("Ferry", drill(state, reached=reached), due="2026-03-05")
        later = exercise("Bridge", drill("in progress", reached=bridge), due="2026-03-20")
        one = report(name, passage(1, 4, "fh"), exercises=(ferry, later))
        (reports / f"{name}.json").write_bytes(write_report(one))
    collected = collect([reports])
    page = folder / "class.html"
    page.write_text(class_page(collected, class_grid(collected.students, DAY)), "utf-8")
    return page


def test_a_press_on_a_head_sorts(browser: Browser, tmp_path: Path) -> None:
    browser.open(class_of_three(tmp_path))
    assert browser.ask(ROWS)[0] == ["Ben", "Cleo", "Ada"]  # who is behind comes first
    for head, names in (
        (0, ["Ada", "Ben", "Cleo"]),
        (0, ["Cleo", "Ben", "Ada"]),
        (3, ["Cleo", "Ada", "Ben"]),
    ):
        browser.ask(PRESS.format(head))
        assert browser.ask(ROWS)[0] == names
    sorted_by = "return document.querySelector('th[aria-sort]').textContent"
    assert browser.ask(sorted_by).startswith("Bridge")


def test_nothing_is_fetched_and_it_prints(browser: Browser, tmp_path: Path) -> None:
    page = class_of_three(tmp_path)
    browser.fetched()
    browser.open(page)
    assert [one for one in browser.fetched() if not one.startswith("chrome://")] == [page.as_uri()]
    assert browser.printed().startswith(b"%PDF-")
    assert browser.ask("return document.documentElement.scrollWidth > window.innerWidth") is False


@pytest.mark.parametrize("words", HOSTILE)
def test_a_hostile_report_runs_nothing(browser: Browser, tmp_path: Path, words: str) -> None:
    bad = passage(1, 4, "ff", part=words)
    bad.attempts[:] = []
    ferry = exercise(
        words, drill("in progress", title=words, last_day="2026-03-02"), due="2026-03-05"
    )
    one = report(words, bad, note=words, exercises=(ferry,))
    (tmp_path / "bad.json").write_bytes(write_report(one))
    collected = collect([tmp_path])
    assert collected.reports == 1
    for name, text in (
        ("class.html", class_page(collected, class_grid(collected.students, DAY))),
        ("sheet.html", report_page(one)),
    ):
        page = tmp_path / name
        page.write_text(text, "utf-8")
        browser.open(page)
        browser.ask(HOVER)
        assert browser.ask("return document.title") != "ran"
        assert browser.ask("return document.querySelectorAll('img, svg[onload], a').length") == 0
        assert words.split()[0] in browser.ask("return document.body.textContent")


def test_a_hostile_pack_runs_nothing(browser: Browser, tmp_path: Path) -> None:
    bad = HOSTILE[2]
    hostile = Exercise(
        title=bad,
        whom=bad,
        instructions=bad,
        due=DAY,
        drills=(ExerciseDrill(title=bad, listen=bad, pattern="x: 2/4 q q"),),
    )
    source = write_exercise(hostile, tmp_path / "bad.toml")
    teacher, mine = folders(tmp_path / "t"), folders(tmp_path / "s")
    made, _ = write_pack(check_exercise(source, teacher), tmp_path / "bad")
    open_exercise(made, mine)
    one = make_report(mine, ReportRequest(name=bad), datetime.now(UTC))
    (tmp_path / "reports").mkdir()
    sent = tmp_path / "reports" / "bad.json"
    send_report(one, sent, tmp_path / "sheet.html")
    collected = collect([sent])
    page = tmp_path / "class.html"
    page.write_text(class_page(collected, class_grid(collected.students, DAY)), "utf-8")
    for shown in (page, tmp_path / "sheet.html"):
        browser.open(shown)
        assert browser.ask("return document.title") != "ran"
        assert browser.ask("return document.querySelectorAll('svg[onload]').length") == 0


def test_the_policy_stops_what_would_get_through(browser: Browser, tmp_path: Path) -> None:
    """A second wall: even markup that was let in by mistake would not run."""
    page = class_of_three(tmp_path)
    text = page.read_text("utf-8").replace("<h1>", HOSTILE[0] + HOSTILE[1] + "<h1>", 1)
    page.write_text(text, "utf-8")
    browser.open(page)
    assert browser.ask("return document.title") == "The class"
