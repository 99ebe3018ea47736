"""Notes as MusicXML 4.0 writes them: pitch, chords, ties, grace, cue, rests, marks."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from companion.score.abbreviations import sounding_bar_notes
from companion.score.model import TIE_STARTS, TIE_STOPS, Note, PartBar, Score

BarsOf = Callable[..., tuple[PartBar, ...]]
ScoreOf = Callable[..., Score]

IN_THREE = """<attributes><divisions>4</divisions>
  <time><beats>3</beats><beat-type>4</beat-type></time></attributes>"""


def note(pitch: str = "C4", duration: int = 4, before: str = "", after: str = "") -> str:
    step, alter, octave = pitch[0], pitch[1:-1], pitch[-1]
    sharps = {"#": 1, "b": -1, "##": 2, "bb": -2, "": 0}[alter]
    bend = f"<alter>{sharps}</alter>" if sharps else ""
    length = f"<duration>{duration}</duration>" if duration else ""
    return (
        f"<note>{before}<pitch><step>{step}</step>{bend}<octave>{octave}</octave></pitch>"
        f"{length}{after}</note>"
    )


def notes(bar: PartBar) -> list[tuple[int, int, str]]:
    return [(note.onset, note.length, note.pitch) for note in bar.notes]


@pytest.mark.parametrize("pitch", ["C4", "F#4", "Bb3", "C##5", "Ebb2", "G0", "A9"])
def test_pitches_keep_their_spelling(bars_of: BarsOf, pitch: str) -> None:
    assert bars_of(note(pitch))[0].notes[0].pitch == pitch


@pytest.mark.parametrize(
    ("alter", "name"),
    [("0.5", "F^4"), ("-0.5", "F~4"), ("1.5", "F#^4"), ("-1.5", "Fb~4"), ("0", "F4"), ("-0", "F4")],
)
def test_quarter_tones_end_the_name(bars_of: BarsOf, alter: str, name: str) -> None:
    pitch = f"<pitch><step>F</step><alter>{alter}</alter><octave>4</octave></pitch>"
    assert bars_of(f"<note>{pitch}<duration>1</duration></note>")[0].notes[0].pitch == name


def test_a_note_on_no_pitch_is_unpitched(bars_of: BarsOf) -> None:
    tap = "<note><unpitched><display-step>E</display-step></unpitched><duration>1</duration></note>"
    assert bars_of(tap)[0].notes[0] == Note(0, 1, "x")


def test_a_pitch_that_makes_no_sense_is_unpitched_and_told(score_of: ScoreOf) -> None:
    odd = "<note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note>"
    score = score_of(odd)
    assert score.parts[0].bars[0].notes[0].pitch == "x"
    assert (1, "Viola: a note without a readable pitch was taken as unpitched") in score.slips


def test_a_double_stop_sounds_at_once(bars_of: BarsOf) -> None:
    # quarter D4 with A4, quarter E4
    bar = bars_of(IN_THREE + note("D4") + note("A4", before="<chord/>") + note("E4"))[0]
    assert notes(bar) == [(0, 4, "D4"), (0, 4, "A4"), (4, 4, "E4")]
    assert [note.in_chord for note in bar.notes] == [False, True, False]


def test_a_chord_note_that_names_no_voice_is_in_that_of_the_first(bars_of: BarsOf) -> None:
    where = "<voice>3</voice><staff>2</staff>"
    bar = bars_of(note("D4", after=where) + note("A4", before="<chord/>"))[0]
    assert [(note.voice, note.staff) for note in bar.notes] == [("3", 2), ("3", 2)]


def test_a_chord_without_its_first_note_stands_alone(score_of: ScoreOf) -> None:
    score = score_of(IN_THREE + note("A4", before="<chord/>") + note("E4"))
    assert notes(score.parts[0].bars[0]) == [(0, 4, "A4"), (4, 4, "E4")]
    assert score.slips[0] == (
        1,
        "Viola: a chord lacks its first note; the next one was taken for it",
    )


def test_a_tie_across_the_barline_is_one_sound(bars_of: BarsOf) -> None:
    first, second = bars_of(
        IN_THREE + note("A4", 12, after='<tie type="start"/>'),
        note("A4", 4, after='<tie type="stop"/><tie type="start"/>')
        + note("A4", 8, after='<tie type="stop"/>'),
    )
    assert first.notes[0].tie == TIE_STARTS
    assert [note.tie for note in second.notes] == [TIE_STOPS + TIE_STARTS, TIE_STOPS]
    assert [note.is_struck for note in first.notes + second.notes] == [True, False, False]


def test_a_tie_only_drawn_is_a_tie(bars_of: BarsOf) -> None:
    drawn = '<notations><tied type="start"/></notations>'
    assert bars_of(note(after=drawn))[0].notes[0].tie == TIE_STARTS


def test_grace_notes_take_no_time(bars_of: BarsOf) -> None:
    # a quarter, a slurred grace note before the next quarter, and one after it at the barline
    grace = note("B4", 0, before='<grace slash="yes"/>')
    bar = bars_of(IN_THREE + note("A4") + grace + note("C5", 8) + grace)[0]
    assert notes(bar) == [(0, 4, "A4"), (4, 0, "B4"), (4, 8, "C5"), (12, 0, "B4")]
    assert [note.is_grace for note in bar.notes] == [False, True, False, True]
    assert bar.filled == 12


def test_cue_notes_take_time_and_are_not_played(bars_of: BarsOf) -> None:
    bar = bars_of(IN_THREE + note("A4", 8, before="<cue/>") + note("B4"))[0]
    assert notes(bar) == [(0, 8, "A4"), (8, 4, "B4")]
    assert [note.is_struck for note in bar.notes] == [False, True]


REST = "<note><rest/><duration>{}</duration>{}</note>"


@pytest.mark.parametrize(
    ("rest", "fills"),
    [
        ('<note><rest measure="yes"/><duration>12</duration></note>', True),
        ('<note><rest measure="yes"/><duration>16</duration></note>', True),  # a wrong length
        (REST.format(12, ""), True),  # before version 2.0
        (REST.format(12, "<type>whole</type>"), True),  # a whole rest in 3/4
        (REST.format(12, "<type>half</type><dot/>"), False),
        (REST.format(8, "<type>half</type>"), False),
    ],
)
def test_a_rest_for_the_whole_bar_is_known(bars_of: BarsOf, rest: str, fills: bool) -> None:
    bar = bars_of(IN_THREE + rest)[0]
    assert bar.notes[0].is_rest
    assert bar.notes[0].fills_bar == fills
    assert (bar.filled == 0) == fills


def test_rests_move_the_music_on(bars_of: BarsOf) -> None:
    bar = bars_of(IN_THREE + REST.format(4, "<type>quarter</type>") + note("A4", 8))[0]
    assert notes(bar) == [(0, 4, ""), (4, 8, "A4")]


def test_signs_keep_their_own_words(bars_of: BarsOf) -> None:
    signs = """<notations><fermata/><articulations><staccato/><accent/></articulations>
      <technical><up-bow/></technical>
      <ornaments><trill-mark/><wavy-line type="stop"/><tremolo type="single">3</tremolo>
      <accidental-mark>flat</accidental-mark></ornaments><arpeggiate/></notations>
      <notations><slide type="start"/></notations>"""
    assert bars_of(note(after=signs))[0].notes[0].marks == (
        *("fermata", "staccato", "accent", "up-bow"),
        *("trill-mark", "tremolo-3", "arpeggiate", "slide"),
    )


def test_a_dynamic_on_a_note_belongs_to_its_place(bars_of: BarsOf) -> None:
    bar = bars_of(note() + note(after="<notations><dynamics><f/></dynamics></notations>"))[0]
    assert [(m.kind, m.text) for m in bar.marks] == [("dynamic", "f")]
    assert bar.marks[0].onset == bar.notes[1].onset


def test_missing_divisions_count_quarters(score_of: ScoreOf) -> None:
    score = score_of(note("C4", 1) + note("D4", 2))
    assert notes(score.parts[0].bars[0]) == [(0, score.ticks, "C4"), (score.ticks, 2, "D4")]


def test_a_note_without_a_duration_takes_that_of_its_type(score_of: ScoreOf) -> None:
    score = score_of(IN_THREE + note("C4", 0, after="<type>half</type>") + note("D4", 4))
    assert notes(score.parts[0].bars[0]) == [(0, 8, "C4"), (8, 4, "D4")]
    assert score.slips[0][1] == "Viola: a note has no duration; its type was taken"


@pytest.mark.parametrize("text", ["-4", "x", "", "1e99", "nan", "١"])
def test_an_odd_duration_never_stops_the_reader(bars_of: BarsOf, text: str) -> None:
    bar = bars_of(f"<note><rest/><duration>{text}</duration></note>" + note("D4", 1))[0]
    assert bar.notes[-1].pitch == "D4"


@pytest.mark.parametrize(
    ("transpose", "semitones"),
    [
        ("<chromatic>0</chromatic><octave-change>-1</octave-change>", -12),  # double bass
        ("<diatonic>-1</diatonic><chromatic>-2</chromatic>", -2),  # clarinet in B flat
        ("<diatonic>-5</diatonic><chromatic>-9</chromatic><double/>", -9),
        ("<diatonic>1</diatonic><chromatic>3</chromatic>", 3),  # clarinet in E flat
        ("<chromatic>-2</chromatic><octave-change>-1</octave-change>", -14),  # tenor saxophone
    ],
)
def test_pitch_stays_written_and_the_transposition_is_told(
    score_of: ScoreOf, transpose: str, semitones: int
) -> None:
    header = f"<attributes><transpose>{transpose}</transpose></attributes>"
    part = score_of(header + note("C4")).parts[0]
    assert part.semitones == semitones
    assert part.bars[0].notes[0].pitch == "C4"


def test_a_change_of_transposition_is_told(score_of: ScoreOf) -> None:
    change = "<attributes><transpose><chromatic>{}</chromatic></transpose></attributes>"
    score = score_of(change.format(-2) + note(), change.format(-3) + note())
    assert score.parts[0].semitones == -2
    assert (2, "Viola: its transposition changes; the first one was kept throughout") in score.slips


def test_keys_hold_until_the_next_one(bars_of: BarsOf) -> None:
    key = "<attributes><key><fifths>{}</fifths></key></attributes>"
    bars = bars_of(key.format(-3) + note(), note() + key.format(2), note())
    assert [bar.fifths for bar in bars] == [-3, -3, 2]


def test_ticks_are_fine_enough_for_strokes_the_file_never_counts(score_of: ScoreOf) -> None:
    """One division to the quarter, and sixteenths abbreviated on a half note."""
    bar = score_of(
        "<attributes><divisions>1</divisions></attributes><note><pitch><step>C</step>"
        "<octave>4</octave></pitch><duration>2</duration><type>half</type><notations>"
        '<ornaments><tremolo type="single">2</tremolo></ornaments></notations></note>'
    )
    written = bar.parts[0].bars[0]
    sounding = sounding_bar_notes(written, bar.ticks)
    assert written.is_abbreviated
    assert [Fraction(note.onset, bar.ticks) for note in sounding] == [
        Fraction(number, 4) for number in range(8)
    ]


@pytest.mark.parametrize("number", ["²", "9" * 5000, "-1", "two", "", "0", "1.5"])
def test_a_tremolo_without_a_readable_number_is_unmeasured(bars_of: BarsOf, number: str) -> None:
    sign = f"<notations><ornaments><tremolo>{number}</tremolo></ornaments></notations>"
    bar = bars_of(note(after=sign))[0]
    assert bar.notes[0].marks == ("tremolo-3",)
    assert sounding_bar_notes(bar, 4) == bar.notes
