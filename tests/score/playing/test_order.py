"""The order in which bars are played. The meaning of the signs: common practice, no source;
how MusicXML writes them: MusicXML 4.0, elements repeat, ending, sound."""

import re
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.laying import lay
from companion.score.model import Mark, Part, PartBar, Score, Signs
from companion.score.playing.order import MOST_BARS, order_spans, playing_order, unfolded

_METER = re.compile(r"\d/\d")


def piece(plan: str, parts: int = 1) -> Score:
    """Bars said in a line: `|:` opens and `:|` or `:|3` closes a repeat, `1.` an ending (`0.`
    one without a number), `||` a double barline, `(Trio)` words over the bar, `3/4` a meter;
    segno, coda, fine, tocoda, dacapo, dalsegno stand in the bar they mark."""
    meter = "2/4"
    bars = []
    for number, words in enumerate(plan.split(" / "), 1):
        meter = next((word for word in words.split() if _METER.fullmatch(word)), meter)
        bars.append(_bar(number, words, meter))
    silent = tuple(PartBar(bar.label, bar.meter, 0) for bar in bars)
    made = [Part("P1", "Violin", tuple(bars)), Part("P2", "Cello", silent)][:parts]
    return Score("Signs", "", 1, tuple(made))


def _bar(number: int, text: str, meter: str) -> PartBar:
    words = text.split()
    closing = next((word for word in words if word.startswith(":|")), None)
    signs = Signs(
        repeat_starts="|:" in words,
        repeat_ends=int(closing[2:] or 2) if closing else 0,
        ending=tuple(int(word[:-1]) for word in words if word[:-1].isdigit()),
        closes="||" in words,
    )
    label = next((word[1:] for word in words if word.startswith("#")), str(number))
    marks = tuple(Mark(0, word) for word in words if word.isalpha() and word != "x")
    marks += tuple(Mark(0, "words", word[1:-1]) for word in words if word[0] == "(")
    return PartBar(label, meter, 2, (), marks, (), signs)


@pytest.mark.parametrize(
    ("plan", "order"),
    [
        ("x / x / x", [(1, 3)]),
        ("x / x :| / x", [(1, 2), (1, 3)]),
        ("x / |: x / x :| / x", [(1, 3), (2, 4)]),
        ("|: x :|3 / x", [(1, 1), (1, 1), (1, 2)]),
        ("|: x / 1. :| / 2. / x", [(1, 2), (1, 1), (3, 4)]),
        ("|: x / 1. x / 1. :| / 2. x / x", [(1, 3), (1, 1), (4, 5)]),
        ("|: x / 1. 2. :| / 3. / x", [(1, 2), (1, 2), (1, 1), (3, 4)]),
        ("|: x / 1. :| / 2. :| / x", [(1, 2), (1, 1), (3, 4)]),
        ("|: x / 1. :| / 2. / x :|", [(1, 2), (1, 1), (3, 4), (4, 4)]),
        ("x / x fine / x dacapo", [(1, 3), (1, 2)]),
        ("x / segno / fine / x dalsegno", [(1, 4), (2, 3)]),
        ("x / tocoda / x dacapo / coda / x", [(1, 3), (1, 2), (4, 5)]),
        ("|: x / x :| / x fine / x dacapo", [(1, 2), (1, 4), (1, 3)]),
        ("|: x / 1. :| / 2. fine / x dacapo", [(1, 2), (1, 1), (3, 4), (1, 1), (3, 3)]),
        ("x dalsegno / x", [(1, 2)]),
        ("x / 1. :| / 2. |: / x :| / x", [(1, 2), (1, 1), (3, 4), (3, 5)]),
        ("|: x / 1. 3. :| / 2. :| / x", [(1, 2), (1, 1), (3, 3), (1, 2), (4, 4)]),
        ("x fine || / x :| / x dacapo", [(1, 2), (2, 3), (1, 1)]),
        ("x / segno / tocoda / x dalsegno / coda / x", [(1, 4), (2, 3), (5, 6)]),
        ("x / x coda / x dacapo / coda / x", [(1, 3), (1, 2), (4, 5)]),
        ("x / 1. dacapo / 2.", [(1, 2), (1, 1), (3, 3)]),
        ("x fine / x dacapo / x ||", [(1, 3), (1, 1)]),
        ("x / x || / x / x :| / x", [(1, 4), (1, 5)]),
    ],
)
def test_signs_lead_where_players_go(plan: str, order: Iterable[tuple[int, int]]) -> None:
    assert list(order_spans(playing_order(piece(plan)).bars)) == list(order)


def test_a_da_capo_goes_back_to_the_beginning_of_its_movement_only() -> None:
    plan = "#1 / #2 / #3 / #1 fine / #2 / #3 dacapo / #1 / #2"
    assert order_spans(playing_order(piece(plan)).bars) == ((1, 6), (4, 4), (7, 8))


def test_signs_that_only_one_part_carries_count_for_all() -> None:
    assert order_spans(playing_order(piece("x / x :| / x", parts=2)).bars) == ((1, 2), (1, 3))


def test_the_unfolded_score_is_laid_like_any_other() -> None:
    score = piece("x / x :| / x", parts=2)
    clock = lay(unfolded(score, playing_order(score)))
    assert [bar.label for bar in clock.bars] == ["1", "2", "(1)", "(2)", "3"]
    assert [bar.name for bar in clock.bars] == ["1", "2", "@3", "@4", "3"]
    assert clock.end == 10
    assert {bar.movement for bar in clock.bars} == {1}


@pytest.mark.parametrize(
    ("plan", "order", "told"),
    [
        # a first ending without a second; one that stops before the sign, with a second or not
        ("x / |: x / x / 1. :| / x / x", [(1, 4), (2, 3), (5, 6)], "no second ending"),
        ("x / |: x / x / 1. / x :| / 2. / x", [(1, 5), (2, 3), (6, 7)], "lasts until"),
        ("x / |: x / x / 1. / x :| / x", [(1, 5), (2, 3), (6, 6)], "lasts until"),
        # numbers left out or wrong; brackets not drawn; the sign itself left out
        ("|: x / 0. :| / 2. / x", [(1, 2), (1, 1), (3, 4)], "in order of the page"),
        ("|: x / 2. :| / 2. / x", [(1, 2), (1, 1), (3, 4)], "in order of the page"),
        ("|: x / 0. :| / x", [(1, 2), (1, 1), (3, 3)], "no second ending"),
        ("|: x / x :| / 2. / x", [(1, 2), (1, 1), (3, 4)], "it is the first ending"),
        ("|: x / 1. / 2. / x", [(1, 2), (1, 1), (3, 4)], "the music goes back here"),
        ("|: x / 1. :| / 2. :| / x", [(1, 2), (1, 1), (3, 4)], "nothing leads back"),
        # a repeat nothing opens goes back to the double barline where the music begins anew
        (
            "x / x || / (Allegro) / x / x / x :| / x",
            [(1, 6), (3, 7)],
            "no sign begins the next repeat",
        ),
        (
            "x / fine || / x / x / x / x :| / x dacapo",
            [(1, 6), (3, 7), (1, 2)],
            "no sign begins",
        ),
        # a da capo without a Fine ends before the trio, or is played through
        ("x / x :| / (Trio) / x dacapo", [(1, 2), (1, 4), (1, 2)], "ends before the trio"),
        ("x / x dacapo", [(1, 2), (1, 2)], "no Fine is written"),
        # more movements in one file: a da capo goes back to where its own began
        (
            "x / 3/4 / fine / x dacapo / 4/4 / x",
            [(1, 4), (2, 3), (5, 6)],
            "where the meter changes",
        ),
        # a second trio goes back as the first; a trio numbered afresh is no movement
        (
            "x / x fine || / (Trio) / x dacapo / (Trio) / x dacapo",
            [(1, 4), (1, 2), (5, 6), (1, 2)],
            "as the da capo before it",
        ),
        ("#1 / #2 / (Trio) #1 / #2 dacapo", [(1, 4), (1, 2)], "ends before the trio"),
        # words a bar before the section ends
        ("x fine / x / x dacapo / x || / x", [(1, 4), (1, 1), (5, 5)], "the section ends here"),
        ("x dalsegno / x", [(1, 2)], "no segno stands before it"),
    ],
)
def test_what_signs_leave_open_is_taken_as_players_take_it_and_told(
    plan: str, order: Iterable[tuple[int, int]], told: str
) -> None:
    found = playing_order(piece(plan))
    assert list(order_spans(found.bars)) == list(order)
    assert any(told in one.value for one in found.assumptions)


def test_clear_signs_leave_nothing_to_tell() -> None:
    plan = "|: x / 1. :| / 2. fine / x dacapo"
    assert playing_order(piece(plan)).assumptions == ()


def test_bars_no_sign_leads_to_are_told() -> None:
    found = playing_order(piece("x / tocoda / x dacapo / x / x / coda"))
    assert list(order_spans(found.bars)) == [(1, 3), (1, 2), (6, 6)]
    assert [(one.bar, one.value) for one in found.assumptions] == [
        (4, "no sign leads to here, so it is not played")
    ]


@pytest.mark.parametrize(
    ("plan", "order"),
    [
        # the first part ends at To Coda: the second, of four bars, is repeated by itself
        ("x / x tocoda / x / x / x / x :| / x dacapo / coda", [(1, 6), (3, 7), (1, 2), (8, 8)]),
        # two bars are no section: all of it comes again
        ("x / x tocoda / x / x :| / x dacapo / coda", [(1, 4), (1, 5), (1, 2), (6, 6)]),
        # a sign that opens the repeat says otherwise
        ("|: x / x tocoda / x / x / x / x :| / x dacapo / coda", [(1, 6), (1, 7), (1, 2), (8, 8)]),
        # a To Coda that no jump obeys closes nothing
        ("x / x tocoda / x / x / x / x :| / x", [(1, 6), (1, 7)]),
    ],
)
def test_a_to_coda_closes_the_first_part(plan: str, order: list[tuple[int, int]]) -> None:
    assert list(order_spans(playing_order(piece(plan)).bars)) == order


def test_where_a_repeat_after_a_to_coda_goes_back_to_is_told() -> None:
    found = playing_order(piece("x / x tocoda / x / x / x / x :| / x dacapo / coda"))
    assert [(one.bar, one.value) for one in found.assumptions] == [
        (3, "no sign begins the next repeat: it goes back to here")
    ]


def test_a_repeat_that_nothing_opens_never_repeats_two_bars() -> None:
    score = piece("x / x / x || / (Presto) / x :| / x")
    assert list(order_spans(playing_order(score).bars)) == [(1, 5), (1, 6)]


def test_assumptions_follow_into_the_unfolded_score() -> None:
    score = piece("x / x :| / x || / (Presto) / x / x / x :| / x")
    order = playing_order(score)
    assert list(order_spans(order.bars)) == [(1, 2), (1, 7), (4, 8)]
    assert [one.bar for one in order.in_it()] == [6]
    again = playing_order(unfolded(score, order))
    assert again.bars == tuple(range(1, 15))
    assert again.assumptions == ()


def test_signs_that_lead_nowhere_give_the_written_order() -> None:
    many = MOST_BARS // 99 // 2
    plan = " / ".join(["|:", *["x"] * many, ":|99"] * 3)
    found = playing_order(piece(plan))
    assert len(found.bars) == 3 * (many + 2)
    assert "lead nowhere" in found.assumptions[0].value


BARLINE = st.sampled_from(["x", "|:", ":|", ":|3", "1.", "2.", "1. :|", "2. :|", "0. :|", "||"])
OVER = st.sampled_from(["", "", "", "(Trio)", "3/4", "segno", "coda", "fine", "tocoda", "dacapo"])


@given(st.lists(st.tuples(BARLINE, OVER).map(" ".join), min_size=1, max_size=24))
def test_whatever_the_signs_say_the_music_ends_and_nothing_is_lost_unsaid(bars: list[str]) -> None:
    score = piece(" / ".join(bars))
    order = playing_order(score)
    assert set(order.bars) <= set(range(1, len(bars) + 1))
    assert len(order.bars) <= MOST_BARS
    left = set(range(1, len(bars) + 1)) - set(order.bars)
    assert bool(left) == any("not played" in one.value for one in order.assumptions)
    assert playing_order(unfolded(score, order)).bars == tuple(range(1, len(order.bars) + 1))


@given(st.lists(st.sampled_from(["x", "|:", ":|", ":|3", "||"]), min_size=1, max_size=24))
def test_plain_repeats_play_every_bar_as_often_as_its_sign_says(bars: list[str]) -> None:
    """Between two signs that close, each bar from the last that opens on is played alike."""
    order = playing_order(piece(" / ".join(bars))).bars
    counts = [order.count(number) for number in range(1, len(bars) + 1)]
    assert all(1 <= count <= 3 for count in counts)
    for bar, count in zip(bars, counts, strict=True):
        if bar.startswith(":|"):
            assert count == int(bar[2:] or 2)
