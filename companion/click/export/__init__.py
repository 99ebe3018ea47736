"""A click, or a part, as a file: WAV, FLAC, MIDI.

Never decides what sounds. Each format has `write`; begin with `wav`.
"""
