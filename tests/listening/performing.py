"""Takes whose truth is known: corpus passages played by a program, with planted faults.

A passage is performed as a list of notes at known times, rendered with a free General MIDI
SoundFont, put into a room, and the click is mixed in as it bleeds from headphones.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import mido
import numpy as np
import soundfile
from numpy.typing import NDArray

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import ClickPlan, planned
from companion.click.plan.tempo_plan import Fixed
from companion.click.synth.render import render
from companion.listening.due_notes import DueNote, due_notes
from companion.score.laying import lay
from companion.score.passage import Passage, passage
from companion.score.readers.opening import read_score
from tests.findings.real_scores import CORPUS

FONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
RATE = 44100
Wave = NDArray[np.float64]

LACKING = (
    ""
    if shutil.which("fluidsynth") and FONT.is_file()
    else ("needs fluidsynth and FluidR3_GM.sf2 (Debian: fluidsynth, fluid-soundfont-gm)")
)
VIOLIN, VIOLA, CELLO, PIZZICATO = 40, 41, 42, 45
"""Programs of General MIDI 1, from 0."""


@dataclass(frozen=True)
class Played:
    """One note as it was performed."""

    at: float
    """Seconds in the take."""
    length: float
    pitches: tuple[int, ...]
    due: int | None
    """Which due note it is; None for an added one."""
    strength: int = 90
    is_slurred: bool = False
    """Whether it goes on from the note before without a new attack."""


@cache
def corpus_passage(path: str, part: int, first: int, last: int) -> Passage:
    return passage(lay(read_score(CORPUS / path, None).score), part, first, last)


def click_of(which: Passage, bpm: int, count_in: int = 0) -> ClickPlan:
    return planned(which, (), ClickSettings(Fixed(Fraction(bpm)), count_in=count_in))


def due_of(which: Passage, bpm: int) -> tuple[DueNote, ...]:
    return due_notes(which, click_of(which, bpm).timetable.pace(0))


def performed(
    due: Sequence[DueNote],
    seed: int,
    *,
    begins: float = 1.0,
    jitter: float = 0.012,
    drift: float = 0.0,
    late: Callable[[DueNote], float] = lambda note: 0.0,
    dropped: Sequence[int] = (),
    added: Sequence[int] = (),
    wrong: Sequence[int] = (),
    slurs: int = 1,
    detached: float = 0.9,
) -> list[Played]:
    """Play the due notes: `drift` is the share by which the tempo has slowed at the end.

    `added` names notes half-way after which a stray note comes; `slurs` is how many notes go
    on one bow, a repeated pitch always with a new attack.
    """
    chance = np.random.default_rng(seed)
    end = float(due[-1].seconds) or 1.0
    found: list[Played] = []
    on_bow = 0
    for index, note in enumerate(due):
        due_at = float(note.seconds)
        at = begins + due_at + drift * due_at**2 / (2 * end) + late(note)
        at += float(np.clip(chance.normal(0, jitter), -2.5 * jitter, 2.5 * jitter))
        strength = int(chance.integers(70, 105))
        pitches = note.pitches
        if index in wrong:
            pitches = tuple(pitch + 2 for pitch in pitches)
        until = due[index + 1].seconds if index + 1 < len(due) else note.seconds + note.length
        held = float(min(note.length, until - note.seconds))
        if index in dropped or not pitches:
            on_bow = 0
            continue
        goes_on = (
            slurs > 1
            and 0 < on_bow < slurs
            and bool(found)
            and len(pitches) == len(found[-1].pitches) == 1
            and pitches != found[-1].pitches
            and found[-1].due == index - 1
            and due[index - 1].seconds + due[index - 1].length == note.seconds
            and index not in wrong
        )
        on_bow = on_bow + 1 if goes_on else 1
        found.append(
            Played(at, held * (detached if slurs == 1 else 0.97), pitches, index, strength, goes_on)
        )
        if index in added:
            found.append(Played(at + held * 0.5, held * 0.4, (pitches[0] + 5,), None, strength))
            on_bow = 0
    found.sort(key=lambda played: played.at)
    # A key that is let go after it was struck again would silence the new note.
    return [
        replace(played, length=max(0.02, min(played.length, later.at - played.at - 0.012)))
        for played, later in pairwise([*found, replace(found[-1], at=found[-1].at + 60)])
    ]


def rendered(played: Sequence[Played], program: int, seconds: float | None = None) -> Wave:
    """The sound of a performance, dry, at RATE."""
    total = seconds or max(note.at + note.length for note in played) + 1.5
    with TemporaryDirectory() as folder:
        song, out = Path(folder, "take.mid"), Path(folder, "take.wav")
        _midi(played, program, total).save(song)
        subprocess.run(
            ["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.5", "-r", str(RATE)]
            + ["-F", str(out), str(FONT), str(song)],
            check=True,
            capture_output=True,
        )
        sound, rate = soundfile.read(out)
    assert rate == RATE
    wave: Wave = np.zeros(round(total * RATE))
    mono = sound.mean(axis=1)[: len(wave)]
    wave[: len(mono)] = mono
    return wave / max(1e-9, float(np.abs(wave).max())) * 0.5


def _midi(played: Sequence[Played], program: int, total: float) -> mido.MidiFile:
    """At 1,000 ticks a second; a slurred note is the one before, bent to its pitch."""
    events: list[tuple[float, int, mido.Message]] = []
    say = mido.Message
    for control, value in ((101, 0), (100, 0), (6, 24), (38, 0)):
        events.append((0.0, 0, say("control_change", control=control, value=value)))
    events.append((0.0, 1, say("program_change", program=program)))
    for bow in _bows(played):
        first, last = bow[0], bow[-1]
        events.append((first.at, 2, say("pitchwheel", pitch=0)))
        for key in first.pitches:
            events.append((first.at, 3, say("note_on", note=key, velocity=first.strength)))
            events.append((last.at + last.length, 1, say("note_off", note=key)))
        for before, note in pairwise(bow):
            base = first.pitches[0]
            for step in range(1, 6):
                bend = before.pitches[0] + (note.pitches[0] - before.pitches[0]) * step / 5 - base
                at = note.at - 0.006 + 0.0025 * step
                events.append((at, 2, say("pitchwheel", pitch=round(bend / 24 * 8191))))
    events.sort(key=lambda event: (round(event[0] * 1000), event[1]))
    track = mido.MidiTrack()
    now = 0
    for at, _, message in events:
        tick = round(at * 1000)
        track.append(message.copy(time=max(0, tick - now)))
        now = max(now, tick)
    track.append(mido.MetaMessage("end_of_track", time=max(0, round(total * 1000) - now)))
    # A quarter of half a second, the default tempo, holds 500 ticks of a millisecond.
    return mido.MidiFile(ticks_per_beat=500, tracks=[track])


def _bows(played: Sequence[Played]) -> list[list[Played]]:
    """The notes that go on one bow; a pitch bend reaches no farther than an octave."""
    bows: list[list[Played]] = []
    for note in played:
        if note.is_slurred and abs(note.pitches[0] - bows[-1][0].pitches[0]) <= 12:
            bows[-1].append(note)
        else:
            bows.append([note])
    return bows


def in_a_room(wave: Wave, seed: int, seconds: float = 0.5, noise_db: float = -50.0) -> Wave:
    """With the decay of a room (60 dB in `seconds`, 9 dB under the direct sound) and its noise."""
    chance = np.random.default_rng(seed)
    time = np.arange(round(seconds * RATE)) / RATE
    decay = chance.normal(0, 1, len(time)) * 10 ** (-3 * time / seconds)
    decay[: round(0.004 * RATE)] = 0
    decay *= 10 ** (-9 / 20) / np.sqrt((decay**2).sum())
    size = 1 << (len(wave) + len(decay)).bit_length()
    wet = np.fft.irfft(np.fft.rfft(wave, size) * np.fft.rfft(decay, size))[: len(wave)]
    both = wave + wet
    rms = float(np.sqrt((both**2).mean()))
    noise: Wave = np.cumsum(chance.normal(0, 1, len(wave)))
    noise -= np.convolve(noise, np.ones(501) / 501, "same")
    noise *= rms * 10 ** (noise_db / 20) / noise.std()
    return both + noise


def with_click(
    wave: Wave, plan: ClickPlan, begins: float, level_db: float = -24.0, apart: float = 0.0
) -> Wave:
    """With the click as it bleeds from headphones, its peak so far under the take's. Its clock is
    faster than the take's by the share `apart`."""
    click = render(plan, RATE).mean(axis=1)
    if apart:
        click = np.interp(np.arange(len(click)) * (1 + apart), np.arange(len(click)), click)
    # Small loudspeakers in front of a microphone: nothing below 500 Hz, a short echo.
    spectrum = np.fft.rfft(click)
    hertz = np.fft.rfftfreq(len(click), 1 / RATE)
    spectrum *= (hertz / 500) ** 2 / (1 + (hertz / 500) ** 2)
    heard = np.fft.irfft(spectrum, len(click))
    echo = round(0.0031 * RATE)
    heard[echo:] += 0.4 * heard[:-echo]
    heard *= np.abs(wave).max() / np.abs(heard).max() * 10 ** (level_db / 20)
    first = round(begins * RATE)
    both = wave.copy()
    heard = heard[: len(both) - first]
    both[first : first + len(heard)] += heard
    return both
