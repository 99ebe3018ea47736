"""The others: who plays along, how they sound, how they are mixed with the click."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from companion.click.plan.timbres import ToneName
from companion.click.synth.tuning import A, checked_a, note_told, parse_a, parse_note
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.score_paths import as_path, whole_path
from companion.files.whole_file import keep_json, kept_json
from companion.score.bar_numbers import find_part
from companion.score.model import Score
from companion.score.passage import Passage

if TYPE_CHECKING:
    from companion.click.plan.plan import ClickPlan
    from companion.click.synth.ensemble import Instruments
    from companion.click.synth.layer_sounds import LayerSamples
    from companion.click.synth.others_notes import OthersNote
    from companion.click.synth.render import LiveClick
    from companion.sound.combined_sources import MixChannel
    from companion.sound.sound_source import Source

ALL = "all"
"""Names every part but mine."""
CLICK, OTHERS, DRONE = "click", "others", "drone"
"""The channels of the mix."""
OTHERS_REACH, DRONE_REACH = 0.30, 0.05
"""What they can come to, as shares of full scale."""


@dataclass(frozen=True, slots=True)
class Accompaniment:
    """Who plays along."""

    parts: tuple[int, ...] = ()
    """Indices of the parts, from 0; none for nobody."""
    tone: ToneName = ToneName.BOWED
    """How they sound; a part plucks where the page says so."""
    a: float = A
    """Hertz of the A above middle C."""
    drone: int | None = None
    """Sounding pitch of a note held all the while, middle C = 60; None for none."""
    font: Path | None = None
    """A SoundFont that plays instead of the tones; None for none."""

    def __post_init__(self) -> None:
        checked_a(self.a)


def parts_named(score: Score, mine: int, text: str) -> tuple[int, ...]:
    """Read `cello,viola` or `all` as indices of parts, mine never among them.

    Raises RequestError for a word that names no part, or mine.
    """
    if text.strip().casefold() == ALL:
        return tuple(part for part in range(len(score.parts)) if part != mine)
    found = {find_part(score, word.strip()) for word in text.split(",")}
    if mine in found:
        raise RequestError(
            f"{score.parts[mine].name} is your own part", next="Name the others, or say all."
        )
    return tuple(sorted(found))


def checked_font(path: Path, a: float) -> Path:
    """A SoundFont that can be played. Raises RequestError for what is none."""
    from companion.click.synth.layer_sounds import RATE
    from companion.click.synth.soundfont import font

    font(path, RATE, a)
    return path


def taken_by(accompaniment: Accompaniment) -> float:
    """How loud an accompaniment can be, as a share of full scale."""
    drone = 0.0 if accompaniment.drone is None else DRONE_REACH
    return (OTHERS_REACH if accompaniment.parts else 0.0) + drone


class Others:
    """Everybody but me in a passage, ready to play at any tempo.

    Their notes are found once, when they are first wanted; may be asked in any thread.
    """

    def __init__(self, passage: Passage) -> None:
        self._passage = passage
        self._notes: dict[tuple[int, ...], tuple[OthersNote, ...]] = {}

    def channels(
        self, accompaniment: Accompaniment, click: LiveClick, *, is_on: bool = True
    ) -> list[MixChannel]:
        """The others and the drone as channels of a mix, as far as there are any."""
        from companion.click.synth import drone, ensemble
        from companion.sound.combined_sources import MixChannel

        channels: list[MixChannel] = []
        if accompaniment.parts:
            parts = self._passage.clock.score.parts
            source = ensemble.Ensemble(
                self._notes_of(accompaniment.parts),
                click,
                tone=accompaniment.tone,
                a=accompaniment.a,
                places=ensemble.seats(len(parts)),
                instruments=_instruments(
                    accompaniment, click.rate, [part.program for part in parts]
                ),
            )
            channels.append(MixChannel(OTHERS, source, OTHERS_REACH, is_on=is_on))
        if accompaniment.drone is not None:
            held = drone.Drone(accompaniment.drone, click.rate, accompaniment.a)
            channels.append(MixChannel(DRONE, held, DRONE_REACH, is_on=is_on))
        return channels

    def _notes_of(self, parts: tuple[int, ...]) -> tuple[OthersNote, ...]:
        from companion.click.synth.others_notes import others_notes

        if parts not in self._notes:
            self._notes[parts] = others_notes(self._passage, parts)
        return self._notes[parts]


def _instruments(
    accompaniment: Accompaniment, rate: int, programs: Sequence[int]
) -> Instruments | None:
    if accompaniment.font is None:
        return None
    from companion.click.synth.soundfont import font, instruments

    return instruments(font(accompaniment.font, rate, accompaniment.a), programs)


def mixed(click: LiveClick, channels: Sequence[MixChannel]) -> Source:
    """The click with its channels; the click itself where there are none."""
    if not channels:
        return click
    from companion.sound.combined_sources import MixChannel, SourceMix

    return SourceMix([MixChannel(CLICK, click, click.plan.click_settings.mix.ceiling), *channels])


def with_room(plan: ClickPlan, accompaniment: Accompaniment) -> ClickPlan:
    """The click of a plan as loud as it can be next to an accompaniment."""
    from companion.click.plan.plan import with_mix

    mix = plan.click_settings.mix
    return with_mix(plan, replace(mix, ceiling=mix.ceiling - taken_by(accompaniment)))


def blocks_along(
    plan: ClickPlan, passage: Passage, accompaniment: Accompaniment, rate: int, bits: int = 16
) -> Iterator[LayerSamples]:
    """A whole plan with the others, a block at a time, as `render.blocks` gives it alone.

    24 bits come as 32-bit numbers; the others are made with 16. Raises RequestError for an odd
    rate.
    """
    import numpy as np

    from companion.click.synth.render import BLOCK, LiveClick, length

    click = LiveClick(with_room(plan, accompaniment), rate, is_endless=False)
    source = mixed(click, Others(passage).channels(accompaniment, click))
    end = length(plan, rate)
    for first in range(0, end, BLOCK):
        block = source.read(first, min(BLOCK, end - first))
        yield block if bits == 16 else np.left_shift(block.astype(np.int32), bits - 16)


# How the others sound to this player, kept from one drill to the next.


class _Sounding(msgspec.Struct):
    tone: ToneName = ToneName.BOWED
    a: float = A
    font: str | None = None


def usual_accompaniment(folders: Folders) -> Accompaniment:
    """Nobody yet, sounding as they last did."""
    try:
        found = kept_json(_place(folders), _Sounding) or _Sounding()
        font = Path(found.font) if found.font else None
        return Accompaniment(
            tone=found.tone, a=found.a, font=font if font and font.is_file() else None
        )
    except (RequestError, ValueError, OSError):
        return Accompaniment()


def keep_sounding(folders: Folders, accompaniment: Accompaniment) -> None:
    """Keep how they sound. Raises CompanionError if it cannot be written."""
    font = str(whole_path(accompaniment.font)) if accompaniment.font is not None else None
    keep_json(_place(folders), _Sounding(accompaniment.tone, accompaniment.a, font))


def _place(folders: Folders) -> Path:
    return folders.data / "others.json"


# The words in which an accompaniment is asked for.


NOBODY = "nobody"
_DRONE = "drone "
_FONT = "font "


def parse_accompaniment(score: Score, mine: int, text: str) -> Accompaniment:
    """Read who plays along. Raises RequestError for a word that means nothing."""
    accompaniment = Accompaniment()
    parts: set[int] = set()
    for word in (piece.strip() for piece in text.split(",")):
        sounding = _sounding(accompaniment, word)
        if sounding is not None:
            accompaniment = sounding
        elif word.casefold() not in {NOBODY, ""}:
            parts |= set(parts_named(score, mine, word))
    accompaniment = replace(accompaniment, parts=tuple(sorted(parts)))
    if accompaniment.font is not None:
        checked_font(accompaniment.font, accompaniment.a)
    if (
        not accompaniment.parts
        and accompaniment.drone is None
        and text.strip().casefold() not in {NOBODY, ""}
    ):
        raise RequestError(
            f"“{text}” names nobody who plays along", next=f"Name a part, or write {ALL}."
        )
    return accompaniment


def _sounding(accompaniment: Accompaniment, word: str) -> Accompaniment | None:
    """The accompaniment after a word about how it sounds; None for any other word."""
    small = word.casefold()
    if small in set(ToneName):
        return replace(accompaniment, tone=ToneName(small))
    if small.startswith("a") and small[1:].lstrip(" =")[:1].isdecimal():
        return replace(accompaniment, a=parse_a(word))
    if small.startswith(_FONT):
        return replace(accompaniment, font=as_path(word[len(_FONT) :].strip()))
    if small.startswith(_DRONE):
        return replace(accompaniment, drone=parse_note(word[len(_DRONE) :]))
    return None


def who_plays(accompaniment: Accompaniment, score: Score) -> tuple[str, ...]:
    """Each part by its printed name, and `drone A3`."""
    parts = tuple(score.parts[part].name for part in accompaniment.parts)
    held = accompaniment.drone
    return parts if held is None else (*parts, f"{_DRONE}{note_told(held)}")


def accompaniment_in_words(accompaniment: Accompaniment, score: Score, mine: int) -> str:
    """The same words back: `Violin II, Cello, plucked, A=415, drone A3`."""
    if not accompaniment.parts and accompaniment.drone is None:
        return NOBODY
    everybody = tuple(part for part in range(len(score.parts)) if part != mine)
    if accompaniment.parts == everybody and len(everybody) > 1:
        words = [ALL]
    else:
        words = [score.parts[part].name for part in accompaniment.parts]
    if accompaniment.tone is not ToneName.BOWED:
        words.append(accompaniment.tone)
    if accompaniment.a != A:
        words.append(f"A={accompaniment.a:g}")
    if accompaniment.font is not None:
        words.append(f"{_FONT}{accompaniment.font}")
    if accompaniment.drone is not None:
        words.append(f"{_DRONE}{note_told(accompaniment.drone)}")
    return ", ".join(words)
