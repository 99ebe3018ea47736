"""`companion sound`: which device plays, how late the ear is, and a soft click to try it."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from dataclasses import replace

from companion.cli.shared_options import ask_json, folders_of, print_json, whole
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.sound.device_check import CAUTION, LEAD, STROKES, soft_click
from companion.sound.device_choice import (
    SoundChoice,
    checked_delay,
    keep_sound_choice,
    player_for,
    sound_choice,
)
from companion.sound.midi_out import port_names
from companion.sound.player import Player, devices

_SYSTEM = "system"
"""Names the device that the system chooses."""
_NONE = "none"
"""Names no MIDI port."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--device NAME] [--delay MS] [--midi PORT] [--midi-clock on|off] [--test] [--json]."""
    parser.add_argument(
        "--device", metavar="NAME", help=f"play on this device; {_SYSTEM}: the system's default"
    )
    parser.add_argument(
        "--delay",
        metavar="MS",
        type=whole,
        help="latency in milliseconds, for wireless headphones",
    )
    parser.add_argument(
        "--midi", metavar="PORT", help=f"also send the click to this MIDI port; {_NONE}: no port"
    )
    parser.add_argument("--midi-clock", choices=("on", "off"), help="also send MIDI clock")
    parser.add_argument("--test", action="store_true", help="play four soft strokes")
    ask_json(parser)
    parser.epilog = (
        "Settings are kept for all drills. COMPANION_SOUND=silent (or miniaudio, simpleaudio) "
        "overrides them for one run."
    )


def run(args: argparse.Namespace) -> int:
    """Set what was asked, then tell how things stand, then play where asked."""
    folders = folders_of(args)
    choice = _chosen(args, folders)
    player, notice = player_for(choice)
    try:
        if args.json:
            print_json(_record(choice, player, notice))
        else:
            for line in _told(choice, player, notice):
                print(line)
        if args.test:
            _play(player)
    finally:
        player.close()
    return 0


def _chosen(args: argparse.Namespace, folders: Folders) -> SoundChoice:
    """The settings after what the command line changes; kept where it changes any."""
    before = sound_choice(folders)
    choice = before
    if args.device is not None:
        choice = replace(choice, device=_device(args.device))
    if args.delay is not None:
        choice = replace(choice, delay=checked_delay(args.delay))
    if args.midi is not None:
        choice = replace(choice, midi=_midi(args.midi))
    if args.midi_clock is not None:
        choice = replace(choice, midi_clock=args.midi_clock == "on")
    if choice != before:
        keep_sound_choice(folders, choice)
    return choice


def _device(name: str) -> str | None:
    if name == _SYSTEM:
        return None
    return _one_of(name, devices(), "sound device", _SYSTEM)


def _midi(name: str) -> str | None:
    if name == _NONE:
        return None
    return _one_of(name, port_names(), "MIDI port", _NONE)


def _one_of(name: str, found: list[str], what: str, otherwise: str) -> str:
    """The name as it is found: in full, or the only one that begins so."""
    begins = [one for one in found if one.casefold().startswith(name.casefold())]
    chosen = [name] if name in found else begins
    if len(chosen) != 1:
        raise RequestError(
            f"there is no {what} “{name}”" if not chosen else f"“{name}” matches several {what}s",
            next=f"Found: {', '.join(found) or 'none'}. Or use {otherwise}.",
        )
    return chosen[0]


def _told(choice: SoundChoice, player: Player, notice: str) -> Iterator[str]:
    yield f"plays through: {player.name}" + (f" ({notice})" if notice else "")
    yield f"device: {choice.device or 'the system’s default'}"
    yield f"devices found: {', '.join(devices()) or 'none'}"
    yield f"latency: {choice.delay} milliseconds"
    yield f"MIDI port: {choice.midi or _NONE}" + (", with clock" if choice.midi_clock else "")
    yield f"MIDI ports found: {', '.join(port_names()) or 'none'}"


def _record(choice: SoundChoice, player: Player, notice: str) -> dict[str, object]:
    return {
        "backend": player.name,
        "notice": notice,
        "device": choice.device,
        "devices": devices(),
        "delay_ms": choice.delay,
        "midi_port": choice.midi,
        "midi_clock": choice.midi_clock,
        "midi_ports": port_names(),
    }


def _play(player: Player) -> None:
    """Four soft strokes; back when they were heard, or when the device gave up."""
    print(CAUTION, file=sys.stderr)
    player.start(soft_click(player.rate))
    enough = (LEAD + STROKES) * player.rate
    while player.state == "playing" and player.heard() < enough:
        time.sleep(0.05)
    if player.failure:
        print(f"companion: {player.failure}", file=sys.stderr)
