"""How the demo quartet is written down in code, so that a mistake can be seen by reading.

A line of music is bars between `|`. A note is pitch, octave and length: `F#5q.` is a dotted
quarter, `A4e` an eighth, `Re` an eighth rest, `R*` a silent bar. Lengths: h q e s, and t for an
eighth of a triplet; a dot lengthens. `( )` is a slur. After the length stand the signs:
`'` staccato, `-` tenuto, `>` accent, `~` tie onward, `^` up-bow, `@` fermata, `?` courtesy
accidental. Between notes stand dynamics (`mf`), hairpins (`<` or `>`, ended by `=`), words
(`"poco_rit."`) and tempo marks (`q.=69`, or `q.=q` for a beat that stays the same).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

DIVISIONS = 12
"""Ticks a quarter note: the smallest number that eighths, sixteenths and triplets all divide."""

LENGTHS = {"h": 24, "q": 12, "e": 6, "s": 3, "t": 4}
DYNAMICS = frozenset({"pp", "p", "mp", "mf", "f", "ff"})

NOTE = re.compile(r"(\(?)(?:(R)|([A-G])([#b]?)(\d))([hqest])(\.?)(['\->~^@?]*)(\)?)")
TEMPO = re.compile(r"([hqe]\.?)=([hqe]\.?|\d+)")


@dataclass(frozen=True, slots=True)
class Pitch:
    """A written pitch; octave 4 starts at middle C."""

    step: str
    alter: int
    octave: int


@dataclass(frozen=True, slots=True)
class Note:
    """A note or a rest, with everything printed on it."""

    pitch: Pitch | None
    """None is a rest."""
    length: str
    """One letter of LENGTHS, or `*` for a silent bar."""
    dotted: bool
    ticks: int
    signs: str
    """The characters after the length, as the module's docstring names them."""
    opens_slur: bool
    closes_slur: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """Something printed beside the notes, in force from the next note on."""

    kind: str
    """dynamic, hairpin, words or tempo."""
    text: str


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of the piece in which no part changes its meter."""

    letter: str
    """The rehearsal letter, or nothing for the upbeat."""
    quarters_a_minute: str
    """The speed of a quarter note for players that only count quarters; nothing: as before."""
    meters: tuple[str, str, str, str]
    voices: tuple[str, str, str, str]
    """Violin I, Violin II, Viola, Cello, each a line in this module's notation."""
    upbeat: int = 0
    """Ticks of an incomplete bar; 0 where every bar is full."""


def ticks_of(meter: str) -> int:
    """Ticks in a bar of this meter, written as `6/8`."""
    beats, unit = meter.split("/")
    return int(beats) * DIVISIONS * 4 // int(unit)


def beat_of(meter: str) -> int:
    """Ticks of one felt beat: a dotted quarter in 6/8, a quarter in 2/4 and 3/4."""
    return DIVISIONS * 3 // 2 if meter == "6/8" else DIVISIONS


def bars_of(voice: str) -> list[str]:
    """The bars of a line, each without the space around it."""
    return [" ".join(bar.split()) for bar in voice.split("|")]


def read_bar(text: str, full: int) -> list[Note | Mark]:
    """The notes and marks of one bar that must hold exactly `full` ticks."""
    events = [read_token(token, full) for token in text.split()]
    held = sum(event.ticks for event in events if isinstance(event, Note))
    assert held == full, f"{held} ticks where the meter asks for {full}: {text}"
    return events


def read_token(token: str, full: int) -> Note | Mark:
    """One word of the notation; a token that is none of ours stops the script."""
    if token == "R*":
        return Note(None, "*", False, full, "", False, False)
    if token in DYNAMICS:
        return Mark("dynamic", token)
    if token in {"<", ">", "="}:
        return Mark("hairpin", token)
    if token.startswith('"'):
        return Mark("words", token.strip('"').replace("_", " "))
    if TEMPO.fullmatch(token):
        return Mark("tempo", token)
    found = NOTE.fullmatch(token)
    assert found, f"not in our notation: {token}"
    return read_note(found)


def read_note(found: re.Match[str]) -> Note:
    """The note a token of pitch, length and signs stands for."""
    opening, rest, step, accidental, octave, length, dot, signs, closing = found.groups()
    alter = {"#": 1, "b": -1}.get(accidental, 0)
    pitch = None if rest else Pitch(step, alter, int(octave))
    ticks = LENGTHS[length] * 3 // 2 if dot else LENGTHS[length]
    return Note(pitch, length, bool(dot), ticks, signs, bool(opening), bool(closing))
