"""The order in which bars are played. The meaning of the signs: common practice, no source;
how MusicXML writes them: MusicXML 4.0, elements repeat, ending, sound."""

from collections.abc import Iterable

import pytest

from companion.score.laying import lay
from companion.score.model import Mark, Part, PartBar, Score, Signs
from companion.score.playing_order import playing_order, spans, unfolded


def piece(plan: str, parts: int = 1) -> Score:
    """Bars said in a line: `|:` opens and `:|` or `:|3` closes a repeat, `1.` an ending, and
    segno, coda, fine, tocoda, dacapo, dalsegno stand in the bar they mark."""
    bars = tuple(_bar(number, words) for number, words in enumerate(plan.split(" / "), 1))
    silent = tuple(PartBar(bar.label, bar.meter, 0) for bar in bars)
    made = [Part("P1", "Violin", bars), Part("P2", "Cello", silent)][:parts]
    return Score("Signs", "", 1, tuple(made))


def _bar(number: int, text: str) -> PartBar:
    words = text.split()
    closing = next((word for word in words if word.startswith(":|")), None)
    signs = Signs(
        repeat_starts="|:" in words,
        repeat_ends=int(closing[2:] or 2) if closing else 0,
        ending=tuple(int(word[:-1]) for word in words if word[:-1].isdigit()),
    )
    label = next((word[1:] for word in words if word.startswith("#")), str(number))
    marks = tuple(Mark(0, word) for word in words if word.isalpha() and word != "x")
    return PartBar(label, "2/4", 2, (), marks, (), signs)


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
    ],
)
def test_signs_lead_where_players_go(plan: str, order: Iterable[tuple[int, int]]) -> None:
    assert list(spans(playing_order(piece(plan)))) == list(order)


def test_a_da_capo_goes_back_to_the_beginning_of_its_movement_only() -> None:
    plan = "#1 / #2 / #3 / #1 fine / #2 / #3 dacapo / #1 / #2"
    assert spans(playing_order(piece(plan))) == ((1, 6), (4, 4), (7, 8))


def test_signs_that_only_one_part_carries_count_for_all() -> None:
    assert spans(playing_order(piece("x / x :| / x", parts=2))) == ((1, 2), (1, 3))


def test_the_unfolded_score_is_laid_like_any_other() -> None:
    clock = lay(unfolded(piece("x / x :| / x", parts=2)))
    assert [bar.label for bar in clock.bars] == ["1", "2", "(1)", "(2)", "3"]
    assert clock.end == 10
    assert {bar.movement for bar in clock.bars} == {1}
