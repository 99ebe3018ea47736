"""A part as engraved pages, by a general engraving library in a child process.

A child, because the library holds up every thread of its process while it works, and
with it the sound. It is an extra: without it everything but pictures works.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.util import find_spec

from companion.errors import CompanionError

LIMIT = 120.0
"""Seconds a part may take."""

_CHILD = "companion.score.extraction.engraving_child"
_ENGRAVER = "verovio"


def engrave(musicxml: bytes, limit: float = LIMIT) -> list[str]:
    """The pages of a part as SVG, A4 upright, in order.

    Raises CompanionError where the engraver is not installed, cannot read the part, or
    takes over `limit` seconds.
    """
    if find_spec(_ENGRAVER) is None:
        raise CompanionError(
            f"engraving needs the library {_ENGRAVER}, which is not installed",
            next=f"Install it with: pip install 'companion[{_ENGRAVER}]', or write .musicxml.",
        )
    path = os.pathsep.join(entry or os.getcwd() for entry in sys.path)
    try:
        child = subprocess.run(
            [sys.executable, "-m", _CHILD],
            input=musicxml,
            capture_output=True,
            timeout=limit,
            env={**os.environ, "PYTHONPATH": path, "PYTHONSAFEPATH": "1"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _refusal(f"engraving this part took over {limit:g} seconds") from None
    pages: list[str] = json.loads(child.stdout) if child.returncode == 0 else []
    if not pages:
        raise _refusal("the engraver could not read this part")
    return pages


def _refusal(what: str) -> CompanionError:
    return CompanionError(what, next="Write it as .musicxml and engrave it elsewhere.")
