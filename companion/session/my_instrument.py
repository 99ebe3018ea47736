"""The instrument the player chose for exercises, kept from one day to the next."""

from __future__ import annotations

from pathlib import Path

from companion.errors import CompanionError
from companion.exercise.instruments import INSTRUMENTS, Instrument, instrument_of
from companion.files.folders import Folders
from companion.files.whole_file import keep_file, kept_file


def my_instrument(folders: Folders) -> Instrument | None:
    """The instrument; None if none was chosen."""
    kept = kept_file(_place(folders))
    return instrument_of(kept.decode("utf-8", "replace")) if kept else None


def choose_instrument(folders: Folders, instrument: Instrument | None) -> CompanionError | None:
    """Keep the choice; why it could not be kept, else None."""
    try:
        keep_file(_place(folders), (instrument.name if instrument else "").encode())
    except CompanionError as problem:
        return problem
    return None


def next_instrument(instrument: Instrument | None) -> Instrument | None:
    """The one after it, from high to low; none comes after the lowest and before the highest."""
    choices = (None, *INSTRUMENTS)
    return choices[(choices.index(instrument) + 1) % len(choices)]


def _place(folders: Folders) -> Path:
    return folders.data / "instrument.txt"
