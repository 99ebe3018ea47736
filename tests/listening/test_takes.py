"""Takes whose truth is known, rendered: what is heard in them. The wide table is
`python -m tests.bench.listening_table`."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from mir_eval.onset import f_measure

from companion.listening.hearing import HeardTake, ListeningError, hear
from companion.listening.take import Take as Recording
from tests.bench.listening_table import as_played, lateness_error, off_the_beat, truth
from tests.listening.performing import CELLO, LACKING, RATE, VIOLA, VIOLIN, Wave
from tests.listening.takes import Take

pytestmark = pytest.mark.skipif(bool(LACKING), reason=LACKING)

K458 = "mozart/k458/movement1.mxl"
PLUCKED = Take(K458, 2, 22, 30, 60, 45, "plucked", drops=1, adds=1, click_db=-24.0, seed=3)
BOWED = Take(K458, 0, 42, 48, 60, VIOLIN, "bowed", drift=0.05, drops=2, adds=1, seed=4)
SLURRED = Take(K458, 0, 60, 72, 92, VIOLIN, "slurred", room=0.8, seed=5)
LATE = Take(K458, 0, 90, 102, 104, VIOLIN, "bowed", late=0.035, click_db=-24.0, seed=6)

HAYDN, K155 = "haydn/opus74no1/movement1.mxl", "mozart/k155/movement3.mxl"
LATE_VIOLA = Take(HAYDN, 2, 33, 48, 100, VIOLA, "bowed", late=0.035, click_db=-24.0, seed=7)
LATE_CELLO = Take(HAYDN, 3, 49, 60, 120, CELLO, "bowed", late=0.035, click_db=-24.0, seed=8)
# A quarter of its notes are an E of which the tone comes 60 ms after the bow noise.
SLOW_CELLO = Take(K155, 3, 1, 30, 84, CELLO, "bowed", late=0.035, seed=704)


@cache
def sound(take: Take) -> Wave:
    return take.sound


@cache
def heard(take: Take) -> HeardTake:
    click = None if take.click_db is None else take.click
    return hear(Recording(sound(take), RATE), take.due, click)


@pytest.mark.parametrize(
    "take, least",
    [(PLUCKED, 0.97), (BOWED, 0.95), (SLURRED, 0.97), (LATE, 0.95)],
    ids=["plucked", "bowed", "slurred", "late"],
)
def test_the_notes_are_heard_when_they_were_played(take: Take, least: float) -> None:
    began = [note.begun_s for note in heard(take).notes if note.begun_s is not None]
    when = {played.due: played.at for played in take.played}
    pairs = zip(heard(take).notes, range(len(take.due)), strict=True)
    off = [note.begun_s - when[n] for note, n in pairs if n in when and note.begun_s is not None]
    found = np.array(sorted([*began, *heard(take).added])) - np.median(off)
    assert f_measure(truth(take), found, window=0.05)[0] >= least


@pytest.mark.parametrize("take", [PLUCKED, BOWED], ids=["plucked", "bowed"])
def test_what_was_left_out_and_put_in_is_named(take: Take) -> None:
    missing = [n for n, note in enumerate(heard(take).notes) if note.begun_s is None]
    assert missing == list(take.dropped)
    stray = [played.at for played in take.played if played.due is None]
    assert heard(take).added == pytest.approx(stray, abs=0.06)


def test_a_side_that_is_late_is_heard_late_though_the_click_leaks_in() -> None:
    assert abs(lateness_error(LATE, heard(LATE))) < 0.008


@pytest.mark.parametrize(
    "take", [LATE, LATE_VIOLA, LATE_CELLO, SLOW_CELLO], ids=["violin", "viola", "cello", "slow"]
)
def test_a_bowed_side_is_called_late_by_what_it_was(take: Take) -> None:
    told, played = (off_the_beat(take, one) for one in (heard(take), as_played(take, heard(take))))
    assert told is not None and played is not None
    assert told.is_told and told.is_off
    assert told.late == pytest.approx(played.late, abs=0.008)


def test_the_click_pulls_no_note_to_it() -> None:
    dry = replace(LATE, click_db=None)
    moved = [
        abs(with_click.begun_s - without.begun_s)
        for with_click, without in zip(heard(LATE).notes, heard(dry).notes, strict=True)
        if with_click.begun_s is not None and without.begun_s is not None
    ]
    assert np.mean(moved) < 0.006


def test_eight_thousand_samples_a_second_are_enough() -> None:
    step = np.arange(0, len(sound(SLURRED)), RATE / 8000)
    coarse = np.interp(step, np.arange(len(sound(SLURRED))), slower_all(sound(SLURRED)))
    again = hear(Recording(coarse, 8000), SLURRED.due)
    fine = [note.begun_s for note in heard(SLURRED).notes]
    errors = [
        abs(note.begun_s - at)
        for note, at in zip(again.notes, fine, strict=True)
        if note.begun_s is not None and at is not None
    ]
    assert len(errors) >= len(fine) - 2
    assert np.median(errors) < 0.01


def slower_all(wave: Wave) -> Wave:
    """Without what 8,000 samples a second cannot carry."""
    spectrum = np.fft.rfft(wave)
    spectrum[int(len(spectrum) * 3800 / (RATE / 2)) :] = 0
    return np.fft.irfft(spectrum, len(wave))


def test_another_piece_is_refused_in_one_sentence() -> None:
    other = replace(SLURRED, path="beethoven/opus18no1/movement1.mxl", part=3, first=57, last=70)
    with pytest.raises(ListeningError, match="does not sound like these bars"):
        hear(Recording(sound(SLURRED), RATE), other.due)


def test_a_player_who_stops_and_begins_again_is_followed() -> None:
    bar = next(n for n, note in enumerate(SLURRED.due) if note.position == 66)
    when = next(p.at for p in SLURRED.played if p.due == bar) - 0.05
    stop = round((when + 3.0) * RATE)
    wave = sound(SLURRED)
    silence = np.zeros(2 * RATE)
    both = np.concatenate([wave[:stop], silence, wave[round(when * RATE) :]])
    again = hear(Recording(both, RATE), SLURRED.due)
    assert len(again.stops) == 1
    later = (stop + len(silence)) / RATE - when
    for note, first in zip(again.notes[bar:], heard(SLURRED).notes[bar:], strict=True):
        assert note.begun_s is not None and first.begun_s is not None
        assert note.begun_s == pytest.approx(first.begun_s + later, abs=0.03)
