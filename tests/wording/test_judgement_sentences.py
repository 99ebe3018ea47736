"""What a player reads of a judgement, and the strip, sign by sign."""

from __future__ import annotations

from dataclasses import replace

from companion.listening.due_times import Due
from companion.listening.hearing import HeardNote, HeardTake
from companion.listening.judgement import Judgement, judgement
from companion.listening.taps import hear_taps
from companion.practice.proposed_outcome import proposed_outcome
from companion.wording.judgement_sentences import advice, numbers_told
from companion.wording.timing_strip import timing_strip
from tests.findings.ensembles import bar_name
from tests.listening.test_taps import both

STRIP = """\
bar          1                2                3                4
mine         │·  ›   ·   ›    │·  ›   ·   ›    │»  ›   ‹   ›    │·  ›   ·   ›
theirs       │· ·  · ·  × ·   │· ·  · ·  · ·   │· ·  · ·  · ·   │· ·  · ·  · ·
             │                │         +      │                │"""


def four_bars() -> Due:
    """Three against two, eight beats at 80."""
    due = both()
    return replace(due, notes=due.notes[:40], beats=due.beats[:8])


def tapped(late: float, *, with_faults: bool = False) -> Judgement:
    """The second of my two in each beat is late; perhaps one left out, one put in, two astray."""
    due = four_bars()
    own = {20: 0.07, 25: -0.03} if with_faults else {}
    taps = []
    for n, note in enumerate(due.notes):
        usual = late * (note.side == "mine" and note.quarters.denominator > 1)
        if not (with_faults and n == 7):
            taps.append((note.side, float(note.seconds) + own.get(n, usual)))
    extra = [("mine", 2.4)] if with_faults else []
    return judgement(hear_taps(due.notes, [*taps, *extra]).heard, due, reference="theirs")


def test_the_strip_has_a_row_a_side_and_a_sign_a_note() -> None:
    judged = tapped(0.03, with_faults=True)
    assert "\n".join(timing_strip(judged, bar_name)) == STRIP


def test_what_pulls_stands_above_the_bars_it_pulls_in() -> None:
    lines = timing_strip(tapped(0.03), bar_name, (), lambda bar: "3:2" if bar in (2, 3) else "")
    start, end = STRIP.index("2"), STRIP.index("4")
    assert lines[1] == "what pulls".ljust(start) + f"[3:2{'━' * (end - start - 5)}]"
    assert lines[0] == STRIP.split("\n")[0]


def test_the_strip_stays_within_a_screen() -> None:
    due = both()
    many = Due(
        tuple(replace(note, position=1 + n // 10) for n, note in enumerate(due.notes)), due.beats
    )
    taps = [(note.side, float(note.seconds)) for note in many.notes]
    lines = timing_strip(judgement(hear_taps(many.notes, taps).heard, many), bar_name)
    assert len(lines) <= 20
    assert max(map(len, lines)) <= 80


def test_late_twos_are_told_with_bar_beat_side_and_ratio() -> None:
    told = advice(tapped(0.06), bar_name)
    assert told.startswith(
        "Your own notes come 30 ms late, most in bar 1, beat 1 (58:42, not 50:50)"
    )


def test_nothing_amiss_is_told_in_one_sentence() -> None:
    assert advice(tapped(0.0), bar_name) == "Bars 1–4: in time, on every beat and on every side."


def test_what_cannot_be_told_is_told_so_and_tuning_is_not_judged() -> None:
    judged = tapped(0.0)
    notes = tuple(
        HeardNote(one.note, None if n == 9 else one.begun_s, n != 9)
        for n, one in enumerate(judged.notes)
    )
    again = judgement(HeardTake(notes, (), ()), four_bars(), reference="theirs")
    told = numbers_told(again, bar_name)
    assert any("of 1 it cannot be told when they began" in line for line in told)
    assert told[-1] == "Tuning is not judged."
    assert "?" in "".join(timing_strip(again, bar_name))
    assert again.missed == ()


def test_a_side_is_not_called_late_if_few_of_its_notes_are_clear() -> None:
    late = tapped(0.06)
    own = [n for n, one in enumerate(late.notes) if one.note.side == "mine"]
    unclear = {*own[: 2 * len(own) // 3 + 1]}
    notes = tuple(
        HeardNote(one.note, one.begun_s, n not in unclear) for n, one in enumerate(late.notes)
    )
    judged = judgement(HeardTake(notes, (), ()), four_bars(), reference="theirs")
    assert advice(judged, bar_name) == (
        "Whether your own notes come early or late cannot be told: of your own notes only 5 of 16"
        " were heard clearly; record it from nearer, or plucked."
    )
    assert proposed_outcome(judged) is None
    assert any("5 notes heard clearly, too few" in line for line in numbers_told(judged, bar_name))


def test_too_little_to_judge_is_told() -> None:
    due = four_bars()
    judged = judgement(hear_taps(due.notes, [("mine", 0.0), ("mine", 0.4)]).heard, due)
    assert advice(judged, bar_name) == "Too few notes were heard to judge."


def test_the_numbers_tell_late_notes_in_ms_and_as_a_share_of_the_beat() -> None:
    """Every other of mine is 60 ms late: 30 on the average, of beats of 750."""
    told = numbers_told(tapped(0.06), bar_name)
    assert "Your own notes: 30 ms late (4 % of the beat) on the average" in told[0]
