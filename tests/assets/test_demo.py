"""The demo quartet holds what the program is shown with: every claim counted from its own file.

Positions are ordinal (the upbeat is bar 1), parts P1 Violin I to P4 Cello. What each stretch
must hold is our own plan for the piece; that the file itself is sound is `test_demo_file`'s.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

SCORE = Path(__file__).parents[2] / "assets" / "demo" / "chain_ferry.musicxml"

PARTS = ("P1", "P2", "P3", "P4")
SIX, TWO, THREE = "6/8", "2/4", "3/4"

PLAN = (
    (1, 13, (SIX, SIX, SIX, SIX)),
    (14, 21, (TWO, TWO, SIX, SIX)),
    (22, 29, (TWO, TWO, TWO, TWO)),
    (30, 35, (SIX, SIX, THREE, SIX)),
    (36, 47, (THREE, THREE, THREE, THREE)),
    (48, 61, (SIX, SIX, SIX, SIX)),
)
"""First bar, last bar, and the meters of the four parts."""


@dataclass(frozen=True, slots=True)
class Struck:
    """A note or rest as the file gives it."""

    start: int
    """Ticks from the bar's left barline."""
    ticks: int
    pitch: tuple[str, str, str] | None
    kind: str
    triplet: bool
    tied_in: bool


@dataclass(frozen=True, slots=True)
class Bar:
    number: str
    implicit: bool
    meter: str
    notes: tuple[Struck, ...]
    element: etree._Element

    @property
    def ticks(self) -> int:
        return sum(note.ticks for note in self.notes)

    @property
    def strikes(self) -> set[int]:
        return {note.start for note in self.notes if note.pitch and not note.tied_in}


@cache
def score() -> etree._Element:
    return etree.parse(str(SCORE)).getroot()


@cache
def bars(part: str) -> tuple[Bar, ...]:
    read: list[Bar] = []
    meter = ""
    for measure in score().findall(f"part[@id='{part}']/measure"):
        time = measure.find("attributes/time")
        if time is not None:
            meter = f"{time.findtext('beats')}/{time.findtext('beat-type')}"
        implicit = measure.get("implicit") == "yes"
        read.append(Bar(measure.get("number", ""), implicit, meter, notes_in(measure), measure))
    return tuple(read)


def notes_in(measure: etree._Element) -> tuple[Struck, ...]:
    notes: list[Struck] = []
    start = 0
    for note in measure.findall("note"):
        ticks = int(note.findtext("duration") or 0)
        pitch = None
        if note.find("rest") is None:
            pitch = (
                note.findtext("pitch/step") or "",
                note.findtext("pitch/alter") or "0",
                note.findtext("pitch/octave") or "",
            )
        notes.append(
            Struck(
                start=start,
                ticks=ticks,
                pitch=pitch,
                kind=note.findtext("type") or "",
                triplet=note.find("time-modification") is not None,
                tied_in=note.find("tie[@type='stop']") is not None,
            )
        )
        start += ticks
    return tuple(notes)


def stretch(part: str, first: int, last: int) -> tuple[Bar, ...]:
    """Bars `first` to `last` by ordinal position, both included."""
    return bars(part)[first - 1 : last]


def test_the_piece_is_long_enough_and_every_part_holds_every_bar() -> None:
    numbers = [bar.number for bar in bars("P1")]
    assert len(numbers) == PLAN[-1][1] >= 48
    assert numbers == [str(number) for number in range(len(numbers))]
    for part in PARTS:
        assert [bar.number for bar in bars(part)] == numbers
    assert not score().xpath("//measure[@non-controlling]")


def test_only_the_upbeat_is_incomplete() -> None:
    quarter = int(score().findtext(".//divisions") or 0)
    assert all(quarter % pieces == 0 for pieces in (2, 3, 4))
    for part in PARTS:
        upbeat, *full = bars(part)
        assert (upbeat.number, upbeat.implicit, upbeat.ticks) == ("0", True, quarter // 2)
        for bar in full:
            beats, unit = map(int, bar.meter.split("/"))
            assert (bar.ticks, bar.implicit) == (beats * quarter * 4 // unit, False), bar.number


@pytest.mark.parametrize(("first", "last", "meters"), PLAN)
def test_each_stretch_carries_its_meters(
    first: int, last: int, meters: tuple[str, str, str, str]
) -> None:
    for part, meter in zip(PARTS, meters, strict=True):
        assert {bar.meter for bar in stretch(part, first, last)} == {meter}


def test_in_six_eight_against_two_four_the_sums_stand_three_to_two() -> None:
    for six, two in zip(stretch("P3", 14, 21), stretch("P1", 14, 21), strict=True):
        assert six.number == two.number
        assert six.ticks * 2 == two.ticks * 3


def test_the_entry_into_two_four_says_that_the_beat_stays() -> None:
    assert metronome("P1", 14) == ["quarter", "dot", "quarter"]
    assert metronome("P2", 14) == ["quarter", "dot", "quarter"]
    assert metronome("P3", 22) == metronome("P4", 22) == ["quarter", "dot", "quarter"]
    assert metronome("P1", 30) == ["quarter", "quarter", "dot"]
    assert metronome("P3", 30) == ["half", "half", "dot"]


def test_the_opening_speed_counts_dotted_quarters() -> None:
    assert metronome("P1", 1) == ["quarter", "dot", "69"]
    # Source: MusicXML 4.0, sound: tempo counts quarter notes a minute, here 69 * 3/2.
    sound = bars("P1")[0].element.find("sound")
    assert sound is not None and sound.get("tempo") == "103.5"


def metronome(part: str, place: int) -> list[str]:
    """The children of the bar's one metronome mark, in order."""
    (mark,) = bars(part)[place - 1].element.findall(".//metronome")
    return ["dot" if child.tag == "beat-unit-dot" else child.text or "" for child in mark]


def test_viola_and_cello_interlock_into_every_eighth_and_never_meet() -> None:
    locked = list(zip(stretch("P3", 14, 19), stretch("P4", 14, 19), strict=True))
    for viola, cello in locked:
        assert {note.kind for note in (*viola.notes, *cello.notes)} == {"eighth"}
        assert not viola.strikes & cello.strikes
        assert viola.strikes | cello.strikes == {eighth * 6 for eighth in range(6)}
        assert viola.strikes and cello.strikes
    for viola, cello in zip(stretch("P3", 20, 21), stretch("P4", 20, 21), strict=True):
        assert viola.strikes & cello.strikes, "after six bars they strike together again"


def test_triplets_meet_straight_eighths_in_exactly_two_bars() -> None:
    beat = 12
    found: list[tuple[int, str, str]] = []
    for place in range(len(bars("P1"))):
        for start in range(0, bars("P1")[place].ticks, beat):
            kinds = {part: beat_kind(bars(part)[place], start, beat) for part in PARTS}
            found += [
                (place + 1, three, two)
                for three in PARTS
                for two in PARTS
                if (kinds[three], kinds[two]) == ("triplet", "straight")
            ]
    assert found == [(25, "P3", "P1"), (29, "P1", "P2")]
    with_triplets = {
        place + 1
        for part in PARTS
        for place, bar in enumerate(bars(part))
        if any(note.triplet for note in bar.notes)
    }
    assert with_triplets == {25, 29}


def beat_kind(bar: Bar, start: int, beat: int) -> str:
    """triplet or straight where one beat of a simple meter holds only such eighths."""
    notes = [note for note in bar.notes if start <= note.start < start + beat]
    if bar.meter == SIX or any(note.pitch is None or note.kind != "eighth" for note in notes):
        return ""
    return {(3, True): "triplet", (2, False): "straight"}.get(
        (len(notes), all(note.triplet for note in notes)), ""
    )


def test_the_cross_current_sets_three_against_two_in_equal_bars() -> None:
    viola = stretch("P3", 30, 35)
    for part in ("P1", "P2", "P4"):
        for three, two in zip(viola, stretch(part, 30, 35), strict=True):
            assert three.ticks == two.ticks
    assert all(bar.strikes <= {0, 12, 24} for bar in viola), "the viola moves in quarters"
    assert all(18 in bar.strikes for bar in stretch("P1", 30, 35)), "the violin marks beat two"


def test_violin_one_rests_four_bars_and_enters_on_the_fifth() -> None:
    silent = [not bar.strikes for bar in stretch("P1", 36, 40)]
    assert silent == [True, True, True, True, False]
    assert bars("P1")[39].notes[0].pitch == ("B", "0", "4")


def test_every_plucked_stretch_ends_with_the_bow() -> None:
    plucked = {part: (words(part, "pizz."), words(part, "arco")) for part in PARTS}
    assert plucked == {
        "P1": ([], []),
        "P2": ([36], [40]),
        "P3": ([36], [40]),
        "P4": ([40], [36, 44]),
    }


def words(part: str, start: str) -> list[int]:
    """The ordinal bars in which the part has words that begin so."""
    return [
        place
        for place, bar in enumerate(bars(part), start=1)
        if any((text.text or "").startswith(start) for text in bar.element.iter("words"))
    ]


def test_the_return_is_the_opening_note_for_note_and_then_closes_otherwise() -> None:
    for part in PARTS:
        opening = [bar.notes for bar in stretch(part, 2, 9)]
        assert [bar.notes for bar in stretch(part, 48, 55)] == opening
        after = [bar.notes for bar in stretch(part, 10, 13)]
        assert [bar.notes for bar in stretch(part, 56, 59)] != after
    upbeat, again = bars("P1")[0].notes[-1], bars("P1")[46].notes[-1]
    assert (again.pitch, again.ticks) == (upbeat.pitch, upbeat.ticks)


def test_letters_stand_in_the_top_part_only() -> None:
    letters = {
        part: [
            (place, letter.text)
            for place, bar in enumerate(bars(part), start=1)
            for letter in bar.element.iter("rehearsal")
        ]
        for part in PARTS
    }
    first_bars = [2, *(first for first, _, _ in PLAN[1:])]
    assert letters["P1"] == list(zip(first_bars, "ABCDEF", strict=True))
    assert not any(letters[part] for part in PARTS[1:])


def test_all_hold_the_last_chord() -> None:
    for part in PARTS:
        last = bars(part)[-1].element
        assert last.find(".//fermata") is not None
        assert last.findtext("barline/bar-style") == "light-heavy"
