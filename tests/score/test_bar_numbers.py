"""How players name parts and bars."""

from dataclasses import dataclass

import pytest

from companion.errors import RequestError
from companion.score.bar_numbers import bar_name, find_bar, find_bars, find_part, span_name
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Mark, Part, PartBar, Score
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
        ("3", (3, 3)),
        ("3-5", (3, 5)),
        ("3 – 5", (3, 5)),
        ("II:2-4", (10, 12)),
        ("2:2-2:4", (10, 12)),
        ("I:7-II:2", (7, 10)),
        ("A", (3, 3)),
        ("A+2", (5, 5)),
        ("A-A+2", (3, 5)),
        ("II:B", (11, 11)),
        ("A-B", (3, 11)),
        ("9-14", (9, 14)),
    ],
)
def test_bars_are_ordinals_printed_labels_or_rehearsal_marks(
    text: str, span: tuple[int, int]
) -> None:
    assert find_bars(TWO_MOVEMENTS, text) == span


@pytest.mark.parametrize(
    "text", ["0", "15", "5-3", "", "-", "3-", "1-2-3", "III:1", "II:9", "Z", "A+99", "x:y:z", "I:B"]
)
def test_bars_that_are_not_there_are_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(RequestError):
        find_bars(TWO_MOVEMENTS, text)


UPBEAT = clock_of(Sheet(["0", "1", "2", "2b", "3", "X1"], {}))


@pytest.mark.parametrize(("text", "bar"), [("2b", 4), ("X1", 6), ("I:0", 1), ("2", 2)])
def test_a_label_that_is_no_number_names_its_bar(text: str, bar: int) -> None:
    assert find_bar(UPBEAT, text) == bar


def test_a_printed_number_that_is_no_position_is_refused_with_its_address() -> None:
    with pytest.raises(RequestError) as refused:
        find_bars(UPBEAT, "0-2")
    assert refused.value.next.endswith("Printed 0 is 1 or I:0.")


def test_bars_are_shown_with_their_movement_where_there_are_several() -> None:
    assert bar_name(TWO_MOVEMENTS, TWO_MOVEMENTS.bars[9]) == "II:2"
    assert span_name(TWO_MOVEMENTS, 10, 12) == "II:2–4"
    assert span_name(lay(QUARTET), 1, 1) == "1"


def test_every_shown_name_finds_its_bar_again() -> None:
    for bar in TWO_MOVEMENTS.bars:
        assert find_bar(TWO_MOVEMENTS, bar_name(TWO_MOVEMENTS, bar)) == bar.number
