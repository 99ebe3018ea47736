"""MusicXML 1.0 to 4.0, partwise and timewise, into the written score."""
