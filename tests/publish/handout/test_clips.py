"""What the sounds of a page hold, read with the standard library."""

import base64
import io
import wave
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from companion.files.folders import Folders
from companion.publish.handout.clips import Clip, HandoutClips, clip_bpm, listening
from companion.publish.handout.lesson import lesson_of
from companion.session.open_score import open_for_practice
from tests.part.pages import page

TEMPO = Fraction(60)


@pytest.fixture
def duo(tmp_path: Path) -> HandoutClips:
    """One bar of three eighths a beat against two, at sixty beats a minute."""
    score = tmp_path / "duo.musicxml"
    score.write_bytes(page(Flute="6/8 A4e A4e A4e A4e A4e A4e", Horn="2/4 C4e C4e C4e C4e"))
    folders = Folders(tmp_path / "data", tmp_path / "cache")
    return listening(lesson_of(open_for_practice(score, folders), 0, (1, 1), TEMPO))


def struck(clip: Clip) -> list[float]:
    """Seconds at which something begins: loud after a time of next to nothing."""
    with wave.open(io.BytesIO(clip.wav)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 22050)
        heard = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)
    # The loudest of each hundredth of a second; a stroke makes it jump.
    loud = np.abs(heard[: len(heard) // 220 * 220]).reshape(-1, 220).max(axis=1)
    jumps = [
        index
        for index in range(len(loud))
        if loud[index] > 1.6 * (loud[index - 1] if index else 0) + 250
    ]
    return [round(index * 220 / 22050, 2) for index in jumps]


def test_each_side_strikes_its_own_division(duo: HandoutClips) -> None:
    # Two beats are counted in, a second each; then my side cuts each beat into three,
    # theirs into two (the definition of 3 against 2).
    mine, theirs, _ = duo.tempos[2].clips
    assert struck(mine) == pytest.approx([0, 1, *(2 + k / 3 for k in range(6))], abs=0.02)
    assert struck(theirs) == pytest.approx([0, 1, *(2 + k / 2 for k in range(4))], abs=0.02)


def test_both_sides_make_the_resultant_of_three_and_two(duo: HandoutClips) -> None:
    # 3:2 strikes at 0, 1/3, 1/2 and 2/3 of the beat.
    both = struck(duo.tempos[2].clips[2])
    beat = [0, 1 / 3, 1 / 2, 2 / 3]
    expected = [0, 1, *(2 + at for at in beat), *(3 + at for at in beat)]
    assert both == pytest.approx(expected, abs=0.02)


def test_the_three_tempos_climb_to_the_one_to_arrive_at(duo: HandoutClips) -> None:
    assert [one.told for one in duo.tempos] == [f"dotted quarter = {bpm}" for bpm in (36, 48, 60)]
    # Four beats, count-in included.
    lasts = [one.clips[0].seconds for one in duo.tempos]
    assert lasts == pytest.approx([4 * 60 / 36, 5, 4])


def test_the_sound_stands_in_the_page_letter_for_letter(duo: HandoutClips) -> None:
    clip = duo.tempos[0].clips[0]
    head, _, body = clip.uri.partition(",")
    assert head == "data:audio/wav;base64"  # RFC 2397
    assert base64.b64decode(body) == clip.wav


def test_where_nothing_pulls_there_is_the_beat(tmp_path: Path) -> None:
    score = tmp_path / "solo.musicxml"
    score.write_bytes(page(Flute="2/4 A4q A4q"))
    folders = Folders(tmp_path / "data", tmp_path / "cache")
    heard = listening(lesson_of(open_for_practice(score, folders), 0, (1, 1), TEMPO))
    assert [clip.label for clip in heard.tempos[0].clips] == ["the beat"]


def test_no_tempo_leaves_what_can_be_played() -> None:
    assert clip_bpm(Fraction(12), Fraction(3, 5)) == 10
    assert clip_bpm(Fraction(400), Fraction(1)) == 400
