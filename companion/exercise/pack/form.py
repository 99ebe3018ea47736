"""The form of a pack: an exercise and its scores in one zip file, with a list of contents.

A pack comes by mail from somebody, or from somebody who only looks like it. Nothing in it
is believed: not the names (they may lead out of the folder), not the sizes (they may be a
thousand times larger), not the count, not the content (it may have been damaged on the
way). The checksums show accidents; they are no signature and show no forger.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

from companion.errors import CompanionError
from companion.exercise.file.shapes import PLAIN_PATH

FORMAT = 1
"""The version that is written, and the latest that is read."""
ENDING = ".exercise"
"""How the name of a pack ends."""
MANIFEST = "manifest.json"
"""The list of contents, first in the pack."""
KIND = "companion exercise"
"""What the list says the pack is."""
MOST_FILES = 100
"""Files in a pack at most, the list not counted."""
LARGEST_PACK = 50 * 1024 * 1024
"""Bytes of a pack at most."""
LARGEST = 100 * 1024 * 1024
"""Bytes of everything in it at most."""
LARGEST_LIST = 256 * 1024
"""Bytes of the list of contents at most."""

_LONGEST_NAME = 240


class PackError(CompanionError):
    """A pack cannot be opened; nothing was written."""


@dataclass(frozen=True, slots=True)
class Listed:
    """What the list says of one file."""

    size: int
    """Bytes."""
    sha256: str
    """Checksum, lower-case hex."""


def is_plain_path(name: str) -> bool:
    """Whether a name stays in its folder and can be written on every system."""
    return 0 < len(name) <= _LONGEST_NAME and re.search(PLAIN_PATH, name) is not None


def checksum(content: bytes) -> str:
    """SHA-256 (FIPS 180-4) in lower-case hex."""
    return sha256(content).hexdigest()


def write_list(files: Mapping[str, bytes]) -> bytes:
    """The list of contents; the same files always give the same bytes."""
    listed = {
        name: {"size": len(content), "sha256": checksum(content)}
        for name, content in sorted(files.items())
    }
    told = {"kind": KIND, "format": FORMAT, "files": listed}
    return json.dumps(told, indent=1, ensure_ascii=True).encode() + b"\n"


def read_list(content: bytes, where: str) -> dict[str, Listed]:
    """What a list of contents says. Raises PackError."""
    try:
        told = json.loads(content.decode("utf-8"))
        if told["kind"] != KIND:
            raise _strange(where)
        if isinstance(told["format"], int) and told["format"] > FORMAT:
            raise PackError(
                f"this pack is in format {told['format']}, and this companion reads {FORMAT}",
                where=where,
                next="Update companion, then open it again.",
            )
        return {name: _listed(entry) for name, entry in told["files"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise _strange(where) from None


def _listed(entry: Mapping[str, object]) -> Listed:
    size, digest = entry["size"], entry["sha256"]
    if not isinstance(size, int) or not isinstance(digest, str) or size < 0:
        raise ValueError
    return Listed(size, digest)


def _strange(where: str) -> PackError:
    return PackError(
        "its list of contents is not that of an exercise",
        where=where,
        next="Ask for the pack again, made with companion exercise pack.",
    )
