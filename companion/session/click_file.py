"""A click for a passage, written to a file: the whole way from words to strokes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from os.path import isdir
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import ClickPlan, planned
from companion.click.words.tempo_words import tempo_in_words
from companion.errors import RequestError
from companion.files.whole_file import refuse_untyped
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage
from companion.session.accompaniment import Accompaniment, blocks_along, taken_by
from companion.session.click_order import ClickOrder, click_settings_of_order, passage_of
from companion.session.open_score import OpenScore

if TYPE_CHECKING:
    from companion.click.synth.layer_sounds import LayerSamples

_RATES = (22050, 32000, 44100, 48000, 88200, 96000)
"""Samples a second that a sound file may have here."""
_RATE, _BITS = 48000, 16
ENDINGS = (".wav", ".flac", ".mid", ".midi")
"""What a click can be written as."""
ALONE = Accompaniment()
"""Nobody plays along."""
_LONGEST_NAME = 40
"""Characters of a title or a part's name that go into a file's."""


@dataclass(frozen=True, slots=True)
class Click:
    """A planned click and the passage it is for."""

    plan: ClickPlan
    """Its strokes."""
    passage: Passage
    """Where in the score it belongs."""
    path: Path = Path()
    """Where it was written to."""


def plan_click(open_score: OpenScore, order: ClickOrder) -> Click:
    """Plan what was ordered. Raises RequestError for what cannot be meant."""
    chosen = passage_of(open_score, order)
    click_settings = click_settings_of_order(open_score, order, chosen)
    return Click(planned(chosen, open_score.conflicts, click_settings), chosen)


def write_click(
    open_score: OpenScore,
    order: ClickOrder,
    path: Path,
    ending: str = ".wav",
    accompaniment: Accompaniment = ALONE,
) -> Click:
    """Write a click as the file's ending says: `.wav`, `.flac` or `.mid`.

    `accompaniment` plays along. Into a folder it goes under a name of its own, with the ending
    given. Raises RequestError for another ending, CompanionError where the file cannot be
    written.
    """
    is_folder = isdir(path)
    wanted = _checked_ending(ending if is_folder else path.suffix.lower(), path)
    if order.rate not in _RATES:
        raise RequestError(
            f"{order.rate} samples a second is not a rate for a click",
            next=f"Choose one of {', '.join(map(str, _RATES))}.",
        )
    made = plan_click(open_score, order)
    place = path / f"{click_file_name(made)}{wanted}" if is_folder else path
    if is_folder:
        refuse_untyped([place])
    _WRITERS[wanted](made, order.rate, order.bits, place, accompaniment)
    return Click(made.plan, made.passage, place)


def _checked_ending(ending: str, path: Path) -> str:
    if ending not in ENDINGS:
        raise RequestError(
            f"a click cannot be written as “{ending or path.name}”",
            next="End it in .wav, .flac or .mid.",
        )
    return ending


def write_click_as_set(
    open_score: OpenScore,
    passage: Passage,
    click_settings: ClickSettings,
    path: Path,
    accompaniment: Accompaniment = ALONE,
) -> Click:
    """Write a click as a drill is set, at 48000 samples a second of 16 bits.

    Raises as `write_click`; `path` is a file.
    """
    ending = _checked_ending(path.suffix.lower(), path)
    made = Click(planned(passage, open_score.conflicts, click_settings), passage, path)
    _WRITERS[ending](made, _RATE, _BITS, path, accompaniment)
    return made


def click_file_name(click: Click) -> str:
    """`A study - Viola - bars 13-20 - 60 to 90 by 4`, without what no file may be called."""
    chosen = click.passage
    word = "bar" if chosen.first == chosen.last else "bars"
    bars = span_name(chosen.clock, chosen.first, chosen.last)
    said = (
        chosen.clock.score.title[:_LONGEST_NAME],
        chosen.part_name[:_LONGEST_NAME],
        f"{word} {bars}",
        tempo_in_words(click.plan.click_settings.tempo),
    )
    plain = " - ".join(
        re.sub(r'[\\/:*?"<>|\x00-\x1f\x7f]', "-", words).strip(" .") for words in said
    )
    plain = plain.replace("–", "-").replace(",", "").replace("%", " percent")
    return plain.strip(" .")


def _write_wav(made: Click, rate: int, bits: int, path: Path, accompaniment: Accompaniment) -> None:
    from companion.click.export import wav
    from companion.click.export.tags import tags_of

    tags = tags_of(made.plan, made.passage)
    sound = _along(made, rate, bits, accompaniment)
    wav.write(made.plan, path, rate, bits=bits, tags=tags, sound=sound)


def _write_flac(
    made: Click, rate: int, bits: int, path: Path, accompaniment: Accompaniment
) -> None:
    from companion.click.export import flac
    from companion.click.export.tags import tags_of

    tags = tags_of(made.plan, made.passage)
    sound = _along(made, rate, bits, accompaniment)
    flac.write(made.plan, path, rate, bits=bits, tags=tags, sound=sound)


def _along(
    made: Click, rate: int, bits: int, accompaniment: Accompaniment
) -> Iterator[LayerSamples] | None:
    """The click with those who play along; None if it is alone."""
    if not taken_by(accompaniment):
        return None
    return blocks_along(made.plan, made.passage, accompaniment, rate, bits)


def _write_midi(
    made: Click, _rate: int, _bits: int, path: Path, accompaniment: Accompaniment
) -> None:
    from companion.click.export import midi

    if taken_by(accompaniment):
        raise RequestError(
            "a MIDI file holds the click alone", next="Write .wav or .flac to hear the others."
        )
    midi.write(made.plan, made.passage, path)


_WRITERS: dict[str, Callable[[Click, int, int, Path, Accompaniment], None]] = {
    ".wav": _write_wav,
    ".flac": _write_flac,
    ".mid": _write_midi,
    ".midi": _write_midi,
}
