"""The finished part as bytes: plain MusicXML, or in its zip container.

The same part makes the same bytes on any day, so that a player can tell whether an
edition has changed.
"""

from __future__ import annotations

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from lxml import etree
from lxml.etree import _Element

_MIMETYPE = b"application/vnd.recordare.musicxml"
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    "<container>\n"
    "  <rootfiles>\n"
    '    <rootfile full-path="{name}" media-type="application/vnd.recordare.musicxml+xml"/>\n'
    "  </rootfiles>\n"
    "</container>\n"
)
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The earliest date a zip can hold."""


def text_of(root: _Element) -> bytes:
    """A document in UTF-8. It needs no document type: its version says what it is."""
    etree.indent(root)
    return etree.tostring(root, encoding="UTF-8", xml_declaration=True) + b"\n"


def container_of(musicxml: bytes, name: str) -> bytes:
    """The document in a zip container (MusicXML 4.0, "Compressed .mxl files"): `mimetype`
    first and uncompressed, then the container's own list, then the score."""
    held = BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as archive:
        archive.writestr(_entry("mimetype", ZIP_STORED), _MIMETYPE)
        listed = _CONTAINER.format(name=name).encode()
        archive.writestr(_entry("META-INF/container.xml", ZIP_DEFLATED), listed)
        archive.writestr(_entry(name, ZIP_DEFLATED), musicxml)
    return held.getvalue()


def _entry(name: str, how: int) -> ZipInfo:
    entry = ZipInfo(name, _LONG_AGO)
    entry.compress_type = how
    return entry
