"""Whether everything on this machine works that the program can use, and what to do if not.

Written so that the whole can be pasted into a question: no score, no device and no person is
named, and the home folder is written as ~.
"""

from __future__ import annotations

import os
import platform
import shutil
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib import metadata, util
from os.path import exists
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import PLAYERS, Folders, assets_folder

_SIGNS = "♩●━█–"
"""What the screens draw with."""
_LEAST_ROOM = 50 * 2**20
"""Bytes: a cache of many scores."""
_EXTRAS = {
    "rtmidi": "a pad or a drum module",
    "tinysoundfont": "SoundFonts",
}


@dataclass(frozen=True, slots=True)
class Health:
    """One thing that was looked at."""

    what: str
    is_well: bool
    found: str
    next: str = ""
    """What to do; empty if nothing has to be done."""


def checked_health(folders: Folders) -> list[Health]:
    """Everything that can be looked at without sound, recording or the network."""
    looks: dict[str, Callable[[Folders], Health]] = {
        "program": _program,
        "terminal": _terminal,
        "sound": _sound,
        "microphone": _microphone,
        "MIDI": _midi,
        "extras": _extras,
        "built-in files": _built_in,
        "data folder": _data_folder,
        "cache": _cache,
        "practice log": _log,
        "libraries": _libraries,
    }
    return [_looked(what, look, folders) for what, look in looks.items()]


def _looked(what: str, look: Callable[[Folders], Health], folders: Folders) -> Health:
    try:
        return look(folders)
    except CompanionError as fault:
        return Health(what, False, fault.what, fault.next)
    except Exception as fault:  # noqa: BLE001 (one broken thing must not hide the others)
        return Health(what, False, f"an unforeseen fault ({type(fault).__name__})")


def _program(_: Folders) -> Health:
    python = platform.python_version()
    system = f"{platform.system()} {platform.release()} {platform.machine()}"
    found = f"companion {metadata.version('companion')}, Python {python}, {system}"
    return Health("program", True, found)


def _terminal(_: Folders) -> Health:
    encoding = sys.stdout.encoding or "unknown"
    size = shutil.get_terminal_size()
    found = f"{size.columns}x{size.lines}, {encoding}, {os.environ.get('TERM') or 'no TERM'}"
    try:
        _SIGNS.encode(encoding)
    except (UnicodeError, LookupError):
        return Health(
            "terminal",
            False,
            found,
            "Set it to UTF-8 to see every sign; until then plain ones are used.",
        )
    if size.columns < 80 or size.lines < 24:
        return Health("terminal", True, found, "Make it 80x24 or larger to see everything.")
    return Health("terminal", True, found)


def _sound(folders: Folders) -> Health:
    from companion.sound.device_choice import player_for, sound_choice
    from companion.sound.player import devices

    player, notice = player_for(sound_choice(folders))
    count = len(devices())
    found = f"plays through {player.name}, devices found: {count}"
    player.close()
    if player.name == "silent":
        return Health("sound", False, found, "Drills work without it; companion sound says why.")
    return Health(
        "sound", True, found, "companion sound says why it is this one." if notice else ""
    )


def _microphone(_: Folders) -> Health:
    from companion.sound.recording import microphone_count

    count = microphone_count()
    if not count:
        return Health(
            "microphone", False, "none", "Plug one in, or judge a recorded file: companion listen."
        )
    return Health("microphone", True, f"devices found: {count}; none was opened")


def _midi(_: Folders) -> Health:
    from companion.sound.midi_in import pads
    from companion.sound.midi_out import port_names

    found = f"ports out: {len(port_names())}, in: {len(pads())}"
    if not _is_there("rtmidi"):
        return Health("MIDI", True, found, "For a pad or a drum module: pip install python-rtmidi.")
    return Health("MIDI", True, found)


def _extras(_: Folders) -> Health:
    there = [f"{what}: {'yes' if _is_there(name) else 'no'}" for name, what in _EXTRAS.items()]
    return Health("extras", True, ", ".join(there))


def _built_in(_: Folders) -> Health:
    assets = assets_folder()
    missing = [name for name in ("demo", "fonts") if not any((assets / name).iterdir())]
    if missing:
        return Health("built-in files", False, f"missing: {missing[0]}", "Install companion again.")
    return Health("built-in files", True, "score and fonts are there")


def _data_folder(folders: Folders) -> Health:
    return _folder("data folder", folders.data)


def _cache(folders: Folders) -> Health:
    return _folder("cache", folders.cache)


def _folder(what: str, folder: Path) -> Health:
    there = next(place for place in (folder, *folder.parents) if exists(place))
    room = shutil.disk_usage(there).free
    found = f"{_nameless(folder)}, {room // 2**20:,} MB free"
    if not os.access(there, os.W_OK | os.X_OK):
        return Health(what, False, found, "Make it writable, or choose another: --data-dir.")
    if room < _LEAST_ROOM:
        return Health(what, False, found, "Make room on the disk.")
    if exists(folder) and os.name == "posix" and folder.stat().st_mode & 0o077:
        return Health(what, True, f"{found}; others can read it", "To keep it private: chmod 700.")
    return Health(what, True, found)


def _log(folders: Folders) -> Health:
    from companion.journal.log import Log
    from companion.journal.log_exchange import check_log

    if not Log.is_begun(folders.data):
        return Health("practice log", True, "not begun yet")
    faults = check_log(folders)
    if faults:
        return Health(
            "practice log",
            False,
            f"faults: {len(faults)}",
            "companion log check names them; companion log restore FILE brings a backup back.",
        )
    return Health("practice log", True, "no faults")


def _libraries(_: Folders) -> Health:
    asked = metadata.requires("companion") or []
    names = sorted(_names(line for line in asked if "extra ==" not in line))
    found = []
    missing = []
    for name in names:
        try:
            found.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            missing.append(name)
    if missing:
        return Health(
            "libraries", False, f"missing: {', '.join(missing)}", "Install companion again."
        )
    return Health("libraries", True, ", ".join(found))


def _names(requirements: Iterable[str]) -> set[str]:
    """Names of packages; those for other systems are left out where a marker says so."""
    from packaging.requirements import Requirement

    found = map(Requirement, requirements)
    return {one.name for one in found if one.marker is None or one.marker.evaluate()}


def _is_there(name: str) -> bool:
    return util.find_spec(name) is not None


def _nameless(path: Path) -> str:
    """A folder without the home it is in, and without the name of a player."""
    if path.parent.name == PLAYERS:
        path = path.parent / "…"
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    except ValueError:
        return str(path)
