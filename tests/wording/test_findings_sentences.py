"""What a player reads of each finding. Trade words: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.findings.doublings import doublings, shared_rhythms
from companion.findings.entrances import entrances
from companion.findings.form import Return, Section
from companion.findings.handed_on import handed_on
from companion.findings.hardness import hardness
from companion.findings.heard_conflicts import HeardConflict, PartStrokes
from companion.findings.interlock import interlocks
from companion.findings.polymeter import polymeters
from companion.rhythm.meter import parse
from companion.rhythm.tempo_relation import Same, meter_change, pace_after
from companion.score.laying import lay
from companion.score.texture import texture_of
from companion.wording.coaching_sentences import hardness_reasons
from companion.wording.findings_sentences import (
    doubling_told,
    entrance_told,
    form_told,
    handed_on_told,
    how_long,
    interlock_told,
    meter_change_told,
    notated_told,
    polymeter_told,
    pull_between_hands_told,
    pull_told,
    return_told,
    shared_rhythm_told,
)
from companion.wording.phrases import count_told
from tests.findings.ensembles import bar_name, ensemble, line, mixed, shifted
from tests.findings.music import heard_conflict, texture
from tests.score.written import score

NAMES = {"A": "Violin I", "B": "Violin II", "C": "Cello", "V": "Viola", "W": "Flute"}
MUSIC = texture("2/4", V="e3 e3 e3 e3 e3 e3 " * 2, C="e e e e e e e e")


def conflict(m: int, n: int, more: tuple[str, ...] = ("V",), last: int = 2) -> Conflict:
    return Conflict(1, last, (m, n), "beat", "rhythm", (Side(m, more), Side(n, ("C",))))


def test_a_pull_says_who_divides_how_and_how_to_count_it() -> None:
    three = conflict(3, 2)
    assert pull_told(three, heard_conflict(three, MUSIC), "V", NAMES, bar_name) == (
        "Bars 1–2: 3 against 2 in the beat. You divide it into 3, Cello into 2. "
        "Count 1 2& 3. 8 of your 12 notes fall alone."
    )


def test_a_pull_over_half_a_bar_is_not_told_of_the_bar() -> None:
    sides = Side(6, ("V",)), Side(4, ("C",))
    half = Conflict(1, 2, (3, 2), "bar", "rhythm", sides, ((1, 2), (3, 4)))
    told = pull_told(half, heard_conflict(half, MUSIC), "V", NAMES, bar_name)
    assert told.startswith(
        "Bars 1–2: 3 against 2 in the half bar. You divide it into 3, Cello into 2. Count 1 2& 3. "
    )


def test_a_pull_that_is_only_written_is_a_matter_of_reading() -> None:
    on_the_page = Conflict(1, 2, (3, 2), "beat", "notated", (Side(3, ("V",)), Side(2, ("C",))))
    assert notated_told(on_the_page, NAMES, bar_name) == (
        "Bars 1–2: 3 against 2 stands on the page only: Viola in 3, Cello in 2. Nobody plays the "
        "other division: take care in reading, there is nothing to drill."
    )


def test_unequal_beats_are_counted_in_the_pulse_both_share() -> None:
    sides = Side(4, ("V",), (2, 2, 2, 2)), Side(3, ("C",), (3, 2, 3))
    unequal = Conflict(1, 1, (4, 3), "bar", "meter", sides)
    assert pull_between_hands_told(unequal, bar_name) == (
        "Bar 1: 4 against 3+2+3 in the bar between your own staves, 4 against 3. "
        "Count 1 2 3 4 5 6 7 8: 4 divides at 1, 3, 5 and 7, 3+2+3 at 1, 4 and 6."
    )


def test_the_reasons_for_hardness_come_by_weight() -> None:
    three = conflict(3, 2)
    hard = hardness(three, heard_conflict(three, MUSIC), "V", Fraction(3, 2))
    assert hardness_reasons(hard, three) == (
        "8 of your 12 notes fall alone",
        "you are alone on your side against 1 part",
        "at 40 beats a minute neighbouring strokes are as close as 250 ms",
        "3 against 2 makes 4 different strokes",
        "it lasts 2 bars",
    )


@pytest.mark.parametrize(
    ("part", "reason"),
    [
        ("V", "1 part with you, 1 against you"),
        ("B", "you rest here"),
        ("X", "you are on neither side"),
    ],
)
def test_help_and_absence_are_reasons_too(part: str, reason: str) -> None:
    three = conflict(3, 2, more=("V", "W", "B"))
    strokes = [PartStrokes(name, 4 * (name != "B"), 0) for name in "VWBC"]
    hard = hardness(three, HeardConflict(1, 1, (), tuple(strokes)), part)
    assert reason in hardness_reasons(hard, three)


def test_barlines_that_travel_apart_are_told_with_where_they_meet() -> None:
    free = score(free=frozenset({"C"}), V="3/4 q q q | q q q", C="2/4 q q | q q | q q")
    (found,) = polymeters(texture_of(lay(free)))
    assert polymeter_told(found, "P2", {"P1": "Viola"}, bar_name) == (
        "Bars 1–2: your bars are 2/4, those of Viola 3/4. "
        "Your barlines meet after 3 of your bars and 2 of theirs."
    )


def again(**more: object) -> Return:
    facts: dict[str, object] = {
        **{"first": 20, "last": 27, "model_first": 1, "model_last": 8, "semitones": 0},
        **{"kind": "exact", "differing": (), "differing_by_part": (), "departs": 28},
    }
    return Return(**(facts | more))  # type: ignore[arg-type]


DIFFERING = {"kind": "changed", "differing": (22, 25), "departs": 22}
BY_PART = (("V", ()), ("C", (22, 25)), ("A", (20, 21, 22, 23, 24, 26)), ("B", tuple(range(20, 28))))


@pytest.mark.parametrize(
    ("found", "part", "sentence"),
    [
        (again(), "V", "bars 1–8 again, note for note; different from bar 28."),
        (again(semitones=5, departs=None), "V", "bars 1–8 again a fourth higher, note for note."),
        (again(kind="shortened", departs=22), "V", "bars 1–8 again, shortened, note for note."),
        (
            again(**DIFFERING, differing_by_part=BY_PART),
            "V",
            "bars 1–8 again, your notes the same; others differ in bars 22 and 25.",
        ),
        (
            again(**DIFFERING, differing_by_part=BY_PART),
            "C",
            "bars 1–8 again, your notes different only in bars 22 and 25.",
        ),
        (
            again(**DIFFERING, differing_by_part=BY_PART),
            "A",
            "bars 1–8 again, your notes the same only in bars 25 and 27.",
        ),
        (
            again(**DIFFERING, differing_by_part=BY_PART),
            "B",
            "bars 1–8 again, your notes changed throughout.",
        ),
    ],
)
def test_a_return_says_what_it_saves_and_where_to_take_care(
    found: Return, part: str, sentence: str
) -> None:
    assert return_told(found, part, bar_name) == f"Bars 20–27: {sentence}"


def test_a_repeat_is_not_said_to_become_different_after_it() -> None:
    assert "different" not in return_told(again(first=9, last=16, departs=17), "V", bar_name)


def test_the_form_is_said_to_be_a_reading() -> None:
    sections = [
        Section(1, 9, "A", False, None),
        Section(10, 47, "B", False, None),
        Section(48, 61, "A", True, 56),
    ]
    assert form_told(sections, bar_name) == (
        "The form, as its returns suggest: A bars 1–9, B bars 10–47, A′ bars 48–61; "
        "A′ is different from bar 56."
    )
    assert form_told((), bar_name) == "No large section returns."


def test_who_has_my_line_and_who_my_rhythm() -> None:
    tune = line("q60 e62 e64 q65 q64 | e62 e60 h.67")
    (found,) = doublings(ensemble("4/4", A=tune, B=shifted(tune, 0, -12), C=tune))
    assert doubling_told(found, "B", NAMES, bar_name) == (
        "Bars 1–2: you play 8 notes in octaves with Violin I and Cello: tune together."
    )
    (shared,) = shared_rhythms(
        ensemble("2/4", A=line("q60 q60 | h60 q60"), B=line("q50 q48 | h50 q50"))
    )
    assert shared_rhythm_told(shared, "A", NAMES, bar_name) == (
        "Bars 1–3: you have the same rhythm as Violin II."
    )


def test_an_entrance_is_told_with_its_rest_and_its_cue() -> None:
    music = mixed(
        {"V": "6/8", "C": "3/4"},
        {
            "V": line("q.60 q.60") + line("e72", start=138),
            "C": line("h.48 | h.46 | h.47 | q48 q50 e52 e53"),
        },
    )
    (found,) = entrances(music, "V")
    assert entrance_told(found, NAMES, bar_name) == (
        "Bar 4, beat 2 2/3: you enter after 2 empty bars, 5 2/3 beats (8 1/2 beats for Cello). "
        "Listen to Cello: 4 notes going up, the last 1/3 beat before you, in 3/4. "
        "With you: Cello."
    )
    (bare,) = entrances(ensemble("2/4", V=line("rh rh q60"), C=line("rh rh q48")), "V")
    assert entrance_told(bare, NAMES, bar_name) == (
        "Bar 3: you enter after 2 empty bars, 4 beats. With you: Cello."
    )


def test_a_figure_on_its_way_is_told_with_the_players_own_entry() -> None:
    figure = line("e60 e62 e64 e65 e64 e62 q60")
    music = ensemble("4/4", A=figure, B=shifted(figure, 48, -5), C=shifted(figure, 96, -12))
    (found,) = handed_on(music)
    assert handed_on_told(found, "C", NAMES, bar_name) == (
        "Bars 1–3: a line of 7 notes is handed on: Violin I, then Violin II, then you. "
        "You enter in bar 3, 4 beats after Violin II, a fifth lower."
    )


def test_an_even_stream_is_told_with_the_players_own_pulses() -> None:
    def pulses(places: list[int]) -> list[tuple[int, int, int]]:
        return [(12 * place, 12, 60) for place in places]

    (found,) = interlocks(ensemble("4/4", A=pulses([0, 3, 4, 7]), B=pulses([1, 2, 5, 6])))
    assert interlock_told(found, "B", NAMES, bar_name) == (
        "Bars 1–2: with Violin I you make even quarters. Yours are 2, 3 in bars 1–2."
    )
    after = ensemble("3/4", V=pulses([1, 2, 4, 5, 7, 8]), C=pulses([0, 3, 6]))
    (found,) = interlocks(after)
    assert interlock_told(found, "V", NAMES, bar_name) == (
        "Bars 1–3: even quarters, you have the after-beats, Cello the beats."
    )


def change_told(old: str, new: str, same: Same, bpm: int | None = None) -> str:
    after = pace_after(same, parse(old), parse(new), Fraction(1))
    change = meter_change(5, parse(old), parse(new), Fraction(1), after)
    return meter_change_told(change, None if bpm is None else Fraction(bpm))


@pytest.mark.parametrize(
    ("old", "new", "same", "sentence"),
    [
        (
            "6/8",
            "2/4",
            Same.BEAT,
            "beat stays at 72; eighths go from 3 to 2 a beat, "
            "so an eighth becomes half as long again",
        ),
        (
            "2/4",
            "6/8",
            Same.BEAT,
            "beat stays at 72; eighths go from 2 to 3 a beat, "
            "so an eighth becomes two thirds as long",
        ),
        (
            "6/8",
            "2/4",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to quarters, so the beat becomes "
            "two thirds as long (72 to 108); still 2 beats a bar, the bar two thirds as long",
        ),
        (
            "6/8",
            "3/4",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to quarters, so the beat becomes "
            "two thirds as long (72 to 108); 2 beats a bar become 3, the bar as long as before",
        ),
        (
            "4/4",
            "3/4",
            Same.NOTE,
            "beat stays at 72, note values too; "
            "4 beats a bar become 3, the bar three quarters as long",
        ),
        (
            "2/2",
            "6/8",
            Same.BEAT,
            "beat stays at 72; it is now a dotted quarter instead of a half, "
            "so every note value becomes a third longer",
        ),
        (
            "2/2",
            "4/4",
            Same.NOTE,
            "note values stay; beats go from halves to quarters, so the beat becomes "
            "half as long (72 to 144); 2 beats a bar become 4, the bar as long as before",
        ),
        (
            "6/8",
            "3+4/8",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to 3 + 4 eighths; "
            "still 2 beats a bar, the bar 7/6 times as long",
        ),
    ],
)
def test_a_change_of_meter_is_told_in_one_sentence(
    old: str, new: str, same: Same, sentence: str
) -> None:
    assert change_told(old, new, same, 72) == sentence


def test_without_a_tempo_none_is_named() -> None:
    assert change_told("6/8", "2/4", Same.BEAT).startswith("beat stays; eighths go")


def test_if_neither_beat_nor_note_value_stays_both_are_told() -> None:
    change = meter_change(5, parse("6/8"), parse("2/4"), Fraction(1), Fraction(5, 4))
    assert not change.keeps_beat and not change.keeps_notes
    assert meter_change_told(change, Fraction(72)) == (
        "beat and note values change: the beat becomes 5/6 times as long (72 to 86.4), "
        "every note value becomes a quarter longer"
    )


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        ("3/2", "half as long again"),
        ("2", "twice as long"),
        ("2/3", "two thirds as long"),
        ("4/3", "a third longer"),
        ("7/5", "7/5 times as long"),
    ],
)
def test_common_proportions_have_words(ratio: str, words: str) -> None:
    assert how_long(Fraction(ratio)) == words


def test_a_ratio_is_counted_from_either_side_by_exact_places() -> None:
    assert count_told(3, 2) == "1 2& 3"
    assert count_told(4, 3) == (
        "1 2 3 4; the threes fall on 1, a third after 2 and two thirds after 3; "
        "or count 12: 1 4 7 10 and 1 5 9"
    )
    assert count_told(3, 4).startswith(
        "1 2 3; the fours fall on 1, three quarters after 1, the & of 2 and a quarter after 3"
    )
    assert count_told(5, 3) == (
        "1 2 3 4 5; the threes fall on 1, two thirds after 2 and a third after 4"
    )
