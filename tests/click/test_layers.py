"""Layers and how they are heard."""

from itertools import product

import pytest

from companion.click.layers import DEFAULT, DRESS, Layer, parse_layers
from companion.errors import RequestError


def test_layers_are_read_in_any_order_and_each_counts_once() -> None:
    assert parse_layers("theirs, Beat,mine,beat") == DEFAULT


def test_both_means_mine_and_theirs() -> None:
    assert parse_layers("both") == (Layer.MINE, Layer.THEIRS)
    assert parse_layers("beat,both") == DEFAULT


def test_a_slip_of_the_pen_is_told_with_the_nearest_word_and_all_others() -> None:
    with pytest.raises(RequestError) as told:
        parse_layers("beat,resultent")
    assert "“resultent”" in told.value.sentence()
    assert "Did you mean “resultant”?" in told.value.sentence()
    assert all(word in told.value.sentence() for word in [*Layer, "both"])


@pytest.mark.parametrize("text", ["", "beat,,mine", "zzz"])
def test_nothing_and_nonsense_are_refused(text: str) -> None:
    with pytest.raises(RequestError, match="Choose from beat, division"):
        parse_layers(text)


def test_my_side_is_left_and_the_other_right() -> None:
    places = [DRESS[layer].place for layer in Layer]
    assert [(place > 0) - (place < 0) for place in places] == [0, 0, -1, 1, 0]


def test_everything_at_once_stays_under_minus_one_decibel() -> None:
    assert sum(max(dress.level, dress.accented_level) for dress in DRESS.values()) < 10 ** (-1 / 20)


def test_the_default_click_starts_quietly() -> None:
    assert sum(DRESS[layer].accented_level for layer in DEFAULT) < 10 ** (-5 / 20)
    assert all(dress.accented_level < 10 ** (-13 / 20) for dress in DRESS.values())


def test_every_layer_has_its_own_key_and_sound() -> None:
    # General MIDI 1 percussion map: keys 35 to 81.
    assert all(35 <= dress.key <= 81 for dress in DRESS.values())
    for a, b in product(Layer, Layer):
        if a is not b:
            assert DRESS[a].key != DRESS[b].key
            assert {DRESS[a].voice, DRESS[a].accented_voice}.isdisjoint(
                {DRESS[b].voice, DRESS[b].accented_voice}
            )
