"""The click as a file on a disk: read back, and looked at for where silence ends."""

from fractions import Fraction
from itertools import cycle, islice
from pathlib import Path

import numpy as np
import pytest

from companion.click.export.tags import Tags
from companion.click.export.wav import write
from companion.click.plan.layers import Layer
from companion.click.synth.render import render
from companion.errors import RequestError
from companion.files.whole_file import NotWritten
from tests.click.asking import click
from tests.click.listening import heard, onsets_in
from tests.score.written import score, score_of

# J. Schillinger, The Schillinger System of Musical Composition (1946), Book I: durations of
# the resultants over the common cycle of m x n.
SCHILLINGER = {
    (3, 2): "2 1 1 2",
    (4, 3): "3 1 2 2 1 3",
    (5, 4): "4 1 3 2 2 3 1 4",
    (7, 4): "4 3 1 4 2 2 4 1 3 4",
}


@pytest.mark.parametrize(("ratio", "row"), SCHILLINGER.items())
@pytest.mark.parametrize("layers", [[Layer.RESULTANT], [Layer.MINE, Layer.THEIRS], list(Layer)[:1]])
def test_two_meters_in_one_bar_sound_the_published_resultant(
    ratio: tuple[int, int], row: str, layers: list[Layer], tmp_path: Path
) -> None:
    # m quarters at m times 15 a minute: a bar of four seconds, 192,000 samples.
    m, n = ratio
    pulling = score_of({"V": f"{m}/4 * | *", "C": f"{n}/4 * | *"})
    write(click(pulling, 15 * m, layers), tmp_path / "click.wav")
    steps = [int(step) for step in row.split()]
    if layers == [Layer.BEAT]:
        steps = [n] * m
    bar = [round(Fraction(192000 * sum(steps[:k]), m * n)) for k in range(len(steps))]
    found = onsets_in(tmp_path / "click.wav")
    assert found[: len(bar)] == bar
    assert len(found) == 2 * len(bar)
    assert found[len(bar)] == 192000


def test_three_against_two_at_eighty(tmp_path: Path) -> None:
    write(click(score(V="6/8 *", C="2/4 *"), bpm=80), tmp_path / "click.wav")
    assert onsets_in(tmp_path / "click.wav")[:5] == [0, 12000, 18000, 24000, 36000]


def test_a_half_sample_goes_to_the_even_one(tmp_path: Path) -> None:
    planned = click(score(V="6/8 *", C="2/4 *"), bpm=80)
    write(planned, tmp_path / "click.wav", 44100)
    _, rate = heard(tmp_path / "click.wav")
    assert rate == 44100
    assert onsets_in(tmp_path / "click.wav")[2] == 16538  # exactly 16537.5


def test_ten_minutes_of_changing_meters_end_on_their_sample(tmp_path: Path) -> None:
    # Eighths throughout (note = note at every change); quarter = 72.5, an eighth 60/145 s.
    groups = {
        "4/4": [2, 2, 2, 2],
        "3+4/8": [3, 4],
        "2/4": [2, 2],
        "5/8": [1, 1, 1, 1, 1],
        "9/8": [3, 3, 3],
    }
    meters = list(islice(cycle(groups), 225))
    long = score_of({"V": " | ".join(f"{meter} -" for meter in meters)})
    planned = click(long, bpm=Fraction(145, 2), layers=[Layer.BEAT])
    assert planned.seconds > 600
    write(planned, tmp_path / "click.wav")

    eighths, at = [], 0
    for meter in meters:
        for group in groups[meter]:
            eighths.append(at)
            at += group
    samples, rate = heard(tmp_path / "click.wav")
    assert onsets_in(tmp_path / "click.wav") == [nearest(k * 60 * rate, 145) for k in eighths]
    assert len(samples) == nearest(at * 60 * rate, 145)


def nearest(top: int, bottom: int) -> int:
    """Whole division to the nearest; 145 is odd, so there are no halves."""
    return (2 * top + bottom) // (2 * bottom)


def test_the_file_holds_exactly_what_was_rendered(tmp_path: Path) -> None:
    planned = click(score(V="3+4/8 q. h", C="4/4 w"), bpm=100, layers=list(Layer), count_in=1)
    write(planned, tmp_path / "click.wav")
    samples, _ = heard(tmp_path / "click.wav")
    assert np.array_equal(samples, render(planned))


def test_a_new_click_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "click.wav"
    write(click(score(V="4/4 w"), bpm=60), path)
    write(click(score(V="2/4 h"), bpm=60), path)
    assert len(heard(path)[0]) == 2 * 48000
    assert [file.name for file in tmp_path.iterdir()] == ["click.wav"]


def test_a_folder_that_is_not_there_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match=r"nowhere.click\.wav: the file could not be written"):
        write(click(score(V="4/4 w")), tmp_path / "nowhere" / "click.wav")


def test_what_stands_in_the_way_stays_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    (tmp_path / "click.wav").mkdir()
    with pytest.raises(NotWritten, match="this is a folder"):
        write(click(score(V="4/4 w")), tmp_path / "click.wav")
    assert [file.name for file in tmp_path.iterdir()] == ["click.wav"]


PLAIN = score(V="3+4/8 q. h", C="4/4 w")


def test_a_title_in_any_script_leaves_the_samples_in_their_place(tmp_path: Path) -> None:
    # A chunk of odd length is filled up, or everything behind it would be one byte off.
    planned = click(PLAIN)
    for title in ("Скрипка Ⅰ", "ab", "abc", ""):
        write(planned, tmp_path / "click.wav", tags=Tags(title, "x", "y"))
        assert np.array_equal(heard(tmp_path / "click.wav")[0], render(planned))


def test_more_than_four_gigabytes_are_refused_and_nothing_is_written(tmp_path: Path) -> None:
    hours = click(score(V=" | ".join(["4/4 w"] * 40)), bpm=10, repeat=40)
    assert hours.seconds > 10 * 3600
    with pytest.raises(RequestError, match="do not fit into a WAV file"):
        write(hours, tmp_path / "click.wav", bits=24)
    assert not list(tmp_path.iterdir())
