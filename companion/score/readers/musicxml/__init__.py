"""MusicXML 1.0 to 4.0, partwise and timewise, into the written score."""

from companion.score.readers.musicxml.reading import read_musicxml

__all__ = ["read_musicxml"]
