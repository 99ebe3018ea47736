"""The score's own tempos in a click: the same seconds as the score's tempo map, or a share.

What marks mean: MusicXML 4.0, element metronome. A *rit.* without a number and the length
of a fermata are the player's own decision; common practice, no source.
"""

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import Marked
from companion.score.model import Mark, Score, TempoMark
from companion.score.tempo_map import tempo_map
from tests.click.asking import seconds, take, wished
from tests.score.written import TICKS, score

F = Fraction
BEAT = (Layer.BEAT,)


def quarter(bpm: int, onset: int = 0) -> TempoMark:
    return TempoMark(onset, F(1), F(bpm))


def marked(*words: tuple[int, str], tempos: dict[int, tuple[TempoMark, ...]]) -> Score:
    from msgspec.structs import replace

    made = score(tempos, V="2/4 q q | q q | q q | q q")
    bars = list(made.parts[0].bars)
    for bar, text in words:
        bars[bar - 1] = replace(bars[bar - 1], marks=(Mark(0, "words", text),))
    return replace(made, parts=(replace(made.parts[0], bars=tuple(bars)),))


def test_marks_are_played_where_they_stand() -> None:
    planned = wished(marked(tempos={1: (quarter(60),), 3: (quarter(120),)}), Marked(), layers=BEAT)
    assert seconds(planned) == [0, 1, 2, 3, 4, F(9, 2), 5, F(11, 2)]
    assert str(planned.tempo) == "quarter = 60"


def test_a_tempo_may_change_in_the_middle_of_a_bar() -> None:
    planned = wished(
        marked(tempos={1: (quarter(60), quarter(120, onset=TICKS))}), Marked(), layers=BEAT
    )
    assert seconds(planned)[:4] == [0, 1, F(3, 2), 2]


def test_four_fifths_of_the_tempo_take_five_quarters_of_the_time() -> None:
    made = marked(tempos={1: (quarter(60),), 3: (quarter(120),)})
    whole, slower = wished(made, Marked()), wished(made, Marked(F(4, 5)))
    assert seconds(slower) == [at * F(5, 4) for at in seconds(whole)]
    assert slower.tempo.bpm == 48


def test_a_passage_begins_at_the_tempo_that_holds_there() -> None:
    made = marked(tempos={1: (quarter(60),), 2: (quarter(90),)})
    planned = wished(take(made, first=3, last=4), Marked(), layers=BEAT, count_in=1)
    assert planned.tempo.bpm == 90
    assert seconds(planned)[:3] == [0, F(2, 3), F(4, 3)]


def test_every_time_through_begins_at_the_first_tempo_again() -> None:
    made = marked(tempos={1: (quarter(60),), 3: (quarter(120),)})
    planned = wished(made, Marked(), layers=BEAT, repeat=2)
    assert planned.seconds == 12
    assert seconds(planned)[8:10] == [6, 7]


def test_a_rit_is_played_only_as_far_as_one_says() -> None:
    made = marked((3, "poco rit."), tempos={1: (quarter(60),)})
    assert seconds(wished(made, Marked(), layers=BEAT)) == list(range(8))
    # To half the tempo in four equal steps of a beat: 7/8, 6/8, 5/8 and 4/8 of it.
    slower = seconds(wished(made, Marked(rit=F(1, 2)), layers=BEAT))
    assert slower[:6] == [0, 1, 2, 3, 4, 4 + F(8, 7)]


def test_an_accelerando_goes_the_other_way() -> None:
    made = marked((3, "accel."), tempos={1: (quarter(60),)})
    faster = seconds(wished(made, Marked(rit=F(1, 2)), layers=BEAT))
    # To twice the tempo in four steps: 5/4, 6/4, 7/4 and 8/4 of it.
    assert faster[4:7] == [4, 4 + F(4, 5), 4 + F(4, 5) + F(2, 3)]


def test_a_fermata_makes_its_beat_longer_and_the_rest_later() -> None:
    from msgspec.structs import replace

    made = marked(tempos={1: (quarter(60),)})
    part = made.parts[0]
    held = replace(part.bars[1].notes[1], marks=("fermata",))
    bar = replace(part.bars[1], notes=(part.bars[1].notes[0], held))
    bars = (part.bars[0], bar, *part.bars[2:])
    made = replace(made, parts=(replace(part, bars=bars),))
    assert seconds(wished(made, Marked(), layers=BEAT)) == list(range(8))
    waiting = wished(made, Marked(hold=F(3, 2)), layers=BEAT)
    assert seconds(waiting) == [0, 1, 2, 3, F(11, 2), F(13, 2), F(15, 2), F(17, 2)]


def test_a_long_note_goes_on_in_time_and_is_held_where_it_ends() -> None:
    """Common practice, no source."""
    from msgspec.structs import replace

    made = marked(tempos={1: (quarter(60),)})
    part = made.parts[0]
    first = part.bars[1].notes[0]
    held = replace(first, length=2 * first.length, marks=("fermata",))
    bars = (part.bars[0], replace(part.bars[1], notes=(held,)), *part.bars[2:])
    made = replace(made, parts=(replace(part, bars=bars),))
    waiting = wished(made, Marked(hold=F(2)), layers=BEAT)
    assert seconds(waiting) == [0, 1, 2, 3, 6, 7, 8, 9]


marks = st.dictionaries(st.integers(1, 4), st.integers(30, 200), max_size=4)


@settings(deadline=None)
@given(marks, st.integers(1, 4), st.fractions(F(1, 2), F(2), max_denominator=20))
def test_strokes_fall_where_the_score_itself_would_have_them(
    bpms: dict[int, int], first: int, share: Fraction
) -> None:
    made = marked(tempos={bar: (quarter(bpm),) for bar, bpm in bpms.items()})
    chosen = take(made, first=first, last=4)
    planned = wished(chosen, Marked(share), layers=(Layer.BEAT, Layer.DIVISION))
    own = tempo_map(chosen.clock)
    begin = own.seconds_at(chosen.start)
    pulses = [s.at for s in planned.strokes if s.layer is Layer.DIVISION]
    assert seconds(planned, Layer.DIVISION) == [
        (own.seconds_at(chosen.start + at) - begin) / share for at in pulses
    ]
