"""How this player's sound reaches the ear: which device, how late, and which MIDI port.

Wireless headphones are heard a fifth of a second after the card has played; a playhead
that does not know it runs ahead of the ear. The player sets it once, and it is kept.
What was kept never keeps anybody from practising: a damaged file counts as none, a
device that is not there is told and the system's own one plays.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json

if TYPE_CHECKING:
    from companion.sound.player import Player

EARLIEST, LATEST = -200, 1000
"""Milliseconds of delay that can be set; wireless headphones have 100 to 300 (common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class SoundChoice:
    """What a player chose for this computer's sound."""

    device: str | None = None
    """Name of a sound device; None for the system's own choice."""
    delay: int = 0
    """Milliseconds by which the ear is later than the card says."""
    midi: str | None = None
    """Name of a MIDI port to which the click is sent as well; None for none."""
    midi_clock: bool = False
    """Whether that port also gets MIDI clock messages."""


def sound_choice(folders: Folders) -> SoundChoice:
    """What was chosen; nothing yet where the file is missing or damaged."""
    kept = kept_json(_place(folders), dict[str, Any]) or {}
    try:
        return SoundChoice(
            _name(kept.get("device")),
            checked_delay(int(kept.get("delay", 0))),
            _name(kept.get("midi")),
            kept.get("midi_clock") is True,
        )
    except (ValueError, TypeError, RequestError):
        return SoundChoice()


def keep_sound_choice(folders: Folders, choice: SoundChoice) -> None:
    """Keep what was chosen. Raises CompanionError if the data folder cannot be written to."""
    keep_json(_place(folders), choice)


def checked_delay(milliseconds: int) -> int:
    """A delay that can be set. Raises RequestError for others."""
    if not EARLIEST <= milliseconds <= LATEST:
        raise RequestError(
            f"a delay of {milliseconds} milliseconds cannot be set",
            next=f"Choose {EARLIEST} to {LATEST}.",
        )
    return milliseconds


def player_for(choice: SoundChoice) -> tuple[Player, str]:
    """A player that is ready, and what there is to say about it; empty if all is as chosen.

    COMPANION_SOUND, where set, decides which library plays. Nobody is kept from practising
    by a sound card that cannot be had.
    """
    from companion.sound.player import ENVIRONMENT, open_player
    from companion.sound.sound_error import SoundError

    delay = choice.delay / 1000
    notice = ""
    if choice.device is not None and os.environ.get(ENVIRONMENT, "auto") in {"auto", "miniaudio"}:
        try:
            return open_player("miniaudio", device=choice.device, offset=delay), ""
        except SoundError as fault:
            notice = f"{fault.sentence()} "
    try:
        player = open_player(offset=delay)
    except CompanionError as fault:
        return open_player("silent"), f"{notice}Playing in silence. {fault.sentence()}"
    if notice and not player.notice:
        return player, f"{notice}The system's own device plays."
    return player, f"{notice}{player.notice}"


def _name(kept: object) -> str | None:
    return kept if isinstance(kept, str) and kept else None


def _place(folders: Folders) -> Path:
    return folders.data / "sound.json"
