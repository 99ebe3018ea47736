"""Which bar of an earlier edition of a score is which bar of a later one.

Plain and complete in itself, so that it travels with the log from machine to machine:
without it what was practised from the earlier edition would stand beside the later one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec


class PartCarry(msgspec.Struct, frozen=True):
    """One part of an earlier edition in the later one."""

    part: str
    """Its id there."""
    name: str
    """Its printed name there."""
    places: tuple[int, ...]
    """For each bar of the earlier edition the same bar of the later one, from 1; 0: none."""


class Edition(msgspec.Struct, frozen=True):
    """A later edition of one earlier score."""

    old: str
    """Digest of the earlier edition."""
    new: str
    """Digest of the later one."""
    title: str
    """As the later one names itself."""
    path: str
    """Where the later one lay."""
    names: tuple[str, ...]
    """How each bar of the later one is shown to a player."""
    parts: dict[str, PartCarry]
    """By the part's id in the earlier edition; parts that are not in the later one are left out."""


def faults_of_edition(edition: Edition) -> Iterator[str]:
    """What is wrong with an edition that came from elsewhere; its digests become file names."""
    for digest in (edition.old, edition.new):
        if not re.fullmatch("[0-9a-f]+", digest):
            yield f"“{digest[:40]}” is no digest in hex"
    bars = len(edition.names)
    if any(not 0 <= place <= bars for part in edition.parts.values() for place in part.places):
        yield "a bar went to one that is not there"
