"""A dotted rhythm against triplets, clicked as written and with the triplet."""

from companion.click.plan.layers import Layer
from tests.click.asking import click, take, times
from tests.score.written import score

PULLING = score(V="2/4 e. s q", C="2/4 e3 e3 e3 q")
SIDES = [Layer.MINE, Layer.THEIRS, Layer.RESULTANT, Layer.COINCIDENCE]


def test_as_written_the_short_note_comes_after_the_third_triplet() -> None:
    planned = click(take(PULLING), layers=SIDES)
    assert times(planned, Layer.MINE) == ["0>", "3/4"]
    assert times(planned, Layer.THEIRS) == ["0>", "1/3", "2/3"]
    assert times(planned, Layer.RESULTANT) == ["0>", "1/3", "2/3", "3/4"]


def test_with_the_triplet_every_layer_has_it_there() -> None:
    planned = click(take(PULLING), layers=[*SIDES, Layer.TRIPLET])
    assert times(planned, Layer.MINE) == ["0>", "2/3>"]
    assert times(planned, Layer.RESULTANT) == ["0>", "1/3", "2/3>"]
    assert times(planned, Layer.COINCIDENCE) == ["0>", "2/3>"]
    assert times(planned, Layer.TRIPLET) == ["2/3>"]


def test_a_short_note_that_comes_first_waits_for_the_second_triplet() -> None:
    snap = take(score(V="2/4 s e. q", C="2/4 e3 e3 e3 q"))
    assert times(click(snap, layers=[Layer.MINE]), Layer.MINE) == ["0>", "1/4"]
    assert times(click(snap, layers=[Layer.MINE, Layer.TRIPLET]), Layer.MINE) == ["0>", "1/3>"]


def test_real_fours_are_struck_as_written_whatever_is_chosen() -> None:
    fours = take(score(V="2/4 s s s s q", C="2/4 e3 e3 e3 q"))
    planned = click(fours, layers=[Layer.MINE, Layer.TRIPLET])
    assert times(planned, Layer.MINE) == ["0>", "1/4", "1/2", "3/4"]
    assert times(planned, Layer.TRIPLET) == []
