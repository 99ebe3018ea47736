"""How players name parts and bars."""

from dataclasses import dataclass
from pathlib import Path

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.score.bar_numbers import bar_name, find_bar, find_bars, find_part, span_name
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Mark, Part, PartBar, Score
from companion.score.readers.opening import read_score
from tests.score.written import score_of

QUARTET = score_of({name: "2/4 h" for name in ("Violin I", "Violin II", "Viola", "Cello")})


@dataclass(frozen=True)
class Sheet:
    labels: list[str]
    letters: dict[int, str]


def clock_of(sheet: Sheet) -> Clock:
    bars = tuple(
        PartBar(
            label,
            "2/4",
            0,
            (),
            tuple(Mark(0, "rehearsal", text) for at, text in sheet.letters.items() if at == number),
        )
        for number, label in enumerate(sheet.labels, 1)
    )
    return lay(Score("A study", "", 1, (Part("P1", "Viola", bars),)))


TWO_MOVEMENTS = clock_of(Sheet([*map(str, range(1, 9)), *map(str, range(1, 7))], {3: "A", 11: "B"}))


@pytest.mark.parametrize(
    ("text", "index"),
    [("Viola", 2), ("viola", 2), ("c", 3), ("3", 2), ("P4", 3), ("violin i", 0), ("violin ii", 1)],
)
def test_a_part_is_named_by_name_beginning_number_or_id(text: str, index: int) -> None:
    assert find_part(QUARTET, text) == index


def test_an_ambiguous_beginning_names_what_it_could_be() -> None:
    with pytest.raises(RequestError) as refused:
        find_part(QUARTET, "Vio")
    assert refused.value.sentence() == (
        "“Vio” could be 1 Violin I, 2 Violin II, 3 Viola. Say which."
    )


@pytest.mark.parametrize("text", ["Oboe", "0", "5", ""])
def test_a_part_that_is_not_there_is_refused_with_those_that_are(text: str) -> None:
    with pytest.raises(RequestError, match="The parts are 1 Violin I, 2 Violin II"):
        find_part(QUARTET, text)


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("7", (7, 7)),
        ("7-8", (7, 8)),
        ("7 – 8", (7, 8)),
        ("@3", (3, 3)),
        ("@9-@14", (9, 14)),
        ("@9-14", (9, 14)),
        ("@9+2", (11, 11)),
        ("II:2-4", (10, 12)),
        ("2:2-2:4", (10, 12)),
        ("I:7-II:2", (7, 10)),
        ("I:7-@10", (7, 10)),
        ("A", (3, 3)),
        ("A+2", (5, 5)),
        ("A-A+2", (3, 5)),
        ("II:B", (11, 11)),
        ("A-B", (3, 11)),
    ],
)
def test_bars_are_printed_numbers_places_or_rehearsal_marks(
    text: str, span: tuple[int, int]
) -> None:
    assert find_bars(TWO_MOVEMENTS, text) == span


@pytest.mark.parametrize(
    "text",
    ["0", "15", "II:5-3", "", "-", "3-", "1-2-3", "III:1", "II:9", "Z", "A+99", "x:y:z", "I:B"]
    + ["@0", "@15", "@", "@2-@1", "II:2-7", "@9999999999", "7-9", "+2", "@3:4"],
)
def test_bars_that_are_not_there_are_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(RequestError):
        find_bars(TWO_MOVEMENTS, text)


def refused(clock: Clock, text: str) -> str:
    with pytest.raises(RequestError) as told:
        find_bars(clock, text)
    return told.value.sentence()


def test_a_number_that_several_bars_have_lists_them() -> None:
    assert refused(TWO_MOVEMENTS, "3") == "A study: 3 is I:3 and II:3. Say which."
    assert refused(SPLIT, "2-4") == "A study: 2 is @2 and @3. Say which."


def test_inside_a_movement_its_numbers_are_enough() -> None:
    assert find_bars(TWO_MOVEMENTS, "3-5", movement=2) == (11, 13)
    assert find_bar(TWO_MOVEMENTS, "3", movement=1) == 3
    assert find_bar(TWO_MOVEMENTS, "8", movement=2) == 8


def test_what_is_refused_tells_what_there_is() -> None:
    assert refused(TWO_MOVEMENTS, "9") == ("A study: there is no bar 9. It has bars I:1–8, II:1–6.")
    assert refused(UPBEAT, "@7") == "A study: there is no bar @7. It has bars @1–@6."


UPBEAT = clock_of(Sheet(["0", "1", "2", "2b", "3", "X1"], {}))
SPLIT = clock_of(Sheet(["1", "2", "2", "3", "0", "4", "X1", ""], {5: "4"}))


@pytest.mark.parametrize(
    ("text", "bar"), [("2b", 4), ("X1", 6), ("I:0", 1), ("0", 1), ("2", 3), ("0-2b", 1)]
)
def test_a_pickup_and_labels_that_are_no_numbers_name_their_bars(text: str, bar: int) -> None:
    assert find_bars(UPBEAT, text)[0] == bar


def test_a_bar_without_a_printed_number_of_its_own_is_shown_by_its_place() -> None:
    """Both halves of bar 2 have its number; the 0 after bar 3 and X1 are on no page."""
    shown = [bar_name(SPLIT, bar) for bar in SPLIT.bars]
    assert shown == ["1", "@2", "@3", "3", "@5", "4", "@7", "@8"]
    assert [bar_name(UPBEAT, bar) for bar in UPBEAT.bars] == ["0", "1", "2", "2b", "3", "@6"]


def test_a_bar_number_comes_before_a_rehearsal_mark() -> None:
    assert find_bar(SPLIT, "4") == 6


def test_bars_are_shown_with_their_movement_where_there_are_several() -> None:
    assert bar_name(TWO_MOVEMENTS, TWO_MOVEMENTS.bars[9]) == "II:2"
    assert span_name(TWO_MOVEMENTS, 10, 12) == "II:2–4"
    assert span_name(lay(QUARTET), 1, 1) == "1"
    assert span_name(SPLIT, 3, 4) == "@3–@4"
    assert span_name(SPLIT, 1, 2) == "1–@2"


LABELS = st.lists(
    st.one_of(
        st.sampled_from(["0", "1", "2", "3", "12a", "X1", "(1)", "", "I", "II:3", "@4", "1-2"]),
        st.integers(0, 40).map(str),
        st.text(max_size=4),
    ),
    min_size=1,
    max_size=12,
)
LETTERS = st.dictionaries(st.integers(1, 12), st.sampled_from(["A", "B", "1", "3", "@2", "I"]))


@given(LABELS, LETTERS, st.data())
def test_every_shown_name_finds_its_bar_again(
    labels: list[str], letters: dict[int, str], data: st.DataObject
) -> None:
    clock = clock_of(Sheet(labels, letters))
    for bar in clock.bars:
        assert find_bar(clock, bar_name(clock, bar)) == bar.number
    first = data.draw(st.integers(1, len(labels)))
    last = data.draw(st.integers(first, len(labels)))
    assert find_bars(clock, span_name(clock, first, last)) == (first, last)


CORPUS = Path(music21.__file__).parent / "corpus"


def test_two_real_movements_in_one_file_are_told_apart() -> None:
    """Haydn, op. 1 no. 1, first and second movement as music21's corpus has them, joined."""
    first, second = (
        read_score(CORPUS / f"haydn/opus1no1/movement{number}.mxl").score for number in (1, 2)
    )
    joined = lay(Score("Both", "", first.ticks, (Part("P1", "Violin", both(first, second)),)))
    before = len(first.parts[0].bars)
    assert find_bar(joined, "II:5") == find_bar(joined, "5", movement=2)
    assert joined.bars[find_bar(joined, "II:5") - 1].label == "5"
    assert find_bar(joined, "II:5") > before >= find_bar(joined, "I:5")
    for bar in joined.bars:
        assert find_bar(joined, bar_name(joined, bar)) == bar.number


def both(first: Score, second: Score) -> tuple[PartBar, ...]:
    """Without their notes, whose lengths are counted in other ticks."""
    bars = (*first.parts[0].bars, *second.parts[0].bars)
    return tuple(PartBar(bar.label, bar.meter, 0, (), ()) for bar in bars)


def test_a_number_printed_twice_in_a_real_score_is_told_by_places() -> None:
    """Bach, BWV 261 in music21's corpus: two of its measures have the number 14."""
    clock = lay(read_score(CORPUS / "bach/bwv261.mxl").score)
    with pytest.raises(RequestError, match="14 is @14 and @17"):
        find_bar(clock, "14")
