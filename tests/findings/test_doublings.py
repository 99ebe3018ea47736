"""Who has the same line, and who the same rhythm."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from companion.findings.doublings import doublings, shared_rhythms
from tests.findings.ensembles import Given, ensemble, line, shifted
from tests.findings.real_scores import corpus

TUNE = line("q60 e62 e64 q65 q64 | e62 e60 h.67")


def test_a_line_in_octaves_and_one_in_unison_are_told_apart() -> None:
    texture = ensemble("4/4", A=TUNE, B=shifted(TUNE, 0, -12), C=TUNE)
    (found,) = doublings(texture)
    assert (found.parts, found.notes, found.is_unison) == (("A", "B", "C"), 8, False)
    assert (found.first, found.last, found.start, found.end) == (1, 2, 0, 96)
    (pair,) = doublings(ensemble("4/4", A=TUNE, C=TUNE))
    assert pair.is_unison


def test_one_strike_apart_ends_a_doubling() -> None:
    other = [note for note in TUNE if note[0] != 36]
    assert doublings(ensemble("4/4", A=TUNE, B=other)) == ()


def test_thirds_and_a_repeated_note_are_no_doubled_line() -> None:
    assert doublings(ensemble("4/4", A=TUNE, B=shifted(TUNE, 0, 4))) == ()
    drone = line("e60 e60 e60 e60 e60 e60 e60 e60")
    assert doublings(ensemble("4/4", A=drone, B=drone)) == ()


def test_a_quartet_that_opens_in_octaves() -> None:
    """All four parts begin in unison and octaves, read from the page: bars 1–4 have the same
    names of notes at the same places, and bar 5 has not."""
    real = corpus("beethoven/opus18no1/movement1.mxl")
    for bar in range(1, 5):
        lines = {
            tuple((onset, pitch[:-1]) for onset, _, pitch in notes) for notes in real.notes(bar)
        }
        assert len(lines) == 1
    first = doublings(real.texture)[0]
    assert (first.first, first.last, len(first.parts), first.is_unison) == (1, 4, 4, False)


PITCHES = st.lists(st.sampled_from([0, 60, 62, 64, 72]), min_size=1, max_size=14)


def sounding(pitches: list[int]) -> list[Given]:
    return [(6 * n, 6, pitch) for n, pitch in enumerate(pitches) if pitch]


@given(PITCHES, PITCHES)
def test_two_lines_agree_exactly_where_comparing_every_stretch_says(
    one: list[int], other: list[int]
) -> None:
    """Every stretch of joint strikes, longest only, with six notes, three of them different."""
    a, b = dict(enumerate(one)), dict(enumerate(other))
    places = [n for n in range(max(len(one), len(other))) if a.get(n) or b.get(n)]

    def agrees(low: int, high: int) -> bool:
        pairs = [(a.get(n) or 0, b.get(n) or 0) for n in places[low:high]]
        return all(x and y and (x - y) % 12 == 0 for x, y in pairs)

    expected = set()
    for low in range(len(places)):
        for high in range(low + 6, len(places) + 1):
            longer = (low and agrees(low - 1, high)) or (
                high < len(places) and agrees(low, high + 1)
            )
            if agrees(low, high) and not longer and len({a[n] for n in places[low:high]}) > 2:
                expected.add((6 * places[low], high - low))
    texture = ensemble("4/4", A=sounding(one), B=sounding(other))
    assert {(found.start, found.notes) for found in doublings(texture)} == expected


def test_a_shared_rhythm_lasts_whole_bars_and_is_not_shared_silence() -> None:
    texture = ensemble(
        "2/4",
        A=line("q60 q60 | e60 q. 60 | rh | q60 q60".replace(". ", ".")),
        B=line("q50 q48 | e50 q.50 | rh | h48"),
        C=line("h40 | e40 q.40 | rh | h40"),
    )
    assert [(one.first, one.last, one.parts) for one in shared_rhythms(texture)] == [
        (1, 2, ("A", "B"))
    ]


BARS = st.lists(st.lists(st.sampled_from(["h", "q q", "e e q", "rh"]), min_size=3, max_size=3))


@given(BARS)
def test_shared_rhythms_hold_bar_by_bar_and_no_further(rows: list[list[str]]) -> None:
    parts = {name: line(" | ".join(row[which] for row in rows)) for which, name in enumerate("ABC")}
    for one in shared_rhythms(ensemble("2/4", **parts)):
        mine = [{row["ABC".index(part)] for part in one.parts} for row in rows]
        assert all(len(words) == 1 and words != {"rh"} for words in mine[one.first - 1 : one.last])
        for beyond in (one.first - 2, one.last):
            if 0 <= beyond < len(rows):
                assert len(mine[beyond]) > 1 or mine[beyond] == {"rh"}
