"""The click as a MIDI file through two other readers: strokes, meters, tempos, barlines."""

import warnings
from fractions import Fraction
from itertools import cycle, islice
from pathlib import Path

import partitura
import pretty_midi
import pytest

from companion.click.export.conductor_track import TICKS, measures, quarters_at, ticks
from companion.click.export.midi import write
from companion.click.plan.layers import Layer
from companion.score.model import Score
from tests.click.asking import ALL, click, held, seconds, take
from tests.click.conducted import meters, tempos
from tests.score.written import score, score_of

MIXED = [
    ("3:2 in the beat", score(V="6/8 * | *", C="2/4 * | *"), 80),
    ("5:4 in the bar", score_of({"V": "5/4 * | *", "C": "4/4 * | *"}), 100),
    ("unequal beats", held(["3+4/8", "4/4", "5/8", "3+4/8"]), Fraction(145, 2)),
    ("changing beats", score(V="6/8 q. q. | 2/4 q q | 3/4 q q q | 9/8 q. q. q."), 66),
    ("an upbeat", score(V="3/4 q | q q q | 6/8 q. q."), 90),
]


@pytest.mark.parametrize(("made", "bpm"), [case[1:] for case in MIXED], ids=[c[0] for c in MIXED])
def test_another_reader_hears_the_strokes_where_they_are_planned(
    made: Score, bpm: Fraction, tmp_path: Path
) -> None:
    # pretty_midi 0.2.11: seconds from ticks through the file's own tempo events.
    chosen = take(made)
    planned = click(chosen, bpm, ALL, count_in=1, repeat=3)
    write(planned, chosen, tmp_path / "click.mid")
    heard = pretty_midi.PrettyMIDI(str(tmp_path / "click.mid"))
    for instrument in heard.instruments:
        assert instrument.is_drum
        expected = seconds(planned, Layer(instrument.name))
        starts = [note.start for note in instrument.notes]
        assert starts == pytest.approx([float(at) for at in expected], abs=1e-4)
    assert len(heard.instruments) == len({stroke.layer for stroke in planned.strokes})


@pytest.mark.parametrize(("made", "bpm"), [case[1:] for case in MIXED], ids=[c[0] for c in MIXED])
def test_a_score_reader_sees_the_meters_and_tempos_where_they_are_planned(
    made: Score, bpm: Fraction, tmp_path: Path
) -> None:
    # partitura 1.9: meters and tempos placed on its own time line, in its own divisions.
    chosen = take(made)
    planned = click(chosen, bpm, [Layer.BEAT], repeat=2)
    write(planned, chosen, tmp_path / "click.mid")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        part = partitura.load_score_midi(str(tmp_path / "click.mid")).parts[0]
        heard = partitura.load_performance_midi(str(tmp_path / "click.mid"))
    seen = {
        (Fraction(int(sign.start.t), TICKS), f"{sign.beats}/{sign.beat_type}")
        for sign in part.iter_all(partitura.score.TimeSignature)
    }
    assert seen == set(meters(planned, chosen))
    paces = {
        Fraction(int(mark.start.t), TICKS): mark.bpm
        for mark in part.iter_all(partitura.score.Tempo)
    }
    assert paces == pytest.approx({at: 6e7 / pace for at, pace in tempos(planned, chosen)})
    onsets = sorted(float(at) for at in heard.note_array()["onset_sec"])
    assert onsets == pytest.approx([float(at) for at in seconds(planned)], abs=1e-4)


@pytest.mark.parametrize("made", [case[1] for case in MIXED], ids=[case[0] for case in MIXED])
@pytest.mark.parametrize("count_in", [0, 2])
def test_a_score_reader_finds_the_barlines_where_my_own_are(
    made: Score, count_in: int, tmp_path: Path
) -> None:
    # partitura 1.9 draws a barline wherever the meter events say one is due.
    chosen = take(made)
    planned = click(chosen, 60, [Layer.BEAT], count_in=count_in)
    write(planned, chosen, tmp_path / "click.mid")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        part = partitura.load_score_midi(str(tmp_path / "click.mid")).parts[0]
    barlines = {int(bar.start.t) for bar in part.iter_all(partitura.score.Measure)}
    rod = measures(planned, chosen)
    firsts = {stroke.at for stroke in planned.strokes if stroke.is_accented}
    assert barlines - {0} == {ticks(quarters_at(rod, at)) for at in firsts} - {0}


def test_a_long_file_with_hundreds_of_changes_ends_on_time(tmp_path: Path) -> None:
    # Rounding a tempo to a microsecond a quarter costs at most half a millionth of a second
    # a quarter: under half a millisecond in these 800 quarters.
    column = list(islice(cycle(["4/4", "3+4/8", "2/4", "5/8", "6/8", "3/4"]), 300))
    chosen = take(held(column))
    planned = click(chosen, Fraction(145, 2), [Layer.BEAT])
    write(planned, chosen, tmp_path / "click.mid")
    heard = pretty_midi.PrettyMIDI(str(tmp_path / "click.mid"))
    last = max(note.start for note in heard.instruments[0].notes)
    assert last == pytest.approx(float(seconds(planned)[-1]), abs=5e-4)
    changes = heard.time_signature_changes
    assert len(changes) == 300
    assert [f"{c.numerator}/{c.denominator}" for c in changes[:3]] == ["4/4", "7/8", "2/4"]
