"""What stands between the notes: words, dynamics, jumps, tempos, clefs."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from companion.score.model import Mark, PartBar, Score, TempoMark

BarsOf = Callable[..., tuple[PartBar, ...]]
ScoreOf = Callable[..., Score]

IN_TWO = """<attributes><divisions>4</divisions>
  <time><beats>2</beats><beat-type>4</beat-type></time></attributes>"""
QUARTER = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note>"


def direction(*types: str, more: str = "") -> str:
    inside = "".join(f"<direction-type>{kind}</direction-type>" for kind in types)
    return f"<direction>{inside}{more}</direction>"


def marks(bar: PartBar) -> list[tuple[int, str, str]]:
    return [(mark.onset, mark.kind, mark.text) for mark in bar.marks]


@pytest.mark.parametrize(
    ("printed", "mark"),
    [
        ("<words>dolce</words>", ("words", "dolce")),
        ("<words> poco\n  rit. </words>", ("words", "poco rit.")),
        ("<words>Allegro </words><words>assai</words>", ("words", "Allegro assai")),
        ("<words>Allegro</words><words>assai</words>", ("words", "Allegro assai")),
        ("<dynamics><mf/></dynamics>", ("dynamic", "mf")),
        ("<dynamics><sf/><p/></dynamics>", ("dynamic", "sfp")),
        ("<dynamics><other-dynamics>ffff</other-dynamics></dynamics>", ("dynamic", "ffff")),
        ("<rehearsal>C</rehearsal>", ("rehearsal", "C")),
        ('<wedge type="crescendo"/>', ("wedge", "crescendo")),
        ("<segno/>", ("segno", "")),
        ("<coda/>", ("coda", "")),
    ],
)
def test_what_is_printed_stands_at_its_place(
    bars_of: BarsOf, printed: str, mark: tuple[str, str]
) -> None:
    assert marks(bars_of(IN_TWO + QUARTER + direction(printed))[0]) == [(4, *mark)]


def test_an_offset_moves_what_is_printed_and_not_what_is_heard(bars_of: BarsOf) -> None:
    # MusicXML 4.0, element offset: sound is not moved unless sound="yes"
    printed = ("<dynamics><p/></dynamics>", metronome("quarter", "60"))
    bar = bars_of(IN_TWO + direction(*printed, more="<offset>2</offset>") + QUARTER * 2)[0]
    assert (marks(bar), bar.tempos[0].onset) == ([(2, "dynamic", "p")], 0)
    bar = bars_of(IN_TWO + direction(*printed, more='<offset sound="yes">2</offset>') + QUARTER)[0]
    assert (marks(bar), bar.tempos[0].onset) == ([(2, "dynamic", "p")], 2)


def test_a_mark_names_its_staff(bars_of: BarsOf) -> None:
    low = direction("<words>ped.</words>", more="<staff>2</staff>")
    assert bars_of(low)[0].marks == (Mark(0, "words", "ped.", 2),)


@pytest.mark.parametrize(
    ("written", "pluck"),
    [
        (direction("<words>pizz.</words>"), "pizz"),
        (direction("<words>Pizzicato</words>"), "pizz"),
        (direction("<words>arco</words>"), "arco"),
        ('<sound pizzicato="yes"/>', "pizz"),
        ('<sound pizzicato="no"/>', "arco"),
        (direction("<words>pizz.</words>", more='<sound pizzicato="yes"/>'), "pizz"),
    ],
)
def test_plucking_and_bowing_are_known(bars_of: BarsOf, written: str, pluck: str) -> None:
    plucks = [mark.text for mark in bars_of(written)[0].marks if mark.kind == "pluck"]
    assert plucks == [pluck]


@pytest.mark.parametrize(
    ("written", "kind", "text"),
    [
        ('<sound dacapo="yes"/>', "dacapo", ""),
        ('<sound dalsegno="A"/>', "dalsegno", "A"),
        ('<sound tocoda="1"/>', "tocoda", "1"),
        ('<sound fine="yes"/>', "fine", ""),
        (direction("<segno/>", more='<sound segno="A"/>'), "segno", ""),
        (direction("<words>D.C. al Fine</words>"), "dacapo", "D.C. al Fine"),
        (direction("<words>DC al Fine</words>"), "dacapo", "DC al Fine"),
        (direction("<words>Dal Segno</words>"), "dalsegno", "Dal Segno"),
        (direction("<words>Fine</words>", more='<sound fine="yes"/>'), "fine", "Fine"),
        (direction("<words>To Coda</words>"), "tocoda", "To Coda"),
    ],
)
def test_jumps_are_told_once(bars_of: BarsOf, written: str, kind: str, text: str) -> None:
    jumps = [(m.kind, m.text) for m in bars_of(written)[0].marks if m.kind != "words"]
    assert jumps == [(kind, text)]


@pytest.mark.parametrize(
    "words", ["al fine della pagina, poco a poco", "marcato", "codetta", "gli DC che"]
)
def test_ordinary_words_are_no_jumps(bars_of: BarsOf, words: str) -> None:
    assert marks(bars_of(direction(f"<words>{words}</words>"))[0]) == [(0, "words", words)]


@pytest.mark.parametrize(
    ("clef", "text"),
    [
        ("<sign>C</sign><line>3</line>", "C3"),
        ("<sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change>", "G2-8"),
        ("<sign>F</sign><line>4</line><clef-octave-change>2</clef-octave-change>", "F4+15"),
        ("<sign>percussion</sign>", "percussion"),
    ],
)
def test_clefs_name_sign_line_and_octave(bars_of: BarsOf, clef: str, text: str) -> None:
    bar = bars_of(f"<attributes><clef>{clef}</clef></attributes>")[0]
    assert marks(bar) == [(0, "clef", text)]


# --- tempos ----------------------------------------------------------------------


def metronome(unit: str, per_minute: str, dots: int = 0) -> str:
    return (
        f"<metronome><beat-unit>{unit}</beat-unit>{'<beat-unit-dot/>' * dots}"
        f"<per-minute>{per_minute}</per-minute></metronome>"
    )


@pytest.mark.parametrize(
    ("text", "per_minute"),
    [
        ("72", Fraction(72)),
        ("c. 72", Fraction(72)),
        ("ca.72", Fraction(72)),
        ("66.5", Fraction(133, 2)),
        ("66,5", Fraction(133, 2)),
        (" = 120 ", Fraction(120)),
    ],
)
def test_a_metronome_number_is_read_out_of_its_text(
    bars_of: BarsOf, text: str, per_minute: Fraction
) -> None:
    bar = bars_of(direction(metronome("quarter", text)))[0]
    assert bar.tempos == (TempoMark(0, Fraction(1), per_minute),)


@pytest.mark.parametrize("text", ["-5", "−5", "100000", "0", "allegro"])
def test_a_metronome_mark_without_a_usable_number_is_told(score_of: ScoreOf, text: str) -> None:
    score = score_of(IN_TWO + direction(metronome("quarter", text)))
    assert score.parts[0].bars[0].tempos == ()
    assert "without a usable number" in score.slips[0][1]


def test_a_range_is_read_as_its_first_number_and_told(score_of: ScoreOf) -> None:
    score = score_of(IN_TWO + direction(metronome("half", "72-76")))
    assert score.parts[0].bars[0].tempos == (TempoMark(0, Fraction(2), Fraction(72)),)
    assert score.slips == ((1, "Viola: the metronome mark “72-76” was read as 72"),)


@pytest.mark.parametrize(
    ("unit", "dots", "beat"),
    [
        *[("eighth", 0, Fraction(1, 2)), ("quarter", 1, Fraction(3, 2))],
        *[("quarter", 2, Fraction(7, 4)), ("half", 0, Fraction(2)), ("16th", 0, Fraction(1, 4))],
    ],
)
def test_a_metronome_mark_names_its_beat(
    bars_of: BarsOf, unit: str, dots: int, beat: Fraction
) -> None:
    assert bars_of(direction(metronome(unit, "60", dots)))[0].tempos[0].beat == beat


def test_dotted_quarter_equals_quarter(bars_of: BarsOf) -> None:
    # the example of check against MusicXML 4.0, element metronome, in its two-note form
    both = "<beat-unit>quarter</beat-unit><beat-unit-dot/><beat-unit>quarter</beat-unit>"
    bar = bars_of(direction(f"<metronome>{both}</metronome>"))[0]
    assert bar.tempos == (TempoMark(0, Fraction(3, 2), None, Fraction(1)),)


def test_tied_beat_units_add_up(bars_of: BarsOf) -> None:
    # a half tied to an eighth equals a dotted quarter
    both = """<beat-unit>half</beat-unit>
      <beat-unit-tied><beat-unit>eighth</beat-unit></beat-unit-tied>
      <beat-unit>quarter</beat-unit><beat-unit-dot/>"""
    bar = bars_of(direction(f"<metronome>{both}</metronome>"))[0]
    assert bar.tempos == (TempoMark(0, Fraction(5, 2), None, Fraction(3, 2)),)


def test_a_relation_of_written_out_notes(bars_of: BarsOf) -> None:
    # two eighths = a quarter and an eighth of a triplet
    eighth = "<metronome-note><metronome-type>eighth</metronome-type></metronome-note>"
    third = """<metronome-note><metronome-type>{}</metronome-type><metronome-tuplet type="start">
      <actual-notes>3</actual-notes><normal-notes>2</normal-notes></metronome-tuplet>
      </metronome-note>"""
    relation = "<metronome-relation>equals</metronome-relation>"
    swing = eighth * 2 + relation + third.format("quarter") + third.format("eighth")
    bar = bars_of(direction(f"<metronome>{swing}</metronome>"))[0]
    assert bar.tempos == (TempoMark(0, Fraction(1), None, Fraction(1)),)


def test_a_sound_tempo_counts_quarters_whatever_the_meter(bars_of: BarsOf) -> None:
    # MusicXML 4.0, sound: tempo is in quarter notes a minute; 6/8 at dotted quarter 80 is 120
    printed = direction(metronome("quarter", "80", 1), more='<sound tempo="120"/>')
    assert bars_of(printed)[0].tempos == (
        TempoMark(0, Fraction(3, 2), Fraction(80)),
        TempoMark(0, Fraction(1), Fraction(120), is_printed=False),
    )


@pytest.mark.parametrize(
    "written",
    [
        *(direction(metronome("quarter", text)) for text in ("", "fast", "0", "99999999")),
        direction(metronome("crotchet", "60")),
        direction("<metronome/>"),
        *(f'<sound tempo="{tempo}"/>' for tempo in ("0", "-60", "x", "1e9", "inf")),
    ],
)
def test_a_tempo_that_makes_no_sense_is_left_out_and_told(score_of: ScoreOf, written: str) -> None:
    score = score_of(IN_TWO + written)
    assert score.parts[0].bars[0].tempos == ()
    assert "was left out" in score.slips[0][1]
