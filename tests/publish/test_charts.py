"""Progress drawn: in characters that need no colour, as SVG, as PNG."""

from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from companion.errors import RequestError
from companion.practice.mastery.progress_series import TempoPoint, Week, practice_calendar
from companion.practice.mastery.states import MasteryState
from companion.publish.charts import calendar_svg, curve_svg, heat_svg, write_picture
from companion.publish.text_charts import (
    ALONE,
    FAILED,
    GOAL,
    WITH_CLICK,
    calendar_lines,
    curve,
    heat_lines,
    shade,
)

DAY = date(2026, 3, 2)
SVG = "{http://www.w3.org/2000/svg}"


def climb() -> list[TempoPoint]:
    return [
        TempoPoint(DAY, Fraction(50), True, False),
        TempoPoint(DAY + timedelta(days=5), Fraction(60), False, False),
        TempoPoint(DAY + timedelta(days=10), Fraction(70), True, True),
    ]


def test_a_curve_climbs_from_left_below_to_right_above() -> None:
    lines = curve(climb(), Fraction(80), width=40, height=8)
    where = {
        sign: next((row, line.index(sign)) for row, line in enumerate(lines[:8]) if sign in line)
        for sign in (WITH_CLICK, FAILED, ALONE, GOAL)
    }
    assert where[GOAL][0] < where[ALONE][0] < where[FAILED][0] < where[WITH_CLICK][0]
    assert where[WITH_CLICK][1] < where[FAILED][1] < where[ALONE][1]
    assert lines[0].strip().startswith("80")
    assert lines[-2].split() == ["2026-03-02", "2026-03-12"]


def test_a_curve_fits_its_width() -> None:
    assert max(map(len, curve(climb(), Fraction(80), width=72)[:-1])) <= 72


def test_one_day_is_a_curve_too_and_none_is_none() -> None:
    assert any(ALONE in line for line in curve(climb()[2:], None, width=30))
    assert curve([], None) == []


@pytest.mark.parametrize(
    ("minutes", "expected"), [(0, 0), (0.5, 1), (14.9, 1), (15, 2), (30, 3), (59, 3), (60, 4)]
)
def test_more_minutes_are_darker(minutes: float, expected: int) -> None:
    assert shade(minutes) == expected


def test_a_calendar_has_a_line_a_week() -> None:
    lines = list(calendar_lines(practice_calendar({DAY: 20.0}, DAY, DAY + timedelta(days=8))))
    assert lines[1] == "2026-03-02  ▒ · · · · · ·     20 min"
    assert lines[2].startswith("2026-03-09")


def test_a_part_is_drawn_bar_by_bar_under_its_own_numbers() -> None:
    heat = [MasteryState.READY, MasteryState.RETURN, None, *[MasteryState.NEW] * 60]
    names = [str(number) for number in range(63)]
    lines = list(heat_lines(heat, names))
    assert lines[0].startswith(" 0 │█! ·······│")
    assert lines[1].startswith("60 │···│")


@pytest.mark.parametrize("width", [20, 40, 56, 70, 80])
def test_a_part_is_drawn_in_rows_that_fit(width: int) -> None:
    names = [f"II:{number}" for number in range(1, 62)]
    *rows, _ = heat_lines([MasteryState.NEW] * 61, names, width)
    assert all(len(row) <= width for row in rows)
    assert "".join(rows).count("·") == 61
    assert all(row.lstrip().startswith("II:") for row in rows)


@pytest.mark.parametrize(
    "svg",
    [
        curve_svg(climb(), Fraction(80), "Viola <13–20> & more"),
        curve_svg([], None, "nothing yet"),
        calendar_svg([Week(DAY, (1, 0, 20, 30, 60, 90, 0))], "Minutes"),
        heat_svg([MasteryState.HOLDS, None] * 40, [str(n) for n in range(80)], "A part"),
    ],
    ids=["curve", "empty curve", "calendar", "heat"],
)
def test_pictures_are_svg_and_become_png(svg: str, tmp_path: Path) -> None:
    # SVG 1.1 (W3C): a root in its namespace, with a size.
    root = etree.fromstring(svg.encode())
    assert root.tag == f"{SVG}svg"
    assert float(root.get("width", "0")) > 0
    write_picture(svg, tmp_path / "a.svg")
    assert (tmp_path / "a.svg").read_text("utf-8") == svg
    pytest.importorskip("resvg_py")
    write_picture(svg, tmp_path / "a.png")
    # PNG (W3C, second edition, 5.2): the eight bytes every file begins with.
    assert (tmp_path / "a.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


def test_words_are_only_words_and_what_xml_cannot_hold_is_left_out() -> None:
    root = etree.fromstring(curve_svg([], None, 'A <b> & "c"\x0b\ud800 d').encode())
    assert root.findtext(f"{SVG}text") == 'A <b> & "c" d'


def test_every_mark_stands_inside_the_picture() -> None:
    root = etree.fromstring(curve_svg(climb(), Fraction(80), "Viola").encode())
    circles = root.findall(f"{SVG}circle")
    assert len(circles) == 2
    assert all(0 < float(c.get("cx", "")) < float(root.get("width", "")) for c in circles)
    assert all(0 < float(c.get("cy", "")) < float(root.get("height", "")) for c in circles)


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match="cannot be written as"):
        write_picture("<svg/>", tmp_path / "a.gif")
