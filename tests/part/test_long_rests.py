"""Multi-bar rests are counted as a player counts them, broken where she must look up.

What breaks them is common practice, no source; that the bars are still written out, and
that the number counts them, is `multiple-rest` in musicxml.xsd.
"""

import pytest

from companion.part.player_entrances import Cues
from tests.part.pages import page
from tests.part.taking import take

HELD = "4/4 A4w | A4w | A4w | A4w | A4w | A4w"


def rests(own: str, top: str = HELD) -> dict[int, int]:
    return take(page(Flute=top, Oboe=own), 2, Cues.NONE).long_rests()


def test_a_run_of_empty_bars_is_counted_and_still_written_out() -> None:
    taken = take(page(Flute=HELD, Oboe="4/4 C5w | R | R | R | R | C5w"), 2, Cues.NONE)
    assert taken.long_rests() == {2: 4}
    assert len(taken.measures) == 6
    assert taken.added["multi-bar rests"] == 1


def test_one_empty_bar_is_only_a_rest() -> None:
    assert rests("4/4 C5w | R | C5w | R | C5w | C5w") == {}


@pytest.mark.parametrize(
    "own",
    [
        "4/4 R | R | [reh A] R | R | C5w | C5w",
        "4/4 R | R | [words tutti] R | R | C5w | C5w",
        "4/4 R | R | [key 2] R | R | C5w | C5w",
        "4/4 R | R | [clef C 3] R | R | C5w | C5w",
        "4/4 R | R | [start] R | R | C5w | C5w",
        "4/4 R | R [back] | R | R | C5w | C5w",
        "4/4 R | R [double] | R | R | C5w | C5w",
    ],
)
def test_it_is_broken_where_something_is_written(own: str) -> None:
    assert rests(own) == {1: 2, 3: 2}


def test_it_is_broken_by_a_new_meter() -> None:
    top = "4/4 A4w | A4w | 3/4 A4h. | A4h. | A4h. | A4h."
    assert rests("4/4 R | R | 3/4 R | R | C5h. | C5h.", top) == {1: 2, 3: 2}


def test_it_is_broken_by_a_mark_that_only_another_part_carries() -> None:
    assert rests("4/4 R | R | R | R | C5w | C5w", HELD.replace("| A4w", "| [reh A] A4w", 2)) == {
        3: 2
    }


def test_it_stops_before_a_bar_with_a_cue() -> None:
    taken = take(page(Flute=HELD, Oboe="4/4 R | R | R | R | C5w | C5w"), 2)
    assert taken.long_rests() == {1: 3}
    assert taken.cues(4)


def test_words_inside_a_bar_leave_that_bar_alone() -> None:
    assert rests("4/4 R | R | rh [words rit.] rh | R | R | C5w") == {1: 2, 4: 2}


def test_a_held_rest_is_seen() -> None:
    fermata = b'<notations><fermata/></notations></note></measure><measure number="4">'
    source = page(Flute=HELD, Oboe="4/4 R | R | R | R | R | C5w")
    before, rest = source.rsplit(b'</note></measure><measure number="4">', 1)
    assert take(before + fermata + rest, 2, Cues.NONE).long_rests() == {1: 2, 4: 2}


def test_the_sources_own_count_is_made_anew() -> None:
    style = b"<measure-style><multiple-rest>5</multiple-rest></measure-style>"
    source = page(Flute=HELD, Oboe="4/4 R | R | R | [reh B] R | R | C5w")
    counted = source.replace(
        b"</time></attributes><note><rest", b"</time>" + style + b"</attributes><note><rest"
    )
    assert take(counted, 2, Cues.NONE).long_rests() == {1: 3, 4: 2}


def test_a_pickup_is_not_counted_among_them() -> None:
    top = "4/4 A4q | A4w | A4w | A4w"
    own = "4/4 rq | R | R | C5w"
    source = page(Flute=top, Oboe=own).replace(b'number="1"', b'number="0" implicit="yes"')
    assert take(source, 2, Cues.NONE).long_rests() == {2: 2}
