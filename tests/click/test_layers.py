"""Layers, how they are heard, and the words in which they are asked for."""

from itertools import combinations
from math import log10

import pytest
from music21.midi.percussion import PercussionMapper

from companion.click.plan.beats import Weight
from companion.click.plan.layers import (
    CEILING,
    DEFAULT,
    USUAL_SOUNDS,
    AnyLayer,
    Layer,
    LayerChoice,
    PartRhythm,
    in_order,
    usual_layer_sound,
)
from companion.click.plan.percussion import PERCUSSION
from companion.click.words.layer_words import (
    layer_word,
    parse_layers,
    parse_level,
    parse_place,
    parse_settings,
)
from companion.errors import RequestError

FIRST_FIVE = (*DEFAULT, Layer.DIVISION, Layer.RESULTANT)


def test_layers_are_read_in_any_order_and_each_counts_once() -> None:
    assert parse_layers("theirs, Beat,mine,beat") == DEFAULT


def test_both_means_mine_and_theirs() -> None:
    assert parse_layers("both") == (Layer.MINE, Layer.THEIRS)
    assert parse_layers("beat,both") == DEFAULT


def test_the_rhythm_of_any_part_is_asked_for_by_its_name() -> None:
    assert parse_layers("rhythm:Violin II,rhythm,coincidences") == (
        *(Layer.COINCIDENCE, Layer.RHYTHM),
        "rhythm:Violin II",
    )
    assert layer_word(" Rhythm: 4 ") == "rhythm:4"


def test_layers_stand_in_one_order_and_parts_from_the_top_of_the_page() -> None:
    cello, viola = PartRhythm(3, "Cello"), PartRhythm(2, "Viola")
    asked: list[AnyLayer] = [cello, Layer.RHYTHM, viola, Layer.BEAT, cello]
    assert in_order(asked) == (Layer.BEAT, Layer.RHYTHM, viola, cello)
    assert cello.value == "rhythm:Cello"


def test_a_slip_of_the_pen_is_told_with_the_nearest_word_and_all_others() -> None:
    with pytest.raises(RequestError) as told:
        parse_layers("beat,resultent")
    assert "“resultent”" in told.value.sentence()
    assert "Did you mean “resultant”?" in told.value.sentence()
    assert all(word in told.value.sentence() for word in [*Layer, "both", "rhythm:PART"])


@pytest.mark.parametrize("text", ["", "beat,,mine", "zzz", "rhythm:"])
def test_nothing_and_nonsense_are_refused(text: str) -> None:
    with pytest.raises(RequestError, match="Choose from beat, division"):
        parse_layers(text)


def test_what_is_wanted_of_a_layer_is_read() -> None:
    assert parse_settings(["theirs=0.5,beat=1"], "level") == {"theirs": "0.5", "beat": "1"}
    assert parse_settings(["rhythm:cello=cup"], "voice") == {"rhythm:cello": "cup"}
    assert (parse_level("0.5"), parse_level("2")) == (0.5, 2)
    assert [parse_place(word) for word in ("left", "centre", "right", "−0.2")] == [
        *(-0.75, 0, 0.75),
        -0.2,
    ]


@pytest.mark.parametrize("text", ["theirs", "theirs=", "=1", "them=1"])
def test_half_a_wish_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        parse_settings([text], "level")


@pytest.mark.parametrize("text", ["loud", "-1", "2.1", "nan", "inf"])
def test_a_level_nobody_can_have_is_refused(text: str) -> None:
    with pytest.raises(RequestError, match="not a level"):
        parse_level(text)


def test_my_side_is_left_and_the_other_right() -> None:
    assert USUAL_SOUNDS[Layer.MINE].place < 0 < USUAL_SOUNDS[Layer.THEIRS].place
    assert USUAL_SOUNDS[Layer.RHYTHM].place < 0 < usual_layer_sound(PartRhythm(1, "")).place
    assert USUAL_SOUNDS[Layer.BEAT].place == USUAL_SOUNDS[Layer.RESULTANT].place == 0


def test_only_the_first_of_a_bar_has_a_voice_of_its_own() -> None:
    beat = USUAL_SOUNDS[Layer.BEAT]
    assert [beat.sounds(weight)[0] for weight in (Weight.FIRST, Weight.GROUP, Weight.PLAIN)] == [
        *("high block", "low block", "low block"),
    ]
    assert beat.sounds(Weight.FIRST)[1] == beat.sounds(Weight.GROUP)[1] > beat.level


def test_the_default_click_starts_quietly() -> None:
    assert sum(USUAL_SOUNDS[layer].accented_level for layer in DEFAULT) < 10 ** (-5 / 20)
    assert all(USUAL_SOUNDS[layer].accented_level < 10 ** (-13 / 20) for layer in FIRST_FIVE)


def test_all_layers_together_stay_a_little_under_minus_one_decibel() -> None:
    assert -1.5 < 20 * log10(CEILING) < -1


def test_a_layer_may_be_silent_or_twice_as_loud_and_as_far_left_or_right_as_there_is() -> None:
    for level, place in ((0.0, -1.0), (2.0, 1.0)):
        LayerChoice(Layer.BEAT, level=level, place=place)
    for level, place in ((-0.1, 0.0), (2.1, 0.0), (1.0, -1.1), (1.0, 1.1)):
        with pytest.raises(RequestError, match="is not possible"):
            LayerChoice(Layer.BEAT, level=level, place=place)


def test_every_layer_has_its_own_key_and_sound() -> None:
    # General MIDI 1 percussion map: keys 35 to 81.
    dresses = [
        *USUAL_SOUNDS.values(),
        *(usual_layer_sound(PartRhythm(part, "")) for part in range(3)),
    ]
    assert all(35 <= layer_sound.key <= 81 for layer_sound in dresses)
    for a, b in combinations(dresses, 2):
        assert a.key != b.key
        assert {a.voice, a.accented_voice}.isdisjoint({b.voice, b.accented_voice})


@pytest.mark.parametrize(
    ("voice", "instrument", "modifier"),
    [
        ("low block", "Woodblock", "high"),
        ("high block", "Woodblock", "high"),
        ("skin", "Woodblock", "low"),
        ("rattle", "Snare Drum", "side"),
        ("tick", "Hi-Hat Cymbal", "closed"),
        ("board", "Cowbell", None),
        ("cup", "Agogo", None),
        ("shell", "Bongo Drums", "high"),
        ("gourd", "Bongo Drums", "low"),
        ("cane", "Conga Drum", "low"),
    ],
)
def test_a_voice_is_the_instrument_that_comes_nearest_in_general_midi(
    voice: str, instrument: str, modifier: str | None
) -> None:
    """The instruments at the keys as music21 maps them."""
    mapped = PercussionMapper().midiPitchToInstrument(PERCUSSION[voice].key)
    assert (mapped.instrumentName, getattr(mapped, "modifier", None)) == (instrument, modifier)


def test_a_voice_of_an_unknown_name_does_not_exist() -> None:
    assert "cowhorn" not in PERCUSSION
