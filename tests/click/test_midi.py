"""The click as a MIDI file: its bytes and its tracks against the standard."""

from fractions import Fraction
from pathlib import Path

import mido
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from companion.click.export.conductor_track import TICKS, signature, ticks
from companion.click.export.midi import VELOCITIES, midi_file, write
from companion.click.plan.beats import Weight
from companion.click.plan.layers import USUAL_SOUNDS, Layer
from companion.errors import RequestError
from companion.files.whole_file import NotWritten
from companion.rhythm.meter import parse
from tests.click.asking import ALL, click, held, take
from tests.click.conducted import meters, tempos, texts
from tests.score.written import score, score_of

PULLING = score(V="6/8 * | *", C="2/4 * | *")


@pytest.mark.parametrize(
    ("meter", "event"),
    [
        # Standard MIDI File 1.0, FF 58: the specification's own example for 6/8 (hex 24 is 36
        # clocks, a dotted quarter); the others by the same rule.
        ("6/8", "FF 58 04 06 03 24 08"),
        ("4/4", "FF 58 04 04 02 18 08"),
        ("2/4", "FF 58 04 02 02 18 08"),
        ("9/8", "FF 58 04 09 03 24 08"),
        ("2/2", "FF 58 04 02 01 30 08"),
        ("3+4/8", "FF 58 04 07 03 0C 08"),
        ("3/8+2/4", "FF 58 04 07 03 0C 08"),
    ],
)
def test_a_meter_is_written_byte_for_byte_as_the_standard_has_it(
    meter: str, event: str, tmp_path: Path
) -> None:
    chosen = take(held([meter]))
    write(click(chosen), chosen, tmp_path / "click.mid")
    assert bytes.fromhex(event) in (tmp_path / "click.mid").read_bytes()


@pytest.mark.parametrize(
    ("meter", "bpm", "event"),
    [
        # Standard MIDI File 1.0, FF 51: microseconds a quarter in three bytes.
        ("6/8", 80, "FF 51 03 07 A1 20"),  # 120 quarters a minute, 500,000
        ("2/4", 80, "FF 51 03 0B 71 B0"),  # 750,000
    ],
)
def test_a_tempo_is_written_byte_for_byte_as_the_standard_has_it(
    meter: str, bpm: int, event: str, tmp_path: Path
) -> None:
    chosen = take(held([meter]))
    write(click(chosen, bpm), chosen, tmp_path / "click.mid")
    assert bytes.fromhex(event) in (tmp_path / "click.mid").read_bytes()


def test_the_header_says_format_one_with_2520_ticks_a_quarter(tmp_path: Path) -> None:
    chosen = take(PULLING)
    write(click(chosen), chosen, tmp_path / "click.mid")
    assert (tmp_path / "click.mid").read_bytes()[:14] == (
        b"MThd"
        b"\x00\x00\x00\x06"  # six bytes follow
        b"\x00\x01"  # format 1
        b"\x00\x04"  # conductor, beat, mine, theirs
        b"\x09\xd8"  # 2520 ticks a quarter
    )


def test_one_to_nine_all_divide_the_quarter() -> None:
    assert all(TICKS % division == 0 for division in range(1, 10))
    assert not any(all(n % d == 0 for d in range(1, 10)) for n in range(1, TICKS))


def test_three_against_two_lies_on_its_ticks() -> None:
    # A dotted quarter is 3780 ticks: thirds at 1260 and 2520, the half at 1890.
    chosen = take(PULLING)
    file = midi_file(click(chosen, layers=[Layer.RESULTANT]), chosen)
    now, struck = 0, []
    for message in file.tracks[1]:
        now += message.time
        if message.type == "note_on":
            struck.append(now)
    assert struck[:5] == [0, 1260, 1890, 2520, 3780]


def test_each_layer_is_a_track_on_channel_ten_with_its_own_key() -> None:
    chosen = take(score(V="6/8 * | *", C="2/4 * | e. s e. s"))
    file = midi_file(click(chosen, layers=ALL), chosen)
    # Nothing in this music returns in a period of its own.
    struck = [layer for layer in Layer if layer is not Layer.PERIOD]
    assert [track.name for track in file.tracks[1:]] == [layer.value for layer in struck]
    for layer, track in zip(struck, file.tracks[1:], strict=True):
        notes = [message for message in track if message.type == "note_on"]
        assert {(m.channel, m.note) for m in notes} == {(9, USUAL_SOUNDS[layer].key)}
        assert {m.velocity for m in notes} <= {VELOCITIES[weight] for weight in Weight}


def test_the_file_says_whose_meter_it_carries() -> None:
    chosen = take(PULLING, part=1)
    planned = click(chosen)
    assert texts(planned, chosen) == [
        "One MIDI file cannot carry two meters at once: "
        "meters, barlines and tempos here are those of C."
    ]
    assert midi_file(planned, chosen).tracks[0].name == "A study: C, bars 1–2"
    assert meters(planned, chosen) == [(Fraction(0), "2/4")]


def test_names_in_any_script_are_kept(tmp_path: Path) -> None:
    chosen = take(score_of({"Скрипка Ⅰ": "2/4 q q"}))
    write(click(chosen), chosen, tmp_path / "click.mid")
    again = mido.MidiFile(tmp_path / "click.mid", charset="utf-8")
    assert "Скрипка Ⅰ" in again.tracks[0].name


def test_beat_equals_beat_changes_the_length_of_a_quarter() -> None:
    # Dotted quarter = quarter at 60: a quarter lasts 2/3 s in 6/8 and 1 s in 2/4.
    chosen = take(score(V="6/8 q. q. | 2/4 q q | q q"))
    planned = click(chosen)
    assert meters(planned, chosen) == [(Fraction(0), "6/8"), (Fraction(3), "2/4")]
    assert tempos(planned, chosen) == [(Fraction(0), 666_667), (Fraction(3), 1_000_000)]


def test_note_equals_note_leaves_the_tempo_as_it_was() -> None:
    chosen = take(score(V="6/8 q. q. | 3/4 q q q"))
    planned = click(chosen)
    assert meters(planned, chosen) == [(Fraction(0), "6/8"), (Fraction(3), "3/4")]
    assert len(tempos(planned, chosen)) == 1


def test_an_additive_meter_is_its_sum_and_a_text_tells_the_groups() -> None:
    chosen = take(held(["3+4/8", "3+4/8", "3/8+2/4"]))
    planned = click(chosen)
    assert meters(planned, chosen) == [(Fraction(0), "7/8"), (Fraction(7), "7/8")]
    assert texts(planned, chosen)[1:] == [
        "3+4/8, written here as 7/8",
        "3/8+2/4, written here as 7/8",
    ]


def test_after_an_upbeat_the_meter_is_stated_again_so_that_barlines_stand_right() -> None:
    chosen = take(score(V="4/4 q | q q q q | q q q q"))
    assert meters(click(chosen), chosen) == [(Fraction(0), "4/4"), (Fraction(1), "4/4")]


def test_counted_in_an_upbeat_needs_no_second_word() -> None:
    chosen = take(score(V="4/4 q | q q q q | q q q q"))
    assert meters(click(chosen, count_in=1), chosen) == [(Fraction(0), "4/4")]


def test_each_repeat_states_the_meter_that_has_changed_meanwhile() -> None:
    chosen = take(score(V="6/8 q. q. | 2/4 q q"))
    planned = click(chosen, repeat=2, count_in=1)
    expected = [(0, "6/8"), (6, "2/4"), (8, "6/8"), (11, "2/4")]
    assert meters(planned, chosen) == [(Fraction(at), meter) for at, meter in expected]
    assert [at for at, _ in tempos(planned, chosen)] == [0, 6, 8, 11]


def test_repeats_in_one_meter_are_not_restated() -> None:
    chosen = take(PULLING)
    assert len(meters(click(chosen, repeat=7, count_in=2), chosen)) == 1


def test_unmeasured_bars_say_so() -> None:
    chosen = take(score(V="free q q q | 3/4 q q q"))
    planned = click(chosen)
    assert meters(planned, chosen) == [(Fraction(0), "4/4"), (Fraction(3), "3/4")]
    assert texts(planned, chosen)[1] == "unmeasured: counted in quarters"


def test_a_meter_the_file_cannot_hold_is_told() -> None:
    chosen = take(held(["4/3"]))
    assert texts(click(chosen), chosen)[1].startswith("4/3 cannot be written")


def test_every_denominator_up_to_1024_is_a_power_of_two_in_the_file() -> None:
    for power in range(11):
        written = signature(parse(f"2/{2**power}"))
        event = mido.MetaMessage(
            "time_signature", numerator=2, denominator=2**power, clocks_per_click=written.clocks
        )
        assert event.bytes()[3:5] == [2, power]
        assert 1 <= written.clocks <= 255


def test_a_tempo_too_slow_for_the_file_is_refused() -> None:
    # A beat of a 32nd at 10 a minute: 48 seconds a quarter; three bytes hold 16.7.
    chosen = take(held(["2/32"]))
    with pytest.raises(RequestError, match="does not fit into a MIDI file"):
        midi_file(click(chosen, bpm=10), chosen)


def test_a_folder_that_is_not_there_is_told_in_one_sentence(tmp_path: Path) -> None:
    chosen = take(PULLING)
    with pytest.raises(NotWritten, match="could not be written"):
        write(click(chosen), chosen, tmp_path / "nowhere" / "click.mid")


@settings(deadline=None)
@given(
    st.lists(st.sampled_from(["2/4", "3/4", "6/8", "3+4/8", "5/8", "7/4", "12/16"]), min_size=1),
    st.fractions(40, 200, max_denominator=60),
    st.integers(0, 2),
    st.integers(1, 3),
)
def test_every_track_is_in_order_and_ends_with_the_plan(
    column: list[str], bpm: Fraction, count_in: int, repeat: int
) -> None:
    chosen = take(held(column, [*column[1:], column[0]]))
    planned = click(chosen, bpm, ALL, count_in, repeat)
    try:
        file = midi_file(planned, chosen)
    except RequestError as refused:  # 7/4 in the time of a 2/4 at 40: beyond SMF's 24 bits
        assert "does not fit into a MIDI file" in str(refused)
        reject()
    quarters = sum((parse(meter).length for meter in column), Fraction(0)) * repeat
    quarters += parse(column[0]).length * count_in
    for track in file.tracks:
        assert all(message.time >= 0 for message in track)
        assert sum(message.time for message in track) == ticks(quarters)
