"""The sound card, MIDI ports and their timing, or the silence that stands in for them.

Never knows music; it plays sources. Begin with `player`.
"""
