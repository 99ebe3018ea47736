"""A picture written to a file, as its ending says: SVG by ourselves, PNG by a small extra."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from companion.errors import CompanionError, RequestError

ENDINGS = (".svg", ".png")
"""What a picture can be written as."""

_PAINTER = "resvg_py"
_ZOOM = 2
"""A PNG has twice as many pixels as the SVG has units, for paper and good screens."""


def write_picture(svg: str, out: Path) -> None:
    """Write a picture. Raises RequestError for another ending, CompanionError where it fails."""
    ending = out.suffix.lower()
    if ending not in ENDINGS:
        raise RequestError(
            f"a picture cannot be written as “{out.suffix or out.name}”",
            where=str(out),
            next=f"End its name in {' or '.join(ENDINGS)}.",
        )
    content = svg.encode("utf-8") if ending == ".svg" else _painted(svg)
    try:
        out.write_bytes(content)
    except OSError as problem:
        raise CompanionError(
            f"this picture cannot be written ({problem.strerror})",
            where=str(out),
            next="Choose another folder.",
        ) from None


def _painted(svg: str) -> bytes:
    if find_spec(_PAINTER) is None:
        raise CompanionError(
            f"a PNG needs the library {_PAINTER}, which is not installed",
            next="Install it with: pip install 'companion[pictures]', or write .svg.",
        )
    from resvg_py import svg_to_bytes

    return bytes(svg_to_bytes(svg_string=svg, zoom=_ZOOM))
