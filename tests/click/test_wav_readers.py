"""The click as a WAV file through another library: samples of both depths, and the words."""

from pathlib import Path

import numpy as np
import pytest

from companion.click.export.tags import tags_of
from companion.click.export.wav import write
from companion.click.plan.layers import Layer
from companion.click.synth.render import blocks
from tests.click.asking import click, take
from tests.score.written import score

soundfile = pytest.importorskip("soundfile")
PLAIN = score(V="3+4/8 q. h", C="4/4 w")


@pytest.mark.parametrize("bits", [16, 24])
def test_another_library_reads_the_same_samples_and_the_words_beside_them(
    bits: int, tmp_path: Path
) -> None:
    # soundfile 0.14 (libsndfile 1.2): the samples, and the LIST INFO words of the RIFF form.
    chosen = take(PLAIN)
    planned = click(chosen, bpm=100, layers=list(Layer), count_in=1)
    path = tmp_path / "click.wav"
    write(planned, path, bits=bits, tags=tags_of(planned, chosen))
    with soundfile.SoundFile(path) as file:
        assert file.subtype == f"PCM_{bits}"
        assert file.title == "A study: V, bar 1"
        assert file.album == "A study"
        assert file.comment.startswith("dotted quarter = 100; beat, division, mine, theirs")
        assert file.comment.endswith("once through; count-in 1")
        assert file.software.startswith("companion")
        samples = file.read(dtype="int32") >> (32 - bits)
    made = np.concatenate([block.copy() for block in blocks(planned, bits=bits)])
    assert np.array_equal(samples, made)


@pytest.mark.parametrize("bits", [16, 24])
def test_the_first_stroke_is_the_first_sample_at_any_depth(bits: int, tmp_path: Path) -> None:
    write(click(PLAIN), tmp_path / "click.wav", bits=bits)
    samples, _ = soundfile.read(tmp_path / "click.wav")
    assert abs(samples[0]).max() > 0.1
