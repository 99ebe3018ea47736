"""What a player reads of what pulls against the meter. Trade words: common practice, no source."""

from __future__ import annotations

import pytest

from companion.findings.periods import periods
from companion.wording.period_sentences import period_named, period_told
from tests.findings.ensembles import bar_name
from tests.findings.music import texture

NAMES = {"A": "Violin I", "C": "Cello", "V": "Viola"}


def told(meter: str, me: str = "V", **lines: str) -> str:
    (found,) = periods(texture(meter, **lines), ())
    return period_told(found, me, NAMES, bar_name)


def test_a_figure_across_the_meter_is_told_with_where_it_meets_the_barline() -> None:
    assert told("2/4", V="e60 e64 e67 " * 4, C="h h h") == (
        "Bars 1–3: you repeat a figure of 3 eighths across a bar of 4. "
        "It meets the barline again after 4 times, 3 bars."
    )


def test_equal_notes_across_the_beats_are_told_in_notes_and_beats() -> None:
    assert told("4/4", "C", V="h3 h3 h3 h3 h3 h3", C="w w") == (
        "Bars 1–2: Viola plays 3 equal notes in the time of 4 beats, on and on. "
        "It meets the barline again after 3 times, 1 bar."
    )


def test_a_hemiola_is_told_with_who_keeps_the_meter_and_how_to_count_it() -> None:
    assert told("3/4", V="h60 h62 h64", C="h. h.") == (
        "Bars 1–2: hemiola, two bars of three felt as three of two: you, against Cello. "
        "Count 1 2 | 1 2 | 1 2 over two bars."
    )


def test_a_hemiola_of_one_part_alone_is_not_said_of_all() -> None:
    assert told("3/4", V="h60 h62 h64", C="rq rq rq rq rq rq") == (
        "Bars 1–2: hemiola, two bars of three felt as three of two: you. "
        "Count 1 2 | 1 2 | 1 2 over two bars."
    )


@pytest.mark.parametrize(
    ("meter", "line", "count"),
    [
        ("6/8", "q q q", "Count 1 & 2 & 3 & in each bar, in eighths."),
        ("3/4", "q.> q.>", "Count 1 2 3 4 5 6 in each bar, in eighths, weight on 1 and 4."),
    ],
)
def test_a_bar_felt_otherwise_is_counted_in_its_own_pulses(
    meter: str, line: str, count: str
) -> None:
    assert told(meter, V=f"{line} {line}").endswith(count)


def test_six_eight_and_three_four_in_turn_are_a_pattern_of_two_bars() -> None:
    music = texture("6/8", V="q. q. q q q q. q. q q q q. q.", C="q. q. " * 5)
    (found,) = periods(music, ())
    assert (found.first, found.last) == (1, 4)
    assert period_told(found, "C", NAMES, bar_name) == (
        "Bars 1–4: a pattern of two bars, one as written, one in three: Viola, against you."
    )


def test_a_pattern_of_two_bars_is_answered_only_where_it_is_regrouped() -> None:
    music = texture(
        "6/8",
        V="q. q. q q q q. q. q q q q. q.",
        C="q. q. re e re e re e q. q. re e re e re e q. q.",
    )
    (found,) = periods(music, ())
    assert period_told(found, "C", NAMES, bar_name) == (
        "Bars 1–4: a pattern of two bars, one as written, one in three: Viola, "
        "answered by you in the bars in three."
    )


def test_a_displacement_says_by_how_much_by_what_and_against_whom() -> None:
    assert told("4/4", V="e q q q q q q q e", C="q q q q q q q q") == (
        "Bars 1–2: you go beside the beat, half a beat after it, against Cello. "
        "It shows in notes held over. "
        "Feel the written beat in your body; it is between your notes."
    )
    assert told("3/4", "C", V="q q e e+e> e e e e e+e> e e e e e+e> e q q", C="h. h. h. h.") == (
        "Bars 1–4: Viola goes beside the bar, half a beat before it, against you. "
        "It shows in accents and ties over the barline."
    )


def test_each_kind_has_a_short_sign_for_the_map() -> None:
    named = [
        period_named(periods(texture(meter, V=line), ())[0])
        for meter, line in (
            ("3/4", "h60 h62 h64"),
            ("2/4", "e60 e64 e67 " * 4),
            ("3/4", "q q> q q q> q q q> q"),
        )
    ]
    assert named == [("hem", "iola"), ("by 3", " over 4"), ("off", " the bar")]
