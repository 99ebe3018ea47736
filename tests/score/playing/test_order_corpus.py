"""The playing order of real scores whose signs are incomplete or in words.

The signs are read off the MusicXML of music21's corpus (version 10.5), the order from them as
players read them (common practice, no source), because music21's own expander refuses
these files or does not follow words.
"""

from importlib.util import find_spec
from pathlib import Path

import pytest

from companion.part.extraction import extract
from companion.part.player_entrances import Cues
from companion.score.laying import lay
from companion.score.playing.order import order_spans, playing_order
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import musicxml_of, read_score

Runs = list[tuple[int, int]]


def _corpus() -> Path:
    package = find_spec("music21")
    assert package is not None and package.origin is not None
    return Path(package.origin).parent / "corpus"


@pytest.mark.parametrize(
    ("name", "runs"),
    [
        # first endings whose bracket has an end without a number, or the second's number
        (
            "mozart/k458/movement2",
            [(1, 8), (1, 28), (9, 38), (29, 37), (39, 62), (40, 61), (63, 63)],
        ),
        ("mozart/k458/movement1", [(1, 91), (1, 233), (92, 232), (234, 283)]),
        (
            "haydn/opus74no1/movement3",
            [(1, 14), (1, 60), (15, 74), (61, 73), (75, 97), (76, 113)],
        ),
        # a bracket stops seven bars before its repeat sign, as it is drawn open to the right
        (
            "beethoven/opus18no3",
            [(1, 109), (3, 107), (110, 486), (432, 499), (487, 715), (597, 708), (716, 966)],
        ),
        # a first ending and no second
        (
            "joplin/maple_leaf_rag",
            [
                (1, 17),
                (2, 16),
                (18, 34),
                (19, 33),
                (35, 67),
                (52, 66),
                (68, 84),
                (69, 83),
                (85, 85),
            ],
        ),
        # da capo in words: before the trio, with and without a coda; al Fine; dal segno
        ("mozart/k80/movement3", [(1, 8), (1, 28), (9, 36), (29, 52), (37, 52), (1, 28)]),
        (
            "beethoven/opus59no3/movement3",
            [(1, 38), (17, 54), (39, 53), (55, 75), (56, 74), (76, 78), (1, 38), (79, 96)],
        ),
        ("schumann_clara/polonaise_op1n1", [(1, 8), (1, 28), (21, 40), (1, 20)]),
        ("handel/rinaldo/Lascia_chio_pianga", [(1, 54), (13, 42)]),
    ],
)
def test_real_signs_lead_where_players_go(name: str, runs: Runs) -> None:
    score = read_score(_corpus() / f"{name}.mxl").score
    assert list(order_spans(playing_order(score).bars)) == runs


def test_a_da_capo_among_several_movements_stays_in_its_own() -> None:
    """The second movement is bars 265 to 510, Fine in 389; all five are reached."""
    score = read_score(_corpus() / "beethoven/opus132.mxl").score
    order = playing_order(score)
    runs = list(order_spans(order.bars))
    assert runs[4:8] == [(369, 510), (265, 285), (287, 363), (369, 389)]
    assert set(order.bars) == set(range(1, 1125))
    assert {265, 364} <= {one.bar for one in order.assumptions}


@pytest.mark.parametrize(
    "name", ["mozart/k80/movement3", "beethoven/opus59no3/movement3", "haydn/opus74no1/movement3"]
)
def test_each_part_alone_is_played_in_the_order_of_the_score(name: str) -> None:
    """What only the top part carries (a repeat, D.C., the heading of the trio) is in all."""
    path = _corpus() / f"{name}.mxl"
    score = read_score(path).score
    clock, source = lay(score), musicxml_of(path)
    for part in range(len(score.parts)):
        alone = read_musicxml(extract(source, clock, part, Cues.NONE).musicxml, "alone")
        assert playing_order(alone).bars == playing_order(score).bars
