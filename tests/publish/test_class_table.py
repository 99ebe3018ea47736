"""A class from its reports, and the bars it finds hard."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.practice.attempt import Outcome
from companion.publish.report.class_students import class_of
from companion.publish.report.class_table import hard_bars
from companion.publish.report.report_file import Report
from tests.practice.reported import passage, report


def hard(*reports: Report) -> list[tuple[int, int, int, Fraction]]:
    students = class_of((f"{number}.json", one) for number, one in enumerate(reports))[0]
    return [(one.first, one.last, one.students, one.failing) for one in hard_bars(students)]


def labels(*tried: tuple[int, int, str]) -> list[str]:
    """The labels of what everybody fails at, from the labels of what was tried."""
    reports = [
        report(name, *(replace(passage(first, last, "f"), label=label),))
        for name, (first, last, label) in zip("abcdefg", tried, strict=False)
    ]
    students = class_of((f"{number}.json", one) for number, one in enumerate(reports))[0]
    return [one.label for one in sorted(hard_bars(students), key=lambda one: one.first)]


def test_hard_bars_have_their_printed_numbers_so_far_as_labels_tell() -> None:
    assert labels((14, 21, "13–20"), (16, 18, "15–17")) == ["15–17"]
    assert labels((14, 21, "13–20"), (16, 25, "15–24")) == ["15–20"]
    assert labels((230, 240, "II:5–15"), (236, 250, "II:11–25")) == ["II:11–15"]
    assert labels((20, 24, "@20–@24"), (22, 26, "@22–@26")) == ["@22–@24"]
    assert labels((5, 9, "I:5–II:1"), (5, 9, "I:5–II:1")) == ["I:5–II:1"]
    assert labels((5, 9, "12–14"), (6, 8, "")) == [""]  # a number is missing or doubled there


def test_two_reports_of_one_student_count_no_attempt_twice() -> None:
    first = passage(13, 20, "fs")
    later = passage(13, 20, "hh")
    later.attempts[:0] = first.attempts
    students = class_of(
        [
            ("b.json", report("ada  b.", later, made="2026-03-15T20:00:00+01:00", note="better")),
            ("a.json", report("Ada B.", first, note="hard")),
        ]
    )[0]
    (ada,) = students
    assert (ada.name, ada.reports, ada.attempts, ada.held) == ("ada b.", 2, 4, 2)
    assert ada.minutes == {"2026-03-02": 12.5}
    assert ada.notes == ["hard", "better"]


def test_reports_without_a_name_are_told_apart_by_their_files() -> None:
    students = class_of([("a.json", report("")), ("b.json", report(" "))])[0]
    assert [one.name for one in students] == ["unnamed (a.json)", "unnamed (b.json)"]


def test_bars_where_passages_overlap_come_out_by_themselves() -> None:
    # Ada fails at bars 1–4 and holds 5–8; Ben fails at 3–6. Only 3–4 fail both.
    ada = report("Ada", passage(1, 4, "ff"), passage(5, 8, "hh"))
    ben = report("Ben", passage(3, 6, "ss"))
    assert hard(ada, ben) == [(3, 4, 2, Fraction(1)), (5, 6, 2, Fraction(1, 2))]


def test_every_student_has_one_voice() -> None:
    busy = report("Ada", passage(1, 4, "h" * 200))
    rare = report("Ben", passage(1, 4, "f"))
    assert hard(busy, rare) == [(1, 4, 2, Fraction(1, 2))]


def test_what_more_students_fail_at_comes_first() -> None:
    many = [report(name, passage(1, 1, "f"), passage(5, 5, "sh")) for name in "abcd"]
    two = [report(name, passage(5, 5, "f"), passage(9, 9, "fs")) for name in "ef"]
    assert hard(*many, *two) == [
        (1, 1, 4, Fraction(1)),
        (5, 5, 6, Fraction(4 * 500_000 + 2 * 1_000_000, 6_000_000)),
        (9, 9, 2, Fraction(1)),
    ]


def test_what_one_student_alone_tried_is_nobody_elses_trouble() -> None:
    assert hard(report("Ada", passage(1, 4, "f")), report("Ben", passage(9, 9, "h"))) == []
    assert hard(report("Ada", passage(1, 4, "f"))) == [(1, 4, 1, Fraction(1))]


def test_parts_of_one_score_speak_together() -> None:
    viola, cello = report("Ada", passage(3, 4, "f")), report("Ben", passage(3, 4, "s", "Cello"))
    (found,) = hard_bars(class_of([("a", viola), ("b", cello)])[0])
    assert found.parts == ("Cello", "Viola")


_PASSAGES = st.lists(
    st.tuples(st.integers(1, 12), st.integers(0, 5), st.text("fshk", min_size=1, max_size=4)),
    min_size=1,
    max_size=4,
)


@given(st.lists(_PASSAGES, min_size=2, max_size=5))
def test_sweeping_agrees_with_counting_bar_by_bar(class_: list[list[tuple[int, int, str]]]) -> None:
    reports = [
        report(
            f"student {number}", *(passage(first, first + more, how) for first, more, how in one)
        )
        for number, one in enumerate(class_)
    ]
    students = class_of((f"{number}", one) for number, one in enumerate(reports))[0]
    found = {
        bar: (one.students, one.failing)
        for one in hard_bars(students, most=1000)
        for bar in range(one.first, one.last + 1)
    }
    for bar in range(1, 19):
        shares: list[Fraction] = []
        for student in students:
            outcomes = [
                each.outcome
                for (_, _, first, last), work in student.work.items()
                if first <= bar <= last
                for each in work.attempts.values()
            ]
            if outcomes:
                failed = sum(one < Outcome.HELD for one in outcomes)
                shares.append(Fraction(round(1_000_000 * failed / len(outcomes)), 1_000_000))
        if len(shares) >= 2 and any(shares):
            assert found.pop(bar) == (len(shares), sum(shares, Fraction(0)) / len(shares))
    assert not found
