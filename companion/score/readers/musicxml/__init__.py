"""MusicXML 1.0 to 4.0, partwise and timewise, into the written score.

Never guesses silently: what was mended is told. Begin with `reading`.
"""
