"""Jumps as MusicXML writes them: signs, words, `sound`, alone or together.

How they are written: MusicXML 4.0, elements segno, coda, sound, words. What they mean to a
player: common practice, no source.
"""

import pytest

from companion.score.playing.order import order_spans, playing_order
from companion.score.readers.musicxml.reading import read_musicxml

SEGNO = "<segno/>"
CODA = "<coda/>"


def words(text: str) -> str:
    return f"<words>{text}</words>"


def direction(printed: str, sound: str = "") -> str:
    heard = f"<sound {sound}/>" if sound else ""
    return f"<direction><direction-type>{printed}</direction-type>{heard}</direction>"


def music(count: int, before: dict[int, str], behind: dict[int, str]) -> bytes:
    """Bars of one note, with directions before and behind it by number of bar."""
    time = "<time><beats>2</beats><beat-type>4</beat-type></time>"
    attributes = f"<attributes><divisions>1</divisions>{time}</attributes>"
    note = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration></note>"
    bars = "".join(
        f'<measure number="{number}">{attributes if number == 1 else ""}'
        f"{before.get(number, '')}{note}{behind.get(number, '')}</measure>"
        for number in range(1, count + 1)
    )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Viola'
        f'</part-name></score-part></part-list><part id="P1">{bars}</part></score-partwise>'
    ).encode()


def test_signs_in_barlines_count() -> None:
    """MusicXML 4.0, element barline: segno and coda may stand in it."""
    segno = '<barline location="left" segno="s"><segno/></barline>'
    coda = '<barline location="left" coda="c"><coda/></barline>'
    to_coda, back = direction(words("To Coda")), direction(words("D.S. al Coda"))
    data = music(8, {2: segno, 7: coda}, {4: to_coda, 6: back})
    score = read_musicxml(data, "jumps.musicxml")
    assert list(order_spans(playing_order(score).bars)) == [(1, 6), (2, 4), (7, 8)]


@pytest.mark.parametrize(
    ("before", "behind", "order"),
    [
        # dal segno al coda: signs with sounds, signs alone, words alone
        (
            {2: direction(SEGNO, 'segno="s"'), 7: direction(CODA, 'coda="c"')},
            {4: direction(CODA, 'tocoda="c"'), 6: direction(words("D.S. al Coda"), 'dalsegno="s"')},
            [(1, 6), (2, 4), (7, 8)],
        ),
        (
            {2: direction(SEGNO), 7: direction(CODA)},
            {4: direction(CODA), 6: direction(words("D.S. al Coda"))},
            [(1, 6), (2, 4), (7, 8)],
        ),
        (
            {7: direction(words("Coda"))},
            {4: direction(words("To Coda")), 6: direction(words("D.C. al Coda"))},
            [(1, 6), (1, 4), (7, 8)],
        ),
        # “al Fine” by itself belongs to the jump; the Fine is where that word stands alone
        (
            {},
            {
                3: direction(words("Fine")),
                8: direction(words("D.C.")) + direction(words("al Fine")),
            },
            [(1, 8), (1, 3)],
        ),
        # a segno behind the last note is drawn at the next bar; the sign in words
        (
            {},
            {
                2: direction(SEGNO),
                4: direction(words("Fine")),
                8: direction(words("dal \N{MUSICAL SYMBOL SEGNO} al Fine")),
            },
            [(1, 8), (3, 4)],
        ),
        ({}, {8: direction(words("Da Capo"), 'dacapo="yes"')}, [(1, 8), (1, 8)]),
    ],
)
def test_jumps_lead_where_players_go(
    before: dict[int, str], behind: dict[int, str], order: list[tuple[int, int]]
) -> None:
    score = read_musicxml(music(8, before, behind), "jumps.musicxml")
    assert list(order_spans(playing_order(score).bars)) == order
