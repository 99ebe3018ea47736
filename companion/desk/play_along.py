"""The others at the desk: who plays along, how they sound, how they are mixed with the click."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.timbres import ToneName
from companion.click.tuning import A, checked_a
from companion.errors import RequestError
from companion.score.address import find_part
from companion.score.model import Score
from companion.score.passage import Passage

if TYPE_CHECKING:
    from companion.click.ensemble import Instruments
    from companion.click.kit import Sound
    from companion.click.live import LiveClick
    from companion.click.others import OthersNote
    from companion.click.plan import Plan
    from companion.sound.mixed import Stem
    from companion.sound.source import Source

ALL = "all"
"""Names every part but mine."""
CLICK, OTHERS, DRONE = "click", "others", "drone"
"""The stems of the mix."""
OTHERS_REACH, DRONE_REACH = 0.30, 0.05
"""What they can come to, as shares of full scale."""


@dataclass(frozen=True, slots=True)
class Company:
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
    from companion.click.font import font
    from companion.click.kit import RATE

    font(path, RATE, a)
    return path


def taken_by(company: Company) -> float:
    """What a company can come to, as a share of full scale."""
    drone = 0.0 if company.drone is None else DRONE_REACH
    return (OTHERS_REACH if company.parts else 0.0) + drone


class Others:
    """Everybody but me in a passage, ready to play at any tempo.

    Their notes are found once, when they are first wanted; may be asked in any thread.
    """

    def __init__(self, passage: Passage) -> None:
        self._passage = passage
        self._notes: dict[tuple[int, ...], tuple[OthersNote, ...]] = {}

    def stems(self, company: Company, click: LiveClick, *, is_on: bool = True) -> list[Stem]:
        """The others and the drone as stems of a mix, as far as there are any."""
        from companion.click import drone, ensemble
        from companion.sound.mixed import Stem

        stems: list[Stem] = []
        if company.parts:
            parts = self._passage.clock.score.parts
            source = ensemble.Ensemble(
                self._notes_of(company.parts),
                click,
                tone=company.tone,
                a=company.a,
                places=ensemble.seats(len(parts)),
                instruments=_instruments(company, click.rate, [part.program for part in parts]),
            )
            stems.append(Stem(OTHERS, source, OTHERS_REACH, is_on=is_on))
        if company.drone is not None:
            held = drone.Drone(company.drone, click.rate, company.a)
            stems.append(Stem(DRONE, held, DRONE_REACH, is_on=is_on))
        return stems

    def _notes_of(self, parts: tuple[int, ...]) -> tuple[OthersNote, ...]:
        from companion.click.others import others_notes

        if parts not in self._notes:
            self._notes[parts] = others_notes(self._passage, parts)
        return self._notes[parts]


def _instruments(company: Company, rate: int, programs: Sequence[int]) -> Instruments | None:
    if company.font is None:
        return None
    from companion.click.font import font, instruments

    return instruments(font(company.font, rate, company.a), programs)


def mixed(click: LiveClick, stems: Sequence[Stem]) -> Source:
    """The click with its stems; the click itself where there are none."""
    if not stems:
        return click
    from companion.sound.mixed import Mixed, Stem

    return Mixed([Stem(CLICK, click, click.plan.wish.mix.ceiling), *stems])


def with_room(plan: Plan, company: Company) -> Plan:
    """The click of a plan as loud as it can be beside a company."""
    from companion.click.plan import with_mix

    mix = plan.wish.mix
    return with_mix(plan, replace(mix, ceiling=mix.ceiling - taken_by(company)))


def blocks_along(
    plan: Plan, passage: Passage, company: Company, rate: int, bits: int = 16
) -> Iterator[Sound]:
    """A whole plan with its company, a block at a time, as `click.samples.blocks` gives it alone.

    24 bits come as 32-bit numbers; the company is made with 16. Raises RequestError for an odd
    rate.
    """
    import numpy as np

    from companion.click.live import LiveClick
    from companion.click.samples import BLOCK, length

    click = LiveClick(with_room(plan, company), rate, is_endless=False)
    source = mixed(click, Others(passage).stems(company, click))
    end = length(plan, rate)
    for first in range(0, end, BLOCK):
        block = source.read(first, min(BLOCK, end - first))
        yield block if bits == 16 else np.left_shift(block.astype(np.int32), bits - 16)
