"""From frames to music and back."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.click.plan.layers import DEFAULT, Layer
from companion.click.plan.tempo_plan import Fixed
from companion.session.settings import Setting
from companion.session.track import DrillPlace, Track, carry_frame, frame_of, place_of, render_track
from tests.score.written import score
from tests.session.small_scores import RATE, opened_for_practice, three_against_two, whole

STAND = three_against_two()
LOW_RATE = 16000


def track(bpm: Fraction, count_in: int = 1, rate: int = LOW_RATE) -> Track:
    return render_track(whole(STAND), STAND.conflicts, Setting(Fixed(bpm), DEFAULT, count_in), rate)


tempos = st.fractions(40, 200, max_denominator=7)


def test_one_beat_of_the_click_at_80_is_36000_frames() -> None:
    # 60 s / 80 × 48,000 frames a second; 3 against 2 strikes on frames 0, 12000, 18000, 24000.
    at_80 = track(Fraction(80), count_in=0, rate=RATE)
    thirds = [Fraction(k, 6) for k in (0, 2, 3, 4)]
    assert [frame_of(at_80, DrillPlace(0, at)) for at in thirds] == [0, 12000, 18000, 24000]
    assert [place_of(at_80, frame).into for frame in (0, 12000, 18000, 24000)] == thirds


def test_the_count_in_lies_before_the_music() -> None:
    at_60 = track(Fraction(60), rate=RATE)
    assert place_of(at_60, 0) == DrillPlace(0, Fraction(-2))
    assert place_of(at_60, 2 * RATE) == DrillPlace(0, Fraction(0))


def test_the_loop_goes_round_without_a_second_count_in() -> None:
    at_60 = track(Fraction(60), rate=RATE)
    assert place_of(at_60, 6 * RATE) == DrillPlace(1, Fraction(0))
    assert place_of(at_60, 13 * RATE) == DrillPlace(2, Fraction(3))


@given(tempos, st.integers(0, 500_000))
def test_every_frame_leads_to_a_place_and_back(bpm: Fraction, frame: int) -> None:
    made = track(bpm)
    assert frame_of(made, place_of(made, frame)) == frame


@given(tempos, tempos, st.integers(0, 500_000))
def test_a_new_tempo_goes_on_at_the_nearest_frame_to_the_same_place(
    old_bpm: Fraction, new_bpm: Fraction, frame: int
) -> None:
    old, new = track(old_bpm), track(new_bpm)
    before = place_of(old, frame)
    after = place_of(new, carry_frame(old, new)(frame))
    # Only the last frame of a time through may not round up into the next one.
    a_frame = new_bpm / (60 * LOW_RATE)
    most = Fraction(1, 2) if before.into < old.plan.pass_length - a_frame else 2
    assert after.passes == before.passes
    assert abs(after.into - before.into) <= most * a_frame


@given(tempos, st.integers(0, 500_000))
def test_other_layers_change_no_position_at_all(bpm: Fraction, frame: int) -> None:
    old = track(bpm)
    layers = (Layer.DIVISION, Layer.RESULTANT)
    new = render_track(whole(STAND), STAND.conflicts, Setting(Fixed(bpm), layers, 1), LOW_RATE)
    assert carry_frame(old, new)(frame) == frame


def test_another_count_in_keeps_the_music_in_place() -> None:
    short, long = track(Fraction(60), count_in=1), track(Fraction(60), count_in=2)
    in_the_music, in_the_count = 3 * LOW_RATE, LOW_RATE
    assert place_of(long, carry_frame(short, long)(in_the_music)) == place_of(short, in_the_music)
    assert place_of(long, carry_frame(short, long)(in_the_count)) == place_of(short, in_the_count)
    assert carry_frame(long, short)(0) == 0


def test_the_beats_seen_are_the_beats_heard() -> None:
    made = track(Fraction(60))
    heard = [stroke.at for stroke in made.plan.strokes if stroke.layer is Layer.BEAT]
    assert [beat.into + made.plan.count_in_length for beat in made.counted] == heard


def test_beats_are_numbered_in_their_bars_and_in_the_count_in() -> None:
    open_score = opened_for_practice(score(V="3/4 q | q q q | q q q"))
    counted = render_track(
        whole(open_score), (), Setting(Fixed(Fraction(60)), DEFAULT, 1), LOW_RATE
    ).counted
    # An upbeat of one in 3/4 is counted in with a whole bar and the two beats before it.
    assert [(beat.number, beat.bar) for beat in counted] == [
        *((1, 0), (2, 0), (3, 0), (1, 0), (2, 0)),
        (3, 1),
        *((1, 2), (2, 2), (3, 2)),
        *((1, 3), (2, 3), (3, 3)),
    ]
