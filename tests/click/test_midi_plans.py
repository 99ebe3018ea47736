"""Tempo plans, fades and written rhythms in a MIDI file, and through two other readers."""

import warnings
from fractions import Fraction
from pathlib import Path
from typing import Any

import mido
import partitura
import pretty_midi
import pytest

from companion.click.export.midi import VELOCITIES, midi_file, write
from companion.click.plan.beats import Weight
from companion.click.plan.layers import Layer, LayerChoice, Mix, PartRhythm
from companion.click.plan.plan import ClickPlan
from companion.click.plan.silences import Every, Fade
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.score.model import TempoMark
from companion.score.passage import Passage
from tests.click.asking import ALL, seconds, take, wished
from tests.click.conducted import meters, tempos, texts
from tests.score.written import score, score_of

F = Fraction
MARKS = {1: (TempoMark(0, F(3, 2), F(72)),), 3: (TempoMark(0, F(1), F(54)),)}
CHANGING = score(MARKS, V="6/8 q. q. | 2/4 q q | 3/4 q q q | 3+4/8 q. h", C="2/4 - | - | - | -")
PLANS: list[TempoPlan] = [
    Fixed(F(145, 2)),
    Ladder(F(60), F(90), F(7)),
    Ramp(F(60), F(90)),
    Turns(F(60), F(90)),
    Marked(F(4, 5)),
]


def placed(*events: tuple[int, Any]) -> list[tuple[Fraction, Any]]:
    """Events at whole quarters."""
    return [(F(at), event) for at, event in events]


def test_a_ladder_is_one_tempo_event_a_step() -> None:
    chosen = take(score(V="2/4 q q"))
    planned = wished(chosen, Ladder(F(60), F(80), F(10), each=2))
    # FF 51 counts microseconds a quarter: 60 → 1,000,000, 70 → 857,143, 80 → 750,000.
    assert tempos(planned, chosen) == placed((0, 1_000_000), (4, 857_143), (8, 750_000))
    assert len(meters(planned, chosen)) == 1


def test_two_tempos_by_turns_change_with_every_time_through() -> None:
    chosen = take(score(V="2/4 q q"))
    planned = wished(chosen, Turns(F(60), F(120)), repeat=4)
    assert tempos(planned, chosen) == placed(
        (0, 1_000_000), (2, 500_000), (4, 1_000_000), (6, 500_000)
    )


def test_a_ramp_has_the_mean_tempo_of_every_beat() -> None:
    # From 1 s to 1/2 s in four beats: 15/16, 13/16, 11/16 and 9/16 of a second.
    chosen = take(score(V="4/4 q q q q"))
    planned = wished(chosen, Ramp(F(60), F(120)))
    assert tempos(planned, chosen) == placed((0, 937_500), (1, 812_500), (2, 687_500), (3, 562_500))


def test_the_scores_own_tempos_stand_where_they_are_marked() -> None:
    chosen = take(
        score({1: (TempoMark(0, F(1), F(60)),), 2: (TempoMark(0, F(1), F(75)),)}, V="2/4 q q | q q")
    )
    planned = wished(chosen, Marked(), count_in=1)
    assert tempos(planned, chosen) == placed((0, 1_000_000), (4, 800_000))


@pytest.mark.parametrize("tempo", PLANS, ids=[type(plan).__name__ for plan in PLANS])
@pytest.mark.parametrize("count_in", [0, 1])
def test_another_reader_hears_every_stroke_where_it_is_planned(
    tempo: TempoPlan, count_in: int, tmp_path: Path
) -> None:
    # pretty_midi 0.2.11: seconds from ticks through the file's own tempo events. Inside a beat
    # of the ramp a stroke is off by at most an eighth of the change of that beat.
    chosen = take(CHANGING)
    planned = wished(chosen, tempo, layers=ALL, count_in=count_in, repeat=4)
    write(planned, chosen, tmp_path / "click.mid")
    heard = pretty_midi.PrettyMIDI(str(tmp_path / "click.mid"))
    most = 2.5e-3 if isinstance(tempo, Ramp) else 1e-4
    for instrument in heard.instruments:
        expected = seconds(planned, Layer(instrument.name))
        starts = [note.start for note in instrument.notes]
        assert starts == pytest.approx([float(at) for at in expected], abs=most)
    assert heard.get_end_time() == pytest.approx(float(planned.seconds), abs=0.6)


@pytest.mark.parametrize("tempo", PLANS, ids=[type(plan).__name__ for plan in PLANS])
def test_a_score_reader_sees_the_meters_tempos_and_onsets(tempo: TempoPlan, tmp_path: Path) -> None:
    # partitura 1.9: meters and tempos on its own time line, onsets through its own tempo map.
    chosen = take(CHANGING)
    planned = wished(chosen, tempo, layers=(Layer.BEAT,), repeat=2)
    write(planned, chosen, tmp_path / "click.mid")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        part = partitura.load_score_midi(str(tmp_path / "click.mid")).parts[0]
        heard = partitura.load_performance_midi(str(tmp_path / "click.mid"))
    ticks = 2520
    signs = {
        (F(int(sign.start.t), ticks), f"{sign.beats}/{sign.beat_type}")
        for sign in part.iter_all(partitura.score.TimeSignature)
    }
    assert signs == set(meters(planned, chosen))
    paces = {F(int(mark.start.t), ticks): mark.bpm for mark in part.iter_all(partitura.score.Tempo)}
    assert paces == pytest.approx({at: 6e7 / pace for at, pace in tempos(planned, chosen)})
    onsets = sorted(float(at) for at in heard.note_array()["onset_sec"])
    assert onsets == pytest.approx([float(at) for at in seconds(planned)], abs=1e-4)


def notes(planned: ClickPlan, chosen: Passage, name: str) -> list[mido.Message]:
    (track,) = (t for t in midi_file(planned, chosen).tracks if t.name == name)
    return [message for message in track if message.type == "note_on"]


def test_a_layer_that_fades_is_struck_more_and_more_softly() -> None:
    chosen = take(score(V="2/4 q q"))
    planned = wished(chosen, layers=(Layer.BEAT,), repeat=5, fades=(Fade(Layer.BEAT, 4),))
    assert [m.velocity for m in notes(planned, chosen, "beat")] == [112, 80, 84, 60, 56, 40, 28, 20]


def test_a_softer_layer_is_struck_more_softly_and_another_voice_on_another_key() -> None:
    chosen = take(score(V="2/4 q q"))
    mix = Mix((LayerChoice(Layer.BEAT, level=0.5, voice="cup"),))
    planned = wished(chosen, layers=(Layer.BEAT,), mix=mix)
    assert [(m.velocity, m.note) for m in notes(planned, chosen, "beat")] == [(56, 67), (40, 67)]


def test_what_is_silent_is_not_in_the_file_and_the_bars_go_on() -> None:
    chosen = take(score(V="2/4 q q | q q | q q | q q"))
    planned = wished(chosen, layers=(Layer.BEAT,), silences=(Every(2),))
    file = midi_file(planned, chosen)
    assert len(notes(planned, chosen, "beat")) == 4
    assert {sum(message.time for message in track) for track in file.tracks} == {8 * 2520}


def test_another_parts_rhythm_is_a_track_with_its_name_and_key() -> None:
    both = take(score_of({"V": "6/8 q. q.", "Viola da gamba": "2/4 e e q"}))
    gamba = PartRhythm(1, "Viola da gamba")
    planned = wished(both, layers=(Layer.BEAT, gamba))
    struck = notes(planned, both, "rhythm:Viola da gamba")
    assert len(struck) == 3
    assert {message.velocity for message in struck} == {VELOCITIES[Weight.PLAIN]}


def test_counted_in_by_others_the_file_shows_their_meter_and_then_mine() -> None:
    both = take(score(V="6/8 q. q.", C="3/4 q q q"))
    planned = wished(both, layers=(Layer.BEAT,), count_in=1, counted_by=1)
    assert meters(planned, both) == placed((0, "3/4"), (3, "6/8"))
    assert texts(planned, both)[0].endswith("are those of V.")
